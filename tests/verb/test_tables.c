/* Tables as spreadsheets save them where the comma is the decimal sign, and all that is wrong with a
 * table at once. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "verb/season.h"

static struct run add(const struct season *s, const char *what, const char *text)
{
    struct run_setup in = season_in(s, text);
    return box(&in, "add", "a.show", what, "-", NULL);
}

/* --- all wrong cells ---------------------------------------------------------------------------- */

static const struct wrong {
    const char *name, *what, *text;
    const char *said; /* all of standard error */
} wrongs[] = {
    {"sections", "sections",
     "section,parent,key\n,brass,k\nkazoos,brasss,1\nkazoos,brass,\nkeys,nowhere,k\n",
     "stdin:2:1: section: the cell is empty; name the section\n"
     "stdin:3:3: key: '1' cannot be a key; use letters a to z only, every other key drives the "
     "program\n"
     "stdin:4:1: section: 'kazoos' is there already (line 3); keep one\n"
     "stdin:3:2: parent: no section 'brasss'; give it a row of its own\n"
     "stdin:4:2: parent: no section 'brasss'; give it a row of its own\n"
     "stdin:5:2: parent: no section 'nowhere'; give it a row of its own\n"
     "boxcall: stdin: 6 cells are wrong; nothing of it was taken\n"},
    {"roster", "roster",
     "performer,name,section\nT9,Ada,trumpts\n,Bo,tubas\nT9,Cy,\n\"a;b\",Di,tubas\n",
     "stdin:2:3: section: no section 'trumpts'; did you mean 'trumpets'?\n"
     "stdin:3:1: performer: the cell is empty; give the performer a label (T3)\n"
     "stdin:4:1: performer: 'T9' is there already (line 2); every performer needs a label of their "
     "own\n"
     "stdin:4:3: section: the cell is empty; name the section of 'T9'\n"
     "stdin:5:1: performer: 'a;b': a label cannot contain ';'\n"
     "boxcall: stdin: 5 cells are wrong; nothing of it was taken\n"},
    {"a blank makes no other performer", "roster", "performer,section\nT9,tubas\nt 9,tubas\n",
     "boxcall: stdin:3:1: performer: 't 9' is there already (line 2); every performer needs a "
     "label "
     "of their own\n"},
    {"faults", "faults", "fault,cause,together\nlunge,perhaps,often\nlunge,define,yes\n",
     "stdin:2:2: cause: 'perhaps' is not a cause; write define or execute\n"
     "stdin:2:3: together: 'often' is neither yes nor no\n"
     "stdin:3:1: fault: 'lunge' is there already (line 2); keep one\n"
     "boxcall: stdin: 3 cells are wrong; nothing of it was taken\n"},
    {"sets", "sets",
     "set,counts,tempo,tempo_end,path\n1,eight,fast,120,hold 2\n2,8,,120,hold 8\n3,8.5,10,,hop\n",
     "stdin:2:2: counts: 'eight' is not a number\n"
     "stdin:2:3: tempo: 'fast' is not a number\n"
     "stdin:3:3: tempo: the cell is empty, but tempo_end is given; give both\n"
     "stdin:3:5: path: hold takes 8 of 8 counts; leave some to move in\n"
     "stdin:4:2: counts: 8.5 is not a whole number\n"
     "stdin:4:3: tempo: 10 is outside 20 to 400\n"
     "stdin:4:5: path: 'hop' is no way to a set; write hold N, halt N or follow T1-T8, with ';' "
     "between them\n"
     "boxcall: stdin: 7 cells are wrong; nothing of it was taken\n"},
    {"dots", "dots",
     "performer,set,across,depth,x,y\nT8,99,left,low,,\nT1,1,,,1,\nT1,1,,,500,x\nT1,1,,,1,2\n",
     "stdin:2:1: performer: no performer 'T8'; did you mean 'T1'?\n"
     "stdin:2:2: set: no set '99'; its label must be in the sets table\n"
     "stdin:2:3: across: 'left' is not a place across the field; write 'side 1, 2.5 outside 35' or "
     "'on 50'\n"
     "stdin:2:4: depth: 'low' is not a depth; write '4 in front of front hash' or 'on front "
     "sideline'\n"
     "stdin:3:6: y: no place; give across and depth, or x and y in steps\n"
     "stdin:4:1: performer: 'T1' has a dot for set 1 already (line 3)\n"
     "stdin:4:5: x: '500': off the field, which ends 96 steps from the 50\n"
     "stdin:4:6: y: 'x' is not a number\n"
     "stdin:5:1: performer: 'T1' has a dot for set 1 already (line 3)\n"
     "boxcall: stdin: 9 cells are wrong; nothing of it was taken\n"},
    {"marks", "marks",
     "clip,time,target,fault,severity,cause,praise,late_counts,measure,measure_value,across,depth\n"
     "tue,5,T1,h,1,,,,,,,\nteu,6,T77,horny angle,7,why,maybe,late,furlong,far,left,900\n"
     "thu,5:01,T1,h,1,,,,,,,\ntue,7,T1,h,1,,,,speed,,1,\ntue,8,T1,h,1,,,,,2,900,1\n",
     "stdin:3:1: clip: no clip 'teu'; did you mean 'tue'?\n"
     "stdin:3:3: target: no section or performer 'T77'; name a section or a performer's label\n"
     "stdin:3:4: fault: no fault 'horny angle'; did you mean 'horn angle'?\n"
     "stdin:3:5: severity: 7 is outside 1 to 3\n"
     "stdin:3:6: cause: 'why' is not a cause; write define or execute\n"
     "stdin:3:7: praise: 'maybe' is neither yes nor no\n"
     "stdin:3:8: late_counts: 'late' is not a number\n"
     "stdin:3:9: measure: 'furlong' is not measured; write interval, distance, line, arc, place, "
     "step "
     "size, speed or angle\n"
     "stdin:3:10: measure_value: 'far' is not a number\n"
     "stdin:3:11: across: 'left' is not a number\n"
     "stdin:4:2: time: 5:01 is past the end of clip 'thu'\n"
     "stdin:5:10: measure_value: write both what was measured and its value\n"
     "stdin:5:12: depth: write both across and depth\n"
     "stdin:6:9: measure: write both what was measured and its value\n"
     "stdin:6:11: across: '900': off the field, which ends 96 steps from the 50\n"
     "boxcall: stdin: 15 cells are wrong; nothing of it was taken\n"},
};

static void all_wrong_cells_are_named_and_nothing_is_stored(void **state)
{
    const struct wrong *w = *state;
    struct season s = season_new();
    const char *before = BOX(&s, "check", "a.show").out;
    struct run r = add(&s, w->what, w->text);
    assert_exit(r, 3);
    assert_string_equal(r.out, "");
    assert_string_equal(r.err, w->said);
    assert_string_equal(BOX(&s, "check", "a.show").out, before);
    assert_int_equal(json_array_size(json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json"))),
                     0);
}

static void a_label_is_known_with_blanks_and_without(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r =
        add(&s, "roster", "performer,name,section\nt 1,Edda,trumpets\nT 30,Finn,trumpets\n");
    assert_exit(r, 0);
    assert_string_equal(r.err, "roster: 1 added, 1 changed, 0 as before\n"
                               "'t 1' is taken for the 'T1' that is there\n");
    r = add(&s, "marks", "clip,time,target,fault\ntue,5,T30,late\ntue,6,t 1,late\n");
    assert_exit(r, 0);
    r = BOX(&s, "calls", "a.show", "tue", "--as", "json");
    const json_t *marks = json_out(r);
    static const char *const whose[] = {"T 30", "T1"};
    for (size_t i = 0; i < 2; i++)
        assert_string_equal(
            json_string_value(json_array_get(json_at(json_array_get(marks, i), "targets"), 0)),
            whose[i]);
}

/* What is typed and what a plan keeps are labels with blanks between them. */
static void a_label_of_a_set_is_one_word(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "sets", "set,counts,tempo\nT 4,16,120\nT 5,16,120\n");
    assert_exit(r, 0);
    assert_string_equal(r.err, "sets: 2 added, 0 changed, 0 as before\n"
                               "a set's label is one word: 'T 4' is called T4, and so on\n");
    r = add(&s, "dots", "performer,set,x,y\nT1,T 4,0,8\nT1,T5,4,8\n");
    assert_exit(r, 0);
    r = add(&s, "sets", "set,counts,tempo\nT 4,8,120\n");
    assert_contains(r.err, "sets: 0 added, 1 changed, 0 as before\n");
    r = add(&s, "sets", "set,counts\nT 4,8\nT4,8\n");
    assert_exit(r, 3);
    assert_contains(r.err, "set 'T4' is there already (line 2); keep one");
}

static void a_row_that_is_too_short_is_told(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "sets", "set,counts,tempo,name\nX4,16,120,turn\nX5,16\nX6,16,120\n");
    assert_exit(r, 0);
    assert_string_equal(r.err,
                        "sets: 3 added, 0 changed, 0 as before\n"
                        "stdin:3: fewer cells than the first line names (2 of 4); those that "
                        "are not there count as empty\n");
}

static void marks_that_say_something_new_are_changed(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "marks", "clip,time,target,fault,note\ntue,5,T1,late,watch the snap\n");
    assert_string_equal(r.err, "marks: 1 added\n");
    r = add(&s, "marks", "clip,time,target,fault,note\ntue,5,T1,late,\ntue,6,T1,late,\n");
    assert_string_equal(r.err, "marks: 1 added, 1 there already\n");
    r = add(&s, "marks", "clip,time,target,fault,note\ntue,5,T1,late,the snap is clean\n");
    assert_string_equal(r.err, "marks: 0 added, 1 changed\n");
}

static void a_replace_names_them_too_and_asks_nothing(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run_setup in = season_in(&s, "performer,section\nT1,x\nT2,y\n");
    struct run r = box(&in, "add", "a.show", "roster", "-", "--replace", "--yes", NULL);
    assert_exit(r, 3);
    assert_string_equal(r.err, "stdin:2:2: section: no section 'x'; boxcall keys SHOW lists them\n"
                               "stdin:3:2: section: no section 'y'; boxcall keys SHOW lists them\n"
                               "boxcall: stdin: 2 cells are wrong; nothing of it was taken\n");
}

static void a_heat_policy_names_them_too(void **state)
{
    (void)state;
    struct season s = season_new();
    write_file(s.dir, "heat.csv",
               "wbgt_from_f,wbgt_to_f,outdoors,breaks_per_hour,break_minutes,"
               "rest_minutes_per_hour,longest_hours,guidance,source\n"
               ",x,maybe,3,4,,,,\n82,87,yes,2.5,4,,,,us\n");
    struct run r = BOX(&s, "plan", "a.show", "--minutes", "60", "--wbgt", "88F", "--policy",
                       "heat.csv", "--try");
    assert_exit(r, 3);
    assert_string_equal(r.err,
                        "heat.csv:2:2: wbgt_to_f: 'x' is not a number\n"
                        "heat.csv:2:3: outdoors: 'maybe' is neither yes nor no\n"
                        "heat.csv:2:9: source: the cell is empty; say whose policy this row is\n"
                        "heat.csv:3:4: breaks_per_hour: '2.5' is not a whole number\n"
                        "boxcall: heat.csv: 4 cells are wrong; nothing of it was taken\n");
}

static void columns_that_are_passed_over_are_named(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = add(&s, "sets", "set,counts,tempi,locker\n3,8,120,7\n");
    assert_exit(r, 0);
    assert_string_equal(r.err, "sets: 1 added, 0 changed, 0 as before\n"
                               "stdin: columns that are passed over: 'tempi', 'locker'; did you "
                               "mean 'tempo' for 'tempi'?\n");
}

/* --- where the comma is the decimal sign -------------------------------------------------------- */

static const struct pair {
    const char *name, *what, *point, *comma;
} pairs[] = {
    {"sections", "sections", "section,parent,words\nkazoos,brass,kaz;kz\n",
     "section;parent;words\r\nkazoos;brass;\"kaz;kz\"\r\n"},
    {"roster", "roster", "performer,name,section\nT9,\"Fen, Ada\",tubas\n",
     "sep=;\r\nperformer;name;section\r\nT9;Fen, Ada;tubas\r\n"},
    {"faults", "faults", "fault,family,key,cause,right,words\nlunge,\"a, b\",u,define,c,d;e\n",
     "fault;family;key;cause;right;words\r\nlunge;a, b;u;define;c;\"d;e\"\r\n"},
    {"sets", "sets", "set,counts,tempo,tempo_end,hold\n3,8,132.5,144.25,1.5\n",
     "set;counts;tempo;tempo_end;hold\r\n3;8;132,5;144,25;1,5\r\n"},
    {"sets with tabs", "sets", "set,counts,tempo,tempo_end,hold\n3,8,132.5,144.25,1.5\n",
     "set\tcounts\ttempo\ttempo_end\thold\r\n3\t8\t132,5\t144,25\t1,5\r\n"},
    {"dots", "dots",
     "performer,set,across,depth,x,y\nT1,1,\"side 1, 2.5 outside 35\",4 behind front hash,,\n"
     "T2,1,,,-1.5,2.25\n",
     "performer;set;across;depth;x;y\r\nT1;1;side 1, 2,5 outside 35;4 behind front hash;;\r\n"
     "T2;1;;;-1,5;2,25\r\n"},
};

/* The table of points finds nothing to change in what the table of commas has put there. */
static void says_the_same_with_semicolons_and_decimal_commas(void **state)
{
    const struct pair *p = *state;
    struct season s = season_new();
    struct run r = add(&s, p->what, p->comma);
    assert_exit(r, 0);
    assert_contains(r.err, " added, 0 changed, 0 as before");
    r = add(&s, p->what, p->point);
    assert_exit(r, 0);
    assert_contains(r.err, ": 0 added, 0 changed, ");
}

static void times_of_marks_may_have_a_decimal_comma_among_semicolons(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(add(&s, "marks",
             "clip;time;target;fault;late_counts;late_error\n"
             "tue;65,25;\"T1;T2\";h;-0,5;0,125\ntue;1:05,5;T3;h;;\ntue;1:06.5;T3;h;;\n"),
         0);
    json_t *l = json_out(BOX(&s, "calls", "a.show", "tue", "--as", "json"));
    assert_int_equal(json_int(json_array_get(l, 0), "ms"), 65250);
    assert_true(json_real_value(json_at(json_array_get(l, 0), "late_counts")) == -0.5);
    assert_true(json_real_value(json_at(json_array_get(l, 0), "late_error")) == 0.125);
    assert_int_equal(json_array_size(json_at(json_array_get(l, 0), "targets")), 2);
    assert_int_equal(json_int(json_array_get(l, 1), "ms"), 65500);
    assert_int_equal(json_int(json_array_get(l, 2), "ms"), 66500);
}

/* --- written so --------------------------------------------------------------------------------- */

/* The marks of a clip without what the show gives them: their numbers. */
static const char *marks_of(const struct season *s)
{
    json_t *l = json_out(BOX(s, "calls", "a.show", "tue", "--as", "json"));
    for (size_t i = 0; i < json_array_size(l); i++)
        json_object_del(json_array_get(l, i), "id");
    char *text = json_dumps(l, JSON_SORT_KEYS | JSON_INDENT(1) | JSON_REAL_PRECISION(17));
    const char *kept = arena_strdup(test_arena(), text);
    free(text);
    return kept;
}

static const char hostile[] =
    "clip,time,target,fault,note,severity,cause,praise,author,late_counts,late_error,measure,"
    "measure_value,measure_error,measure_of,across,depth\n"
    "tue,0:05,T1;T2,h,\"a;b,c\",2,define,,\"O'Hara, Ada\",-0.4,0.125,interval,1.4,0.2,2,,\n"
    "tue,65.200001,tubas,late,=1+1;2,,,yes,@bo,1e-05,0.000123456789,step "
    "size,6.7123456789,,,-12.25,28.125\n"
    "tue,65.2004,U1,f,\"-2,5\",3,,,,-123.456,0,angle,-12.5,0,,0,0\n"
    "tue,66,U1,f,\"a \"\"quote\"\"\n1.5; 2,5\",3,,,;,12.5,1,,,,,,\n"
    "tue,67,U1,f,2.5,3,,,,,,,,,,3,4\n";

static void a_call_list_of_semicolons_is_the_same_table_of_marks(void **state)
{
    (void)state;
    struct season s = season_new(), other = season_new();
    ends(add(&s, "marks", hostile), 0);
    struct run r = BOX(&s, "calls", "a.show", "tue", "--as", "csv", "--semicolons");
    assert_quiet(r);
    assert_contains(r.out, "id;clip;time;set;count;target;");
    assert_contains(r.out, ";65,200001;;;tubas;");
    assert_contains(r.out, ";-0,4;0,125;");
    assert_contains(r.out, ";\"a;b,c\";");
    assert_contains(r.out, ";\"'-2,5\";"); /* a text: never run, and no number */
    assert_contains(r.out, ";2.5;");
    ends(add(&other, "marks", r.out), 0);
    assert_string_equal(marks_of(&other), marks_of(&s));
    struct run again = add(&s, "marks", r.out);
    assert_exit(again, 0);
    assert_string_equal(again.err, "marks: 0 added, 5 there already\n");
}

static void tables_of_every_verb_may_have_semicolons(void **state)
{
    (void)state;
    static const char *const verbs[][5] = {
        {"calls", "a.show", "tue"},
        {"fixes", "a.show"},
        {"define", "a.show"},
        {"compare", "a.show", "--from=2026-09-01", "--to=2026-09-03"},
        {"history", "a.show"},
        {"plan", "a.show", "--minutes", "30", "--try"},
        {"count", "a.show", "tue", "ties"},
        {"count", "a.show", "tue", "at", "7"},
        {"keys", "a.show"},
    };
    struct season s = season_new();
    ends(add(&s, "marks", hostile), 0);
    ends(BOX(&s, "mark", "a.show", "tue", "5", "T1", "h"), 0);
    ends(BOX(&s, "mark", "a.show", "thu", "5", "T1", "h"), 0);
    ends(BOX(&s, "count", "a.show", "tue", "tie", "0:04", "1"), 0);
    for (size_t i = 0; i < sizeof verbs / sizeof *verbs; i++) {
        const char *const *w = verbs[i];
        struct run point = BOX(&s, w[0], w[1], "--as", "csv", w[2], w[3], w[4]),
                   comma = BOX(&s, w[0], w[1], "--as", "csv", "--semicolons", w[2], w[3], w[4]);
        assert_exit(point, 0);
        assert_exit(comma, 0);
        const size_t head = strcspn(point.out, "\r");
        assert_int_equal(strcspn(comma.out, "\r"), head);
        assert_non_null(memchr(comma.out, ';', head));
        for (size_t k = 0; k < head; k++)
            assert_int_equal(comma.out[k], point.out[k] == ',' ? ';' : point.out[k]);
    }
}

static void semicolons_are_for_csv(void **state)
{
    (void)state;
    struct season s = season_new();
    struct run r = BOX(&s, "calls", "a.show", "tue", "--semicolons");
    assert_exit(r, 2);
    assert_one_line(r, "calls: --semicolons is for --as csv");
    r = BOX(&s, "count", "a.show", "tue", "ties", "--as", "json", "--semicolons");
    assert_exit(r, 2);
    assert_one_line(r, "count: --semicolons is for --as csv");
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, wrongs, all_wrong_cells_are_named_and_nothing_is_stored);
    cases_of(&all, pairs, says_the_same_with_semicolons_and_decimal_commas);
    case_test(&all, a_label_is_known_with_blanks_and_without);
    case_test(&all, a_label_of_a_set_is_one_word);
    case_test(&all, a_row_that_is_too_short_is_told);
    case_test(&all, marks_that_say_something_new_are_changed);
    case_test(&all, a_replace_names_them_too_and_asks_nothing);
    case_test(&all, a_heat_policy_names_them_too);
    case_test(&all, columns_that_are_passed_over_are_named);
    case_test(&all, times_of_marks_may_have_a_decimal_comma_among_semicolons);
    case_test(&all, a_call_list_of_semicolons_is_the_same_table_of_marks);
    case_test(&all, tables_of_every_verb_may_have_semicolons);
    case_test(&all, semicolons_are_for_csv);
    return cases_run(&all, "tables");
}
