/* What the staff bring: sections, roster, faults, sets. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "show/show.h"
#include "show/show_of.h"

static const char tree[] = "section,parent,key,words\n"
                           "ensemble,,e,band;everyone\n"
                           "winds,ensemble,w,\n"
                           "brass,winds,b,\n"
                           "trumpets,brass,t,trumpet;tpts; high brass \n"
                           "tubas,brass,u,tuba\n"
                           "drums,ensemble,d,percussion\n";
static const char people[] = "performer,name,section\n"
                             "T1,Ada Fenwright,trumpets\n"
                             "T2,Milo Tarrasch,trumpets\n"
                             "U1,Junia Oberholt,tubas\n";

/* --- refusals ------------------------------------------------------------------------------ */

enum table { SECTIONS, ROSTER, FAULTS, SETS };

static bool read_table(struct arena *a, enum table table, const char *text, struct err *e)
{
    struct show show = show_of(a, tree, people, NULL, NULL);
    size_t n = strlen(text);
    struct section_list s;
    struct performer_list p;
    struct fault_list f;
    struct set_list d;
    switch (table) {
    case SECTIONS:
        return sections_read(a, &(struct table_text){text, n, "t.csv", NULL}, &s, e);
    case ROSTER:
        return roster_read(a, &show, &(struct table_text){text, n, "t.csv", NULL}, &p, e);
    case FAULTS:
        return faults_read(a, &(struct table_text){text, n, "t.csv", NULL}, &f, e);
    case SETS:
        return sets_read(a, &(struct table_text){text, n, "t.csv", NULL}, &d, e);
    }
    return false;
}

static const struct refusal {
    const char *name;
    enum table table;
    const char *text, *said;
} refusals[] = {
    {"a section without a name", SECTIONS, "section,parent\nwinds,\n,winds\n",
     "t.csv:3:1: section: the cell is empty; name the section"},
    {"a section twice, letter case ignored", SECTIONS, "section,parent\nWinds,\nwinds,\n",
     "t.csv:3:1: section: 'winds' is there already (line 2); keep one"},
    {"a parent that is not there", SECTIONS, "parent,section\n,winds\nwnids,flutes\n",
     "t.csv:3:1: parent: no section 'wnids'; did you mean 'winds'?"},
    {"a parent that is like nothing", SECTIONS, "section,parent\nwinds,\nflutes,percussion\n",
     "t.csv:3:2: parent: no section 'percussion'; give it a row of its own"},
    {"a section above itself", SECTIONS, "section,parent\na,b\nb,c\nc,a\n",
     "t.csv:4:2: parent: 'c' is above itself; follow its parents and break the loop"},
    {"a section that is its own parent", SECTIONS, "section,parent\nwinds,winds\n",
     "t.csv:2:2: parent: 'winds' is above itself; follow its parents and break the loop"},
    {"a key that is no letter", SECTIONS, "section,key\nwinds,w1\n",
     "t.csv:2:2: key: 'w1' cannot be a key; use letters a to z only, every other key drives the "
     "program"},
    {"a key that is too long", FAULTS, "fault,key\nslouch,slouc\n",
     "t.csv:2:2: key: 'slouc' is too long; use at most 4 letters"},
    {"no sections at all", SECTIONS, "section,parent\n",
     "t.csv: no rows under the header; nothing to add"},
    {"a performer without a label", ROSTER, "name,performer,section\nAda,,tubas\n",
     "t.csv:2:2: performer: the cell is empty; give the performer a label (T3)"},
    {"a label twice, letter case ignored", ROSTER,
     "performer,section\nT1,tubas\nT2,tubas\nt1,tubas\n",
     "t.csv:4:1: performer: 't1' is there already (line 2); every performer needs a label of "
     "their own"},
    {"a label that would split a list", ROSTER, "performer,section\nT1;T2,tubas\n",
     "t.csv:2:1: performer: 'T1;T2': a label cannot contain ';'"},
    {"an unknown section", ROSTER, "performer,name,section\nT1,Ada,trumpts\n",
     "t.csv:2:3: section: no section 'trumpts'; did you mean 'trumpets'?"},
    {"no section", ROSTER, "performer,name,section\nT1,Ada,\n",
     "t.csv:2:3: section: the cell is empty; name the section of 'T1'"},
    {"a row that ends before the section", ROSTER, "performer,name,section\nT1\n",
     "t.csv:2:3: section: the cell is empty; name the section of 'T1'"},
    {"a fault without a name", FAULTS, "family,fault\nfeet,\n",
     "t.csv:2:2: fault: the cell is empty; name the fault"},
    {"a fault twice", FAULTS, "fault\nhorn angle\nHorn Angle\n",
     "t.csv:3:1: fault: 'Horn Angle' is there already (line 2); keep one"},
    {"a cause that is none", FAULTS, "fault,cause\nslouch,performers\n",
     "t.csv:2:2: cause: 'performers' is not a cause; write define or execute"},
    {"a set without a label", SETS, "set,counts\n,8\n",
     "t.csv:2:1: set: the cell is empty; label the set (12, 12A)"},
    {"a set twice", SETS, "set,counts\n12A,8\n12a,16\n",
     "t.csv:3:1: set: set '12a' is there already (line 2); keep one"},
    {"a set without counts", SETS, "set,counts\n12,\n",
     "t.csv:2:2: counts: the cell is empty; how many counts lead to set '12'?"},
    {"counts that are no number", SETS, "set,counts\n12,eight\n",
     "t.csv:2:2: counts: 'eight' is not a number"},
    {"half a count", SETS, "set,counts\n12,7.5\n", "t.csv:2:2: counts: 7.5 is not a whole number"},
    {"counts below zero", SETS, "set,counts\n12,-8\n", "t.csv:2:2: counts: -8 is outside 0 to 999"},
    {"a tempo nobody marches", SETS, "set,counts,tempo\n12,8,1200\n",
     "t.csv:2:3: tempo: 1200 is outside 20 to 400"},
    {"an end tempo without a tempo", SETS, "set,counts,tempo,tempo_end\n12,8,,132\n",
     "t.csv:2:3: tempo: the cell is empty, but tempo_end is given; give both"},
    {"a hold that is no number", SETS, "set,counts,hold\n12,8,2s\n",
     "t.csv:2:3: hold: '2s' is not a number"},
};

static void refuses(void **state)
{
    const struct refusal *r = *state;
    struct arena a = {0};
    struct err e = {0};
    assert_false(read_table(&a, r->table, r->text, &e));
    assert_string_equal(e.text, r->said);
    assert_int_equal(e.code, ERR_INPUT);
    arena_free(&a);
}

/* --- values --------------------------------------------------------------------------------- */

static void sections_keep_their_place_parents_keys_and_words(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, tree, NULL, NULL, NULL);
    assert_int_equal(show.n_sections, 6);
    assert_int_equal(show.root, 0);
    assert_string_equal(show.sections[3].name, "trumpets");
    assert_string_equal(show.sections[3].key, "t");
    assert_int_equal(show.sections[3].up, 2);
    assert_true(section_within(&show, 3, 0) && section_within(&show, 3, 1));
    assert_true(section_within(&show, 3, 3));
    assert_false(section_within(&show, 3, 4) || section_within(&show, 1, 3));
    arena_free(&a);
}

static void capital_key_letters_become_small(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, "section,key\nwinds,W\n", NULL, NULL, NULL);
    assert_string_equal(show.sections[0].key, "w");
    arena_free(&a);
}

static const struct asked {
    const char *name, *text, *found; /* NULL: none */
} asked[] = {
    {"by name", "trumpets", "trumpets"},
    {"by name in capitals", "TRUMPETS", "trumpets"},
    {"by another word", "tpts", "trumpets"},
    {"by a word with blanks around it in the list", "high brass", "trumpets"},
    {"by key", "u", "tubas"},
    {"not by part of a word", "tpt", NULL},
    {"not by the list of words", "trumpet;tpts", NULL},
    {"not by nothing", "", NULL},
};

static void finds_a_section(void **state)
{
    const struct asked *r = *state;
    struct arena a = {0};
    struct show show = show_of(&a, tree, NULL, NULL, NULL);
    int at = show_section(&show, r->text);
    assert_string_equal(at < 0 ? "-" : show.sections[at].name, r->found ? r->found : "-");
    arena_free(&a);
}

static void a_name_is_preferred_to_words_and_words_to_keys(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show =
        show_of(&a, "section,key,words\nfirst,x,line\nline,z,\nsecond,y,z\n", NULL, NULL, NULL);
    assert_int_equal(show_section(&show, "line"), 1);
    assert_int_equal(show_section(&show, "z"), 2);
    arena_free(&a);
}

static void the_number_of_a_performer_is_the_last_in_the_label(void **state)
{
    (void)state;
    static const struct {
        const char *label;
        int number;
    } rows[] = {{"T3", 3},    {"T12", 12}, {"G-07", 7},    {"2T5", 5},
                {"solo", -1}, {"T0", 0},   {"T99999", -1}, {"3b", 3}};
    struct arena a = {0};
    char text[400] = "performer,section\n";
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        sprintf(text + strlen(text), "%s,tubas\n", rows[i].label);
    struct show show = show_of(&a, tree, text, NULL, NULL);
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(show.performers[i].number, rows[i].number);
    arena_free(&a);
}

static void performers_are_found_by_label_and_by_number_within_a_section(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, tree, people, NULL, NULL);
    int trumpets = show_section(&show, "trumpets"), brass = show_section(&show, "brass");
    assert_int_equal(show_performer(&show, "t2"), 1);
    assert_int_equal(show_performer(&show, "T9"), -1);
    int who[4];
    assert_int_equal(show_performers_numbered(&show, trumpets, 2, who, 4), 1);
    assert_int_equal(who[0], 1);
    assert_int_equal(show_performers_numbered(&show, trumpets, 3, who, 4), 0);
    assert_int_equal(show_performers_numbered(&show, brass, 2, who, 4), 1);
    assert_int_equal(show_performers_numbered(&show, show_section(&show, "drums"), 1, who, 4), 0);
    arena_free(&a);
}

static void faults_have_a_family_a_cause_and_what_right_looks_like(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, NULL, NULL,
                               "fault,family,key,cause,right,words\n"
                               "style,definition,qs,DEFINE,\"One way, named by staff.\",\n"
                               "slouch,posture,k,,,\n",
                               NULL);
    assert_int_equal(show.faults[0].cause, CAUSE_DEFINE);
    assert_string_equal(show.faults[0].right, "One way, named by staff.");
    assert_int_equal(show.faults[1].cause, CAUSE_EXECUTE);
    assert_string_equal(show.faults[1].family, "posture");
    arena_free(&a);
}

static void a_set_runs_at_one_tempo_unless_an_end_is_given(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = show_of(&a, NULL, NULL, NULL,
                               "set,counts,tempo,tempo_end,hold,measures,name\n"
                               "1,8,132,,0,2,opening\n2,16,132,144.5,1.5,4,\n2A,0,,,,,\n");
    assert_int_equal(show.n_sets, 3);
    assert_true(show.sets[0].tempo == 132 && show.sets[0].tempo_end == 132);
    assert_true(show.sets[1].tempo_end == 144.5 && show.sets[1].hold == 1.5);
    assert_true(show.sets[2].tempo == 0 && show.sets[2].tempo_end == 0);
    assert_int_equal(show.sets[2].counts, 0);
    assert_int_equal(show_set(&show, "2a"), 2);
    assert_string_equal(show.sets[0].name, "opening");
    arena_free(&a);
}

/* --- the tree ------------------------------------------------------------------------------ */

static const struct rooted {
    const char *name, *text, *root;
    bool needs;
} rooted[] = {
    {"one head above others is the root", "section,parent\nband,\nwinds,band\n", "band", false},
    {"sections without a head need one", "section,parent\nwinds,\ndrums,\n", NULL, true},
    {"one section alone needs one", "section,parent\ntubas,\n", NULL, true},
    {"a row named ensemble is it", "section,parent\nwinds,\nensemble,\ndrums,\n", "ensemble",
     false},
    {"a row named ensemble under another is it and makes no loop",
     "section,parent\nwinds,\nensemble,winds\ndrums,\nflutes,winds\n", "ensemble", false},
};

static void finds_the_root(void **state)
{
    const struct rooted *r = *state;
    struct arena a = {0};
    struct section_list l;
    struct err e = {0};
    assert_true(
        sections_read(&a, &(struct table_text){r->text, strlen(r->text), "t.csv", NULL}, &l, &e));
    assert_int_equal(sections_need_root(&l), r->needs);
    struct show show = {.sections = l.at, .n_sections = l.n};
    show_link(&show);
    if (r->root)
        assert_string_equal(show.sections[show.root].name, r->root);
    for (size_t i = 0; i < show.n_sections; i++)
        assert_true(section_within(&show, (int)i, show.root));
    arena_free(&a);
}

/* The readers refuse this; a show file written elsewhere may hold it. */
static void a_loop_in_stored_sections_is_cut(void **state)
{
    (void)state;
    struct section at[] = {{.name = "ensemble", .parent = ""},
                           {.name = "a", .parent = "b"},
                           {.name = "b", .parent = "c"},
                           {.name = "c", .parent = "b"}};
    struct show show = {.sections = at, .n_sections = 4};
    show_link(&show);
    for (int i = 0; i < 4; i++)
        assert_true(section_within(&show, i, show.root));
}

static struct fault_list faults_of(struct arena *a, const char *text)
{
    struct fault_list f;
    struct err e;
    if (!faults_read(a, &(struct table_text){text, strlen(text), "t.csv", NULL}, &f, &e))
        fail_msg("%s", e.text);
    return f;
}

/* Whether a fault needs the other sections: as the table says, else as it was, else as the faults
 * of its family. */
static void what_needs_the_others_is_read_kept_and_taken_from_the_family(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct fault_list f = faults_of(&a, "fault,family,together\nlate,timing,YES\nslouch,body,\n"
                                        "loud,,x\n");
    assert_true(f.at[0].together);
    assert_false(f.at[1].together);
    struct show show = {.faults = f.at, .n_faults = f.n};
    struct fault_list next = faults_of(&a, "fault,family\nLATE,body\nrush,timing\nlean,body\n"
                                           "odd,\n");
    faults_stay(&next, &show);
    assert_true(next.at[0].together);
    assert_true(next.at[1].together);
    assert_false(next.at[2].together);
    assert_false(next.at[3].together); /* no family is no family of their own */
    struct fault_list said = faults_of(&a, "fault,family,together\nlate,timing,no\nrush,timing,\n");
    faults_stay(&said, &show);
    assert_false(said.at[0].together);
    assert_false(said.at[1].together);
    static const char wrong[] = "fault,together\nlate,maybe\n";
    assert_false(
        faults_read(&a, &(struct table_text){wrong, sizeof wrong - 1, "t.csv", NULL}, &f, &e));
    assert_string_equal(e.text, "t.csv:2:2: together: 'maybe' is neither yes nor no");
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, refusals, refuses);
    cases_of(&all, asked, finds_a_section);
    cases_of(&all, rooted, finds_the_root);
    case_test(&all, sections_keep_their_place_parents_keys_and_words);
    case_test(&all, capital_key_letters_become_small);
    case_test(&all, a_name_is_preferred_to_words_and_words_to_keys);
    case_test(&all, the_number_of_a_performer_is_the_last_in_the_label);
    case_test(&all, performers_are_found_by_label_and_by_number_within_a_section);
    case_test(&all, faults_have_a_family_a_cause_and_what_right_looks_like);
    case_test(&all, a_set_runs_at_one_tempo_unless_an_end_is_given);
    case_test(&all, a_loop_in_stored_sections_is_cut);
    case_test(&all, what_needs_the_others_is_read_kept_and_taken_from_the_family);
    return cases_run(&all, "staff tables");
}
