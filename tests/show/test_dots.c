/* Dot sheets read into grid steps. The worked conversions are outside checks: the directions of a
 * dot sheet are the audience's; 22.5-inch steps, eight to five yards; the front hash lies 28 steps
 * (high school) or 32 steps (college) from the sideline, as published for both fields. */
#include <math.h>
#include <string.h>

#include "lib/cases.h"
#include "show/show.h"
#include "show/show_of.h"

static const struct spot {
    const char *name; /* what stands on the sheet */
    const char *across, *depth;
    double x;               /* steps from the 50, side 2 positive */
    double school, college; /* steps from the front sideline */
} spots[] = {
    {"side 1: 2.5 outside 35; 4 behind front hash", "side 1, 2.5 outside 35", "4 behind front hash",
     -26.5, 32, 36},
    {"side 2: 1 inside 45; 12 behind front sideline", "side 2: 1 inside 45",
     "12 behind front sideline", 7, 12, 12},
    {"on 50; on front hash", "on 50", "on front hash", 0, 28, 32},
    {"side 2: 3.25 outside 40; 6 in front of back hash", "side 2, 3.25 outside 40",
     "6 in front of back hash", 19.25, 50, 46},
    {"side 1: 4 inside 20; 8 in front of back sideline", "side 1, 4 inside 20",
     "8 in front of back sideline", -44, 76, 76},
    {"side 2: 2 outside the goal line; 10 in front of front hash", "side 2, 2 outside goal line",
     "10 in front of front hash", 82, 18, 22},
    {"halfway between two lines: 4 outside the 50", "side 1, 4 outside 50", "on front sideline", -4,
     0, 0},
    {"S1 and abbreviations", "S1: 2.5 steps outside the 35 yd ln", "4 steps behind the front hash",
     -26.5, 32, 36},
    {"the side behind the line", "2.5 outside 35, side 1", "on back hash", -26.5, 56, 52},
    {"sides A and B", "B: on 45 yard line", "on back side line", 8, 84, 84},
    {"home and visitor for front and back", "on 50", "3 behind visitor hash", 0, 59, 55},
    {"capital letters", "SIDE 2, ON 30", "ON FRONT HASH", 32, 28, 32},
    {"the audience's left and right", "Left: 2.5 steps outside 35 yd ln", "on front hash", -26.5,
     28, 32},
    {"right of the 50", "Right: On 45 yd ln", "on front hash", 8, 28, 32},
    {"a half as one character", "side 1, 2½ outside 35", "4½ steps behind front hash", -26.5, 32.5,
     36.5},
    {"a half alone", "side 1, ½ outside 35", "½ behind front hash", -24.5, 28.5, 32.5},
    {"a half apart", "side 1, 2 1/2 outside 35", "4 ¾ behind front hash", -26.5, 32.75, 36.75},
    {"decimals that are whole", "side 1, 2.0 outside 35", "4.0 steps in front of Front Hash", -26,
     24, 28},
    {"as staff say it", "S1 2.5 out 35", "on front hash", -26.5, 28, 32},
    {"and in", "S2 2.5 in 35", "on front hash", 21.5, 28, 32},
    {"as far as the next line", "side 1, 8 outside 35", "28 behind front hash", -32, 56, 60},
    {"in front of the front sideline", "on 50", "6 in front of front sideline", 0, -6, -6},
};

static void converts(void **state)
{
    const struct spot *s = *state;
    struct err e = {0};
    double x, school, college;
    if (!across_parse(grid_named("high-school"), s->across, &x, &e) ||
        !depth_parse(grid_named("high-school"), s->depth, &school, &e) ||
        !depth_parse(grid_named("college"), s->depth, &college, &e))
        fail_msg("%s", e.text);
    assert_true(fabs(x - s->x) < 1e-12);
    assert_true(fabs(school - s->school) < 1e-12);
    assert_true(fabs(college - s->college) < 1e-12);
}

/* A sheet that says whose hash it means is taken at its word. */
static void a_hash_says_whose_it_is(void **state)
{
    (void)state;
    static const struct row {
        const char *depth;
        double school, college; /* NAN: refused */
    } rows[] = {{"4.0 steps in front of Front Hash (HS)", 24, NAN},
                {"On Back Hash (high school)", 56, NAN},
                {"4 behind front hash (college)", NAN, 36},
                {"On Back Hash (NCAA)", NAN, 52}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct err e;
        double y;
        assert_int_equal(depth_parse(grid_named("high-school"), rows[i].depth, &y, &e),
                         !isnan(rows[i].school));
        assert_true(isnan(rows[i].school) || y == rows[i].school);
        assert_int_equal(depth_parse(grid_named("college"), rows[i].depth, &y, &e),
                         !isnan(rows[i].college));
        assert_true(isnan(rows[i].college) || y == rows[i].college);
    }
}

/* The same places in feet, where the sheet's grid divides the field's 160 ft into 84 steps and five
 * yards into 8: X and 'Y HS grid' of the worked table. */
static void steps_are_the_feet_of_the_worked_table(void **state)
{
    (void)state;
    static const double feet[][2] = {{-49.6875, 60.952381}, {13.125, 22.857143},
                                     {0, 53.333333},        {36.09375, 95.238095},
                                     {-82.5, 144.761905},   {153.75, 34.285714}};
    for (size_t i = 0; i < sizeof feet / sizeof *feet; i++) {
        struct err e;
        double x, y;
        assert_true(across_parse(grid_named("high-school"), spots[i].across, &x, &e));
        assert_true(depth_parse(grid_named("high-school"), spots[i].depth, &y, &e));
        assert_true(fabs(x * 15 / 8 - feet[i][0]) < 1e-6);
        assert_true(fabs(y * 160 / 84 - feet[i][1]) < 1e-6);
    }
}

static const char sections[] = "section,parent\nband,\ntubas,band\n";
static const char roster[] = "performer,section\nU1,tubas\nU2,tubas\n";
static const char sets[] = "set,counts\n1,8\n2,16\n12A,8\n";

static const struct refusal {
    const char *name, *text, *said;
} refusals[] = {
    {"a place that is no place", "performer,set,across,depth\nU1,1,left of 35,on front hash\n",
     "t.csv:2:3: across: 'left of 35' is not a place across the field; write 'side 1, 2.5 outside "
     "35' or 'on 50'"},
    {"no side", "performer,set,across,depth\nU1,1,2 outside 35,on front hash\n",
     "t.csv:2:3: across: '2 outside 35': which side? begin with side 1 or side 2"},
    {"a third side", "performer,set,across,depth\nU1,1,\"side 3, on 35\",on front hash\n",
     "t.csv:2:3: across: 'side 3, on 35': a field has side 1 and side 2"},
    {"a yard line that is not painted",
     "performer,set,across,depth\nU1,1,\"side 1, on 33\",on front hash\n",
     "t.csv:2:3: across: 'side 1, on 33': there is no yard line 33; lines stand every 5 yards, 0 "
     "to 50"},
    {"inside the 50", "performer,set,across,depth\nU1,1,\"side 1, 2 inside 50\",on front hash\n",
     "t.csv:2:3: across: 'side 1, 2 inside 50': nothing is inside the 50; write outside"},
    {"a depth that is none", "performer,set,across,depth\nU1,1,on 50,4 past front hash\n",
     "t.csv:2:4: depth: '4 past front hash' is not a depth; write '4 in front of front hash' or "
     "'on front sideline'"},
    {"a lost point across", "performer,set,across,depth\nU1,1,side 1 25 outside 35,on front hash\n",
     "t.csv:2:3: across: 'side 1 25 outside 35': 25 steps from a line, and the next is 8 away; is "
     "a "
     "point lost (2.5)?"},
    {"farther than the next line",
     "performer,set,across,depth\nU1,1,\"side 1, 8.5 outside 35\",on 50\n",
     "t.csv:2:3: across: 'side 1, 8.5 outside 35': 8.5 steps from a line, and the next is 8 away; "
     "count from the nearer line"},
    {"a lost point in depth", "performer,set,across,depth\nU1,1,on 50,100 behind back sideline\n",
     "t.csv:2:4: depth: '100 behind back sideline': 100 steps from a line, and at most 28 lie "
     "between two; "
     "is a point lost (10.0)?"},
    {"another field's hash", "performer,set,across,depth\nU1,1,on 50,4 behind Front Hash (NCAA)\n",
     "t.csv:2:4: depth: '4 behind Front Hash (NCAA)': that is another field's hash, and this "
     "show's field is: high school (28 28 28 steps)"},
    {"a depth left out", "performer,set,across,depth\nU1,1,on 50,\n",
     "t.csv:2:4: depth: '' is not a depth; write '4 in front of front hash' or 'on front "
     "sideline'"},
    {"no place at all", "performer,set,x,y\nU1,1,3,\n",
     "t.csv:2:4: y: no place; give across and depth, or x and y in steps"},
    {"steps that are no number", "performer,set,x,y\nU1,1,3,far\n",
     "t.csv:2:4: y: 'far' is not a number"},
    {"steps off every field", "performer,set,x,y\nU1,1,3,4000\n",
     "t.csv:2:4: y: '4000': more than 60 ft off the field"},
    {"steps off the field's end", "performer,set,x,y\nU1,1,97,4\n",
     "t.csv:2:3: x: '97': off the field, which ends 96 steps from the 50"},
    {"a spot behind the end line",
     "performer,set,across,depth\nU1,1,\"side 1, 17 outside goal\",on front hash\n",
     "t.csv:2:3: across: 'side 1, 17 outside goal': off the field, which ends 96 steps from the "
     "50"},
    {"a performer who is not on the roster", "performer,set,x,y\nU11,1,3,4\n",
     "t.csv:2:1: performer: no performer 'U11'; did you mean 'U1'?"},
    {"a set that is not in the table", "performer,set,x,y\nU1,9,3,4\n",
     "t.csv:2:2: set: no set '9'; its label must be in the sets table"},
    {"two dots of one performer for one set", "performer,set,x,y\nU1,1,3,4\nU2,1,5,4\nu1,1,6,4\n",
     "t.csv:4:1: performer: 'u1' has a dot for set 1 already (line 2)"},
};

static void refuses(void **state)
{
    const struct refusal *r = *state;
    struct arena a = {0};
    struct show show = show_of(&a, sections, roster, NULL, sets);
    struct dot_list l;
    struct err e = {0};
    assert_false(dots_read(&a, &show, &(struct table_text){r->text, strlen(r->text), "t.csv", NULL},
                           &l, &e));
    assert_string_equal(e.text, r->said);
    arena_free(&a);
}

static void dots_may_mix_sheet_language_and_steps(void **state)
{
    (void)state;
    static const char text[] = "set,performer,across,depth,x,y\n"
                               "1,U1,\"side 1, 2.5 outside 35\",4 behind front hash,,\n"
                               "12a,U2,,,-26.5,32\n";
    struct arena a = {0};
    struct show show = show_of(&a, sections, roster, NULL, sets);
    struct dot_list l;
    struct err e = {0};
    assert_true(
        dots_read(&a, &show, &(struct table_text){text, sizeof text - 1, "t.csv", NULL}, &l, &e));
    assert_int_equal(l.n, 2);
    assert_int_equal(l.at[1].performer, 1);
    assert_int_equal(l.at[1].set, 2);
    assert_true(l.at[0].x == l.at[1].x && l.at[0].y == l.at[1].y);
    arena_free(&a);
}

/* The commas of a list and those of decimals, in a table where cells are apart by semicolons. */
static void dots_read_a_decimal_comma_where_cells_are_apart_by_semicolons(void **state)
{
    (void)state;
    static const char text[] = "performer;set;across;depth;x;y\n"
                               "U1;1;side 1, 2,5 outside 35;4,25 behind front hash;;\n"
                               "U2;1;side 1,2 outside 35;on front hash;;\n"
                               "U1;2;2,5 outside 35, side 1;\"4 ¾ behind front hash\";;\n"
                               "U2;2;side 1,2.5 outside 35;0,5 behind front hash;;\n"
                               "U1;12A;;;-26,5;32,25\n";
    static const double want[][2] = {
        {-26.5, 32.25}, {-26, 28}, {-26.5, 32.75}, {-26.5, 28.5}, {-26.5, 32.25}};
    struct arena a = {0};
    struct show show = show_of(&a, sections, roster, NULL, sets);
    struct dot_list l;
    struct err e = {0};
    if (!dots_read(&a, &show, &(struct table_text){text, sizeof text - 1, "t.csv", NULL}, &l, &e))
        fail_msg("%s", e.text);
    assert_int_equal(l.n, 5);
    for (size_t i = 0; i < l.n; i++)
        assert_true(fabs(l.at[i].x - want[i][0]) < 1e-12 && fabs(l.at[i].y - want[i][1]) < 1e-12);
    arena_free(&a);
}

static void dots_before_roster_and_sets_say_what_to_add_first(void **state)
{
    (void)state;
    static const char text[] = "performer,set,x,y\nU1,1,3,4\n";
    struct arena a = {0};
    struct show empty = show_of(&a, sections, NULL, NULL, NULL),
                no_sets = show_of(&a, sections, roster, NULL, NULL);
    struct dot_list l;
    struct err e = {0};
    assert_false(
        dots_read(&a, &empty, &(struct table_text){text, sizeof text - 1, "t.csv", NULL}, &l, &e));
    assert_string_equal(e.text, "t.csv:2:1: performer: no performer 'U1'; add the roster first");
    assert_false(dots_read(&a, &no_sets, &(struct table_text){text, sizeof text - 1, "t.csv", NULL},
                           &l, &e));
    assert_string_equal(e.text, "t.csv:2:2: set: no set '1'; add the sets first");
    arena_free(&a);
}

static void words_of_chance_are_read_or_refused(void **state)
{
    (void)state;
    static const char *const words[] = {"side", "1",      "2",     "on",   "50",     "outside",
                                        "35",   "inside", "front", "hash", "behind", "in",
                                        "of",   "back",   "goal",  "2.5",  ",",      "sideline"};
    unsigned chance = 7;
    for (int round = 0; round < 3000; round++) {
        char text[300] = "";
        for (int n = (int)(round % 9); n > 0; n--) {
            chance = chance * 1103515245u + 12345u;
            strcat(strcat(text, words[(chance >> 16) % (sizeof words / sizeof *words)]), " ");
        }
        double x, y;
        struct err e = {0};
        assert_true(across_parse(grid_named("high-school"), text, &x, &e) ? fabs(x) < 200
                                                                          : e.code == ERR_INPUT);
        assert_true(depth_parse(grid_named("college"), text, &y, &e) ? fabs(y) < 200
                                                                     : e.code == ERR_INPUT);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, spots, converts);
    cases_of(&all, refusals, refuses);
    case_test(&all, steps_are_the_feet_of_the_worked_table);
    case_test(&all, a_hash_says_whose_it_is);
    case_test(&all, dots_may_mix_sheet_language_and_steps);
    case_test(&all, dots_read_a_decimal_comma_where_cells_are_apart_by_semicolons);
    case_test(&all, dots_before_roster_and_sets_say_what_to_add_first);
    case_test(&all, words_of_chance_are_read_or_refused);
    return cases_run(&all, "dots");
}
