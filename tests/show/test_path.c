/* How people get to a set, as the table of sets says it. */
#include <string.h>

#include "lib/cases.h"
#include "show/path.h"
#include "show/show.h"
#include "show/show_of.h"

static const struct said {
    const char *name, *text;
    int counts, hold, halt;
    const char *files; /* "T1 T2|U1 U2" */
} said[] = {
    {"nothing", "", 16, 0, 0, ""},
    {"blanks and separators", " ; ;", 16, 0, 0, ""},
    {"a hold", "hold 8", 16, 8, 0, ""},
    {"a halt in capitals, with its unit", "HALT 4 counts", 16, 0, 4, ""},
    {"both", "halt 4; hold 8", 16, 8, 4, ""},
    {"all but one count", "hold 8;halt 7", 16, 8, 7, ""},
    {"no counts to hold in, none held", "hold 0", 0, 0, 0, ""},
    {"a range", "follow T1-T4", 16, 0, 0, "T1 T2 T3 T4"},
    {"a range down", "follow T4-T2", 16, 0, 0, "T4 T3 T2"},
    {"a short range", "follow T9-11", 16, 0, 0, "T9 T10 T11"},
    {"a range in another letter case", "follow T1-t3", 16, 0, 0, "T1 T2 T3"},
    {"a range with leading zeros", "follow T08-T10", 16, 0, 0, "T08 T09 T10"},
    {"a range of labels with a dash", "follow SD-1-SD-3", 16, 0, 0, "SD-1 SD-2 SD-3"},
    {"labels with a dash", "follow SD-1 SD-4", 16, 0, 0, "SD-1 SD-4"},
    {"names, with and without commas", "follow T1, T3 U1,solo", 16, 0, 0, "T1 T3 U1 solo"},
    {"ranges and names", "follow T3 U2-U1", 16, 0, 0, "T3 U2 U1"},
    {"several files", "follow T1-T2; hold 2; follow U1 U2", 16, 2, 0, "T1 T2|U1 U2"},
};

static void is_read(void **state)
{
    const struct said *r = *state;
    struct arena a = {0};
    struct buf files = {0};
    struct path p;
    struct err e = {0};
    if (!path_read(&a, r->text, r->counts, &p, &e))
        fail_msg("%s", e.text);
    assert_int_equal(p.hold, r->hold);
    assert_int_equal(p.halt, r->halt);
    for (size_t f = 0; f < p.n_files; f++)
        for (size_t i = 0; i < p.files[f].n; i++)
            buf_printf(&files, "%s%s", i ? " " : f ? "|" : "", p.files[f].labels[i]);
    assert_string_equal(buf_text(&files), r->files);
    buf_free(&files);
    arena_free(&a);
}

static const struct refused {
    const char *name, *text, *why;
} refused[] = {
    {"another word", "march 4",
     "'march' is no way to a set; write hold N, halt N or follow T1-T8, with ';' between them"},
    {"a hold without counts", "hold", "'hold' needs a whole number of counts: hold 8"},
    {"a hold of parts", "hold 2.5", "'hold' needs a whole number of counts: hold 8"},
    {"a hold of less than nothing", "hold -2", "'hold' needs a whole number of counts: hold 8"},
    {"a hold of something else", "hold 2 steps", "'hold' needs a whole number of counts: hold 8"},
    {"a hold of ages", "hold 99999999999", "'hold' needs a whole number of counts: hold 8"},
    {"two holds", "hold 2; hold 3", "'hold' stands twice; keep one"},
    {"a hold as long as the set", "hold 16", "hold takes 16 of 16 counts; leave some to move in"},
    {"a halt that is longer", "halt 17", "halt takes 17 of 16 counts; leave some to move in"},
    {"both together", "hold 8; halt 8",
     "hold and halt take 16 of 16 counts; leave some to move in"},
    {"nobody follows", "follow",
     "'follow' needs a leader and who follows: follow T1-T8, or follow "
     "T1 T2"},
    {"one alone", "follow T1",
     "'follow' needs a leader and who follows: follow T1-T8, or follow "
     "T1 T2"},
    {"somebody twice", "follow T1-T3 t2", "'t2' follows twice; name everybody once"},
    {"somebody in two files", "follow T1-T3; follow T3 T4",
     "'T3' follows twice; name everybody once"},
    {"a range without end", "follow T1-T9999", "more than 400 in one file"},
};

static void is_refused(void **state)
{
    const struct refused *r = *state;
    struct arena a = {0};
    struct path p;
    struct err e = {0};
    assert_false(path_read(&a, r->text, 16, &p, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_string_equal(e.text, r->why);
    assert_true(p.hold == 0 && p.halt == 0 && p.n_files == 0);
    arena_free(&a);
}

static const char tree[] = "section,parent,key\nensemble,,e\ntrumpets,ensemble,t\n",
                  people[] = "performer,section\nT1,trumpets\nT 2,trumpets\nT4,trumpets\n";

static void the_table_names_the_cell(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct set_list l;
    const char *text = "set,counts,path\n1,8,\n2,8,hold 9\n";
    assert_false(sets_read(&a, &(struct table_text){text, strlen(text), "t.csv", NULL}, &l, &e));
    assert_string_equal(e.text, "t.csv:3:3: path: hold takes 9 of 8 counts; leave some to move in");
    arena_free(&a);
}

static const struct noted {
    const char *name, *path, *note;
} noted[] = {
    {"all are there, in another letter case", "follow t1 T2 T4", NULL},
    {"a label's blanks end a word", "follow T1 T 4",
     "set 1: its path names T, 4, who are not on the roster"},
    {"one is not", "follow T1-T2 U9", "set 1: its path names U9, who is not on the roster"},
    {"two are not", "follow T1-T5", "set 1: its path names T3, T5, who are not on the roster"},
    {"a path that no table gave", "wander",
     "set 1: path: 'wander' is no way to a set; write hold N, halt N or follow T1-T8, with ';' "
     "between them"},
};

static void says_who_is_not_there(void **state)
{
    const struct noted *r = *state;
    struct arena a = {0};
    struct buf note = {0};
    struct show show = show_of(&a, tree, people, NULL, "set,counts\n1,8\n");
    show.sets[0].path = r->path;
    assert_int_equal(path_note(&show, &show.sets[0], &note), r->note != NULL);
    assert_string_equal(buf_text(&note), r->note ? r->note : "");
    buf_free(&note);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, said, is_read);
    cases_of(&all, refused, is_refused);
    case_test(&all, the_table_names_the_cell);
    cases_of(&all, noted, says_who_is_not_there);
    return cases_run(&all, "how people get to a set");
}
