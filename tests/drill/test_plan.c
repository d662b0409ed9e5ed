/* From open marks to the next rehearsal and back, from the command line. */
#include "drill/drill.h"

#define WHO_DECIDES "Local policy, the athletic trainer and licensed practice decide"

static const char *show;

/* Sets 1 to 3 of 20 s each; marks of the whole ensemble worth 6, 4 and 8. The example that
 * plan/plan.h works out by hand. */
static void by_hand(void)
{
    show = new_show("set,counts,tempo\n1,40,120\n2,40,120\n3,40,120\n", SMALL_BAND);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    add_marks(show, "clip,time,target,fault,severity\n"
                    "run,12,ensemble,out of step,3\nrun,13,ensemble,out of step,3\n"
                    "run,35,ensemble,out of step,3\nrun,36,ensemble,out of step,1\n"
                    "run,55,ensemble,out of step,3\nrun,56,ensemble,out of step,3\n"
                    "run,57,ensemble,out of step,2\n");
}

/* Four sets, faults that a section can mend alone and one that needs everybody. */
static void mixed(void)
{
    show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    add_marks(show, "clip,time,target,fault,severity\n"
                    "run,11,trumpets,slouch,3\nrun,12,T1,horn angle,3\nrun,13,tubas,slouch,3\n"
                    "run,20,U1,horn angle,2\nrun,21,color guard,head down,3\n"
                    "run,28,ensemble,phasing,3\nrun,29,trumpets,late arrival,2\n"
                    "run,36,G1,late arrival,1\nrun,37,color guard,slouch,3\n");
}

static const json_t *blocks_of(const json_t *plan)
{
    return json_object_get(plan, "blocks");
}

static bool is(const json_t *block, const char *kind)
{
    return strcmp(text_at(block, "kind"), kind) == 0;
}

static const char *who(const json_t *block)
{
    return json_string_value(json_array_get(json_object_get(block, "who"), 0));
}

static bool share_people(const json_t *a, const json_t *b)
{
    return !is(a, "sectional") || !is(b, "sectional") || strcmp(who(a), who(b)) == 0;
}

/* A block for everyone, or a chunk of a section's list: its seconds, and its first fix. */
static double seconds_of(const json_t *w)
{
    const double walked = null_at(w, "seconds_walked") ? 0 : number_at(w, "seconds_walked");
    assert_true(number_at(w, "counts") > 0 && number_at(w, "bpm") > 0);
    assert_true(json_array_size(json_object_get(w, "sets")) > 0);
    return number_at(w, "seconds_setup") + walked +
           (number_at(w, "reps") - (walked > 0)) * number_at(w, "seconds_per_rep");
}

static void fix_holds(const json_t *w)
{
    assert_true(json_array_size(json_object_get(w, "fixes")) > 0);
    const json_t *fix = row(json_object_get(w, "fixes"), 0);
    assert_non_null(text_at(fix, "target"));
    assert_non_null(text_at(fix, "fault"));
    const json_t *moments = json_object_get(fix, "moments"), *m = row(moments, 0);
    assert_true(number_at(fix, "marks") == json_array_size(moments));
    const char *at = strstr(text_at(m, "link"), "#t=");
    assert_non_null(at);
    assert_true(fabs(strtod(at + 3, NULL) * 1000 - fmax(number_at(m, "ms") - 2000, 0)) < 1);
}

/* Its list fits, its reps and gains are those of the list, and what has nothing open says so. */
static void sectional_holds(const json_t *b)
{
    const json_t *list = json_object_get(b, "list");
    double seconds = 0, reps = 0, gain = 0;
    for (size_t i = 0; i < json_array_size(list); i++) {
        seconds += seconds_of(row(list, i));
        reps += number_at(row(list, i), "reps");
        gain += number_at(row(list, i), "gain");
    }
    assert_true(seconds <= number_at(b, "seconds"));
    assert_true(reps == number_at(b, "reps"));
    assert_true(fabs(gain - number_at(b, "gain")) < 1e-9);
    if (gain > 0)
        fix_holds(row(list, 0));
    else
        assert_true(strlen(text_at(b, "name")) > 0);
}

/* What holds for every plan: whole minutes, inside its minutes, nobody in two places, all sections
 * apart at once, gains add up, a block is as long as its reps, every moment lies in a set of its
 * block. */
static void holds_together(const json_t *plan)
{
    const json_t *blocks = blocks_of(plan);
    const json_t *apart = NULL;
    double gain = 0, end = number_at(plan, "minutes") * 60;
    const double least = number_at(json_object_get(plan, "assumed"), "least_min") * 60;
    for (size_t i = 0; i < json_array_size(blocks); i++) {
        const json_t *b = row(blocks, i);
        const double from = number_at(b, "start_s"), to = from + number_at(b, "seconds");
        gain += number_at(b, "gain");
        assert_true(from >= 0 && to > from && to <= end);
        for (size_t k = 0; k < i; k++) {
            const json_t *o = row(blocks, k);
            const double o_from = number_at(o, "start_s"), o_to = o_from + number_at(o, "seconds");
            if (from < o_to && o_from < to && share_people(b, o))
                fail_msg("blocks %zu and %zu overlap", k + 1, i + 1);
        }
        assert_true(fmod(from, 60) == 0 && fmod(to, 60) == 0);
        if (is(b, "sectional")) {
            apart = apart ? apart : b;
            assert_true(from == number_at(apart, "start_s"));
            assert_true(to - from == number_at(apart, "seconds"));
            sectional_holds(b);
        } else if (is(b, "rep")) {
            assert_true(seconds_of(b) <= to - from);
            assert_true(seconds_of(b) > to - from - 60 || to - from == least);
            fix_holds(b);
        }
    }
    assert_true(fabs(gain - number_at(plan, "gain")) < 1e-6);
    assert_contains(text_at(plan, "caution"), WHO_DECIDES);
}

/* --- what a plan is -------------------------------------------------------------------------- */

static void the_plan_is_the_best_by_hand(void **state)
{
    (void)state;
    by_hand();
    const json_t *plan = box_json("plan", show, "--minutes", "3", "--reset", "20", "--setup", "0",
                                  "--say", "3", "--learn", "0.5", "--least", "1", "--worth", "0");
    const json_t *b = row(blocks_of(plan), 0);
    holds_together(plan);
    assert_int_equal(json_array_size(blocks_of(plan)), 1);
    assert_string_equal(text_at(plan, "start"), "18:00");
    assert_true(number_at(plan, "minutes") == 3);
    assert_true(fabs(number_at(plan, "gain") - 18 * (1 - 0.5 * 0.5)) < 1e-9);
    assert_int_equal(json_array_size(json_object_get(b, "sets")), 3);
    assert_true(number_at(b, "reps") == 2 && number_at(b, "seconds_per_rep") == 80);
    assert_true(number_at(b, "counts") == 120 && number_at(b, "bpm") == 120);
    assert_true(json_is_null(json_object_get(plan, "heat")));
}

static void the_gain_of_one_set_is_its_weight_times_what_the_reps_mend(void **state)
{
    (void)state;
    static const struct {
        const char *minutes, *learn;
        int reps;
    } rows[] = {{"1", "0.3", 1}, {"2", "0.3", 3}, {"5", "0.3", 7}, {"3", "0.25", 4}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        show = new_show("set,counts,tempo\n1,40,120\n", SMALL_BAND);
        add_clip(show, gray_clip(120), "run", "2026-08-01");
        box_ok("count", show, "run", "tie", "10", "1");
        box_ok("mark", show, "run", "12", "ensemble", "phasing", "--severity", "3");
        box_ok("mark", show, "run", "13", "ensemble", "phasing", "--severity", "2");
        const json_t *plan =
            box_json("plan", show, "--minutes", rows[i].minutes, "--reset", "20", "--setup", "0",
                     "--learn", rows[i].learn, "--least", "1", "--worth", "0");
        const double p = atof(rows[i].learn);
        assert_int_equal(number_at(row(blocks_of(plan), 0), "reps"), rows[i].reps);
        assert_true(fabs(number_at(plan, "gain") - 5 * (1 - pow(1 - p, rows[i].reps))) < 1e-9);
        holds_together(plan);
    }
}

static void plans_of_every_kind_hold_together(void **state)
{
    (void)state;
    static const char *const rows[][6] = {
        {"--minutes", "90", "--start", "18:00"},
        {"--minutes", "20"},
        {"--minutes", "45", "--together"},
        {"--minutes", "90", "--with", "brass,guard", "--reset", "45"},
        {"--minutes", "60", "--fixed", "warm-up:15", "--fixed", "run-through:10:last"},
        {"--minutes", "90", "--start", "23:30"},
        {"--minutes", "60", "--wbgt", "91F"}, /* last: the day keeps its reading */
    };
    mixed();
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *const *w = rows[i];
        const json_t *plan = json_of(
            run("boxcall", "plan", show, "--as", "json", w[0], w[1], w[2], w[3], w[4], w[5], NULL));
        holds_together(plan);
        assert_true(number_at(plan, "gain") > 0);
    }
}

static void sections_that_can_work_alone_do_so_at_the_same_time(void **state)
{
    (void)state;
    mixed();
    const json_t *blocks = blocks_of(box_json("plan", show, "--minutes", "20"));
    size_t apart = 0;
    for (size_t i = 0; i < json_array_size(blocks); i++)
        apart += is(row(blocks, i), "sectional");
    assert_true(apart >= 2);
    blocks = blocks_of(box_json("plan", show, "--minutes", "20", "--together"));
    for (size_t i = 0; i < json_array_size(blocks); i++)
        assert_false(is(row(blocks, i), "sectional"));
}

static void a_plan_past_midnight_says_next_day(void **state)
{
    (void)state;
    by_hand();
    const char *text = box_ok("plan", show, "--minutes", "90", "--start", "23:55").out;
    assert_contains(text, "23:55 to 1:25 next day");
    const json_t *plan = box_json("plan", show, "--minutes", "90", "--start", "23:55");
    const json_t *b = row(blocks_of(plan), json_array_size(blocks_of(plan)) - 1);
    assert_true(number_at(b, "start_s") >= 300);
    assert_contains(text_at(b, "start"), "next day");
    holds_together(plan);
}

static void a_section_that_nobody_attends_is_left_with_the_reason(void **state)
{
    (void)state;
    mixed();
    const json_t *plan = box_json("plan", show, "--minutes", "60", "--with", "brass");
    const json_t *left = row_with(json_object_get(plan, "left"), "target", "color guard");
    assert_contains(text_at(left, "why"), "nobody of this section attends");
    assert_true(number_at(left, "marks") >= 1 && *text_at(left, "fault"));
    holds_together(plan);
}

/* What is open counts whoever is there and wherever it was; no share of it is promised. */
static void a_gain_is_of_all_that_is_open_and_promises_nothing(void **state)
{
    (void)state;
    by_hand();
    const double all = number_at(box_json("plan", show, "--minutes", "3"), "open_weight");
    box_ok("mark", show, "run", "1", "tubas", "slouch", "--severity", "3"); /* before every set */
    const json_t *plan = box_json("plan", show, "--minutes", "3");
    assert_true(fabs(number_at(plan, "open_weight") - all - 3) < 1e-9);
    assert_true(number_at(plan, "gain") < number_at(plan, "open_weight"));
    const char *text = box_ok("plan", show, "--minutes", "3").out;
    assert_contains(text, say("of %.1f open", all + 3));
    assert_lacks(text, "should come clean");
    assert_contains(text,
                    "Assumed, no source (plan --help: how to change it): at most 2 things are "
                    "said\n  before a rep, and the rep mends 30 % of that; 40 % in a "
                    "sectional");
    assert_contains(text, "a repped mark counts 0.5");
    assert_contains(text, "(Heathcote and others 2000)");
}

/* Marks on all brass are nobody's work when the guard rehearses alone. */
static void a_remark_on_a_group_that_is_not_there_is_left_too(void **state)
{
    (void)state;
    mixed();
    box_ok("mark", show, "run", "12", "brass", "slouch");
    const json_t *plan = box_json("plan", show, "--minutes", "60", "--with", "guard");
    const json_t *left = row_with(json_object_get(plan, "left"), "target", "brass");
    assert_contains(text_at(left, "why"), "nobody of this section attends");
    size_t i;
    const json_t *b;
    json_array_foreach(blocks_of(plan), i, b)
    {
        size_t k;
        const json_t *fix;
        json_array_foreach(json_object_get(b, "fixes"), k, fix)
            assert_string_not_equal(text_at(fix, "target"), "brass");
    }
    holds_together(plan);
}

static void a_set_without_a_tempo_is_asked_for_its_seconds_and_takes_them(void **state)
{
    (void)state;
    show = new_show("set,counts,tempo\n1,16,\n2,16,120\n", SMALL_BAND);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("count", show, "run", "tie", "22", "2");
    box_ok("mark", show, "run", "12", "ensemble", "phasing");
    refused(box("plan", show, "--minutes", "30"), 3, "set 1: no tempo and no seconds");
    const json_t *plan = box_json("plan", show, "--minutes", "2", "--seconds", "1:12");
    assert_true(number_at(row(blocks_of(plan), 0), "seconds_per_rep") ==
                50); /* 12 + 35, in fives */
    refused(box("plan", show, "--minutes", "30", "--seconds", "9:12"), 3, "no set '9'");
    refused(box("plan", show, "--minutes", "30", "--seconds", "1:soon"), 2, "SET:SECONDS");
}

static void a_plan_comes_as_text_and_csv_too(void **state)
{
    (void)state;
    mixed();
    box_ok("mark", show, "run", "30", "T1", "slouch", "--note", "red \033[31m bell \a");
    const char *csv =
        box_ok("plan", show, "--minutes", "60", "--fixed", "stretch, \"easy\":5", "--as", "csv")
            .out;
    assert_true(csv_rows(csv) > 3);
    assert_string_equal(csv_at(csv, 1, 3), "fixed");
    assert_string_equal(csv_at(csv, 1, 4), "stretch, \"easy\"");
    const char *text = box_ok("plan", show, "--minutes", "60").out;
    tame(text);
    assert_contains(text, WHO_DECIDES);
    assert_contains(text, "slouch (2) 0:");
}

static void nothing_open_is_said_clearly(void **state)
{
    (void)state;
    show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    refused(box("plan", show, "--minutes", "60"), 3, "nothing is open");
    box_ok("mark", show, "run", "12", "T1", "slouch");
    refused(box("plan", show, "--minutes", "60"), 3, "no open mark knows its set");
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("plan", show, "--minutes", "60");
    box_ok("state", show, "T1", "slouch", "clean");
    refused(box("plan", show, "--minutes", "60"), 3, "nothing is open");
}

static const struct bad {
    const char *name;
    const char *words[6];
    int status;
    const char *says;
} bad[] = {
    {"without minutes it is asked how long", {"--try"}, 2, "give --minutes"},
    {"no minutes", {"--minutes", "0"}, 2, "from 1 to 720"},
    {"minutes that are no number", {"--minutes", "long"}, 2, "from 1 to 720"},
    {"minutes too short for one rep",
     {"--minutes", "1", "--reset", "90", "--setup", "60"},
     3,
     "no room for one block"},
    {"a block longer than any", {"--minutes", "20", "--least", "30"}, 3, "no room for one block"},
    {"minutes of a block that are none", {"--minutes", "60", "--least", "0"}, 2, "from 1 to 60"},
    {"a worth that is none", {"--minutes", "60", "--worth", "-1"}, 2, "from 0 to 100"},
    {"an order that is none", {"--minutes", "60", "--order", "best"}, 2, "show or worst-first"},
    {"a rhythm that is none", {"--minutes", "60", "--breaks", "20"}, 2, "WORK:REST"},
    {"a rhythm beside a reading",
     {"--minutes", "60", "--breaks", "20:3", "--wbgt", "85F"},
     2,
     "the heat policy says when to rest"},
    {"an unknown section's plan", {"--minutes", "60", "--for", "trumpts"}, 3, "trumpets"},
    {"an hour that no clock has", {"--minutes", "60", "--start", "24:00"}, 2, "write 18:00"},
    {"a time with words", {"--minutes", "60", "--start", "six"}, 2, "write 18:00"},
    {"a minute that no clock has", {"--minutes", "60", "--start", "18:60"}, 2, "write 18:00"},
    {"an unknown section",
     {"--minutes", "60", "--with", "brass,gaurd"},
     3,
     "did you mean 'guard'?"},
    {"fixed items that overlap",
     {"--minutes", "60", "--fixed", "talk:20:18:10", "--fixed", "run:20:18:20"},
     3,
     "overlap at 18:20"},
    {"a fixed item outside the rehearsal",
     {"--minutes", "60", "--fixed", "talk:20:17:00"},
     3,
     "does not fit"},
    {"a fixed item without minutes", {"--minutes", "60", "--fixed", "talk"}, 2, "NAME:MINUTES"},
    {"a share that is none", {"--minutes", "60", "--learn", "1.5"}, 2, "up to 1"},
    {"a date that is none", {"--minutes", "60", "--date", "2026-02-30"}, 3, "2026-02-30"},
};

static void is_refused(void **state)
{
    const struct bad *b = *state;
    by_hand();
    const char *const *w = b->words;
    refused(run("boxcall", "plan", show, w[0], w[1], w[2], w[3], w[4], w[5], NULL), b->status,
            b->says);
    refused(box("tick", show), 3, "plan"); /* none was stored */
}

/* --- what can hurt --------------------------------------------------------------------------- */

/* Sets 1 to 3 of eight counts with these dots, and one open mark in each of sets 2 and 3. */
static void with_dots(const char *field, const char *dots)
{
    show = path_in(temp_dir(), "larkspur.show");
    box_ok("new", show, "--field", field);
    well(run_in(SMALL_BAND, "boxcall", "add", show, "roster", "-", NULL));
    well(run_in("set,counts,tempo\n1,8,120\n2,8,120\n3,8,120\n", "boxcall", "add", show, "sets",
                "-", NULL));
    well(run_in(dots, "boxcall", "add", show, "dots", "-", NULL));
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    box_ok("mark", show, "run", "15", "ensemble", "phasing");
    box_ok("mark", show, "run", "19", "ensemble", "phasing");
}

/* Between a college's hashes (40 ft) paper counts 20 steps of 24 in: 12.7 of them in eight counts
 * are 38.1 in a step, where plain steps of 22.5 in would be 35.7 and no caution (36 in: common
 * practice, no source). On a high school's field the same dots are 22.857 in a step: 36.3 in. */
static void steps_in_depth_are_those_of_the_field(void **state)
{
    (void)state;
    static const struct {
        const char *field, *to, *says;
    } rows[] = {{"college", "47.7", "set 2 has steps of 38 in"},
                {"high-school", "47.7", "set 2 has steps of 36 in"},
                {"high-school", "47.5", NULL}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        with_dots(rows[i].field, say("performer,set,x,y\nT1,1,0,35\nT1,2,0,%s\n", rows[i].to));
        const char *text =
            box_ok("plan", show, "--try", "--minutes", "30", "--most-reps", "20").out;
        if (rows[i].says)
            assert_contains(flat(text), rows[i].says);
        else
            assert_lacks(flat(text), "has steps of");
    }
}

/* T1 and U1 change places along one line, eight steps: they meet half-way, at count 5. Eight counts
 * at 120 are 4 s; sets 2 and 3 with 35 s of reset 43, in fives 45; walked 16 s and 35, in fives 55,
 * after 60 s of set-up. In two minutes there is room for that, 115 s. */
static const char crossing[] = "performer,set,x,y\nT1,1,0,30\nT1,2,8,30\nT1,3,8,30\n"
                               "U1,1,8,30\nU1,2,0,30\nU1,3,0,34\nT2,1,0,10\nT2,2,8,10\n";

static void paths_that_cross_are_walked_first(void **state)
{
    (void)state;
    with_dots("high-school", crossing);
    const char *text = box_ok("plan", show, "--try", "--minutes", "6", "--together").out;
    assert_contains(text, "2 3 (16 at 120) ×");
    assert_contains(text, ", 1st walked – ensemble: phasing (2)");
    assert_contains(flat(text),
                    "set 2: T1 and U1 come within 0 in of each other near count 5; walk it "
                    "before it is run");
    assert_lacks(text, "set 3: ");
    const json_t *blocks =
        blocks_of(box_json("plan", show, "--try", "--minutes", "2", "--together"));
    const json_t *b = row(blocks, 0);
    assert_true(number_at(b, "seconds_walked") == 55 && number_at(b, "seconds_setup") == 60);
    assert_true(number_at(b, "seconds") == 2 * 60);
    assert_contains(text_at(b, "walk_first"), "set 2: T1 and U1 come within 0 in");
    assert_int_equal(json_array_size(blocks), 1);
    const char *csv =
        box_ok("plan", show, "--try", "--minutes", "2", "--together", "--as", "csv").out;
    assert_string_equal(csv_at(csv, 0, 12), "seconds_walked");
    assert_true(atoi(csv_at(csv, 1, 12)) == (int)number_at(b, "seconds_walked"));
    assert_contains(csv_at(csv, 1, 13), "near count 5");
}

static void a_marked_collision_is_walked_first_until_it_is_clean(void **state)
{
    (void)state;
    with_dots("high-school", "performer,set,x,y\nT1,1,0,30\nT1,2,8,30\n");
    assert_lacks(box_ok("plan", show, "--try", "--minutes", "4").out, "walk");
    box_ok("mark", show, "run", "19.5", "T1", "near collision");
    const char *text = box_ok("plan", show, "--try", "--minutes", "4", "--together").out;
    assert_contains(flat(text),
                    "set 3: a near collision is marked in it; walk it before it is run");
    assert_contains(text, "walked");
    box_ok("state", show, "T1", "near collision", "clean");
    assert_lacks(box_ok("plan", show, "--try", "--minutes", "4").out, "walk");
}

/* What is not planned may still be run. */
static void a_crossing_that_is_not_planned_is_named_too(void **state)
{
    (void)state;
    with_dots("high-school", crossing);
    box_ok("state", show, "ensemble", "phasing", "clean");
    box_ok("mark", show, "run", "19", "ensemble", "dress");
    assert_contains(flat(box_ok("plan", show, "--try", "--minutes", "4", "--fixed", "run:2:last",
                                "--setup", "30")
                             .out),
                    "not planned, but to be walked before any run-through (somebody comes near "
                    "somebody): set 2");
}

/* --- afterwards ------------------------------------------------------------------------------ */

static const char *state_of(const char *whom, const char *fault)
{
    return text_at(
        row_with(json_object_get(box_json("fixes", show, "--for", whom), "items"), "fault", fault),
        "state");
}

/* What was made in two plans of one day adds up. */
static void history_adds_up_the_reps_that_were_made(void **state)
{
    (void)state;
    by_hand();
    for (int made = 1; made <= 2; made++) {
        box_ok("plan", show, "--minutes", "4", "--learn", "0.5", "--together", "--setup", "0",
               "--say", "12", "--date", "2026-08-09", "--worth", "0", "--least", "1");
        box_ok("tick", show, "1", say("%d", made));
    }
    const json_t *o = box_json("history", show, "--fault", "out of step"),
                 *all = json_object_get(row(json_object_get(o, "items"), 0), "rehearsals");
    const json_t *day = row_with(all, "date", "2026-08-09");
    assert_int_equal(number_at(day, "reps"), 3);
    assert_true(null_at(day, "marks")); /* there is no clip of that day */
    assert_contains(box_ok("history", show, "--fault", "out of step").out, "\n  2026-08-09     - ");
}

static void a_ticked_block_reps_its_lines_and_nothing_else(void **state)
{
    (void)state;
    by_hand();
    box_ok("mark", show, "run", "36", "tubas", "slouch");
    box_ok("plan", show, "--minutes", "4", "--learn", "0.5", "--together", "--setup", "0", "--say",
           "12", "--date", "2026-08-09", "--worth", "0", "--least", "1");
    const struct run before = box_ok("tick", show);
    assert_contains(before.out, "Plan of 2026-08-09, 4 minutes");
    assert_contains(before.out, "[ ] 18:00");
    assert_contains(before.out, "set 1 2 3, 2 reps");
    const struct run after = box_ok("tick", show, "1", "1");
    assert_contains(after.out, "[x] 18:00");
    assert_contains(after.out, "1 made");
    assert_string_equal(state_of("ensemble", "out of step"), "repped");
    const struct run back = box_ok("tick", show, "1", "--undo");
    assert_contains(after.err, "block 1 is done; 8 marks now repped: ensemble: out of step (7)");
    assert_contains(back.err,
                    "block 1 is not done after all; 8 marks are open again: ensemble: out");
    assert_string_equal(state_of("ensemble", "out of step"), "open");
    box_ok("undo", show);
    assert_string_equal(state_of("ensemble", "out of step"), "repped");
    box_ok("undo", show); /* a tick by mistake is taken back whole */
    assert_contains(box_ok("tick", show).out, "[ ] 18:00");
    assert_string_equal(state_of("ensemble", "out of step"), "open");
    box_ok("undo", show, "--redo");
    assert_string_equal(state_of("ensemble", "out of step"), "repped");
    box_ok("state", show, "ensemble", "out of step", "clean");
    box_ok("mark", show, "run", "58", "ensemble", "out of step");
    assert_true(json_is_true(json_object_get(
        row_with(json_object_get(box_json("fixes", show), "items"), "fault", "out of step"),
        "back")));
    refused(box("tick", show, "99"), 3, "a block of the plan");
    refused(box("tick", show, "1", "many"), 3, "a number of reps");
    refused(box("tick", show, "--date", "2026-01-01"), 3, "2026-01-01");
}

/* Nobody can rehearse what was never said: such marks get no reps, the plan names them, and a tick
 * leaves them open; once it is decided they are work like any other. */
static void what_the_staff_must_decide_gets_no_reps(void **state)
{
    (void)state;
    by_hand();
    box_ok("mark", show, "run", "14", "ensemble", "out of step", "--cause", "define");
    box_ok("mark", show, "run", "15", "tubas", "slouch", "--cause", "define");
#define SHORT "plan", show, "--minutes", "30", "--together"
    const json_t *plan = box_json(SHORT);
    const json_t *decide = json_object_get(plan, "decide");
    assert_int_equal(json_array_size(decide), 2);
    assert_true(number_at(row_with(decide, "target", "ensemble"), "marks") == 1);
    assert_true(number_at(plan, "open_weight") == 18);
    assert_contains(flat(box_ok(SHORT).out),
                    "Before it the staff must decide what right looks like (boxcall define): "
                    "ensemble: out of step (1), tubas: slouch (1). No reps are planned for that.");
    assert_contains(box_ok("tick", show, "1").err, "7 marks now repped: ensemble: out of step (7)");
    const json_t *calls = box_json("calls", show, "run");
    size_t open = 0;
    for (size_t i = 0; i < json_array_size(calls); i++)
        open += strcmp(text_at(row(calls, i), "state"), "open") == 0;
    assert_int_equal(open, 2);
    box_ok("define", show, "out of step", "--decide", "left foot on odd counts");
    plan = box_json(SHORT);
    assert_int_equal(json_array_size(json_object_get(plan, "decide")), 1);
    assert_true(number_at(plan, "open_weight") == 18 * 0.5 + 1); /* repped ones count half */
#undef SHORT
}

/* What one section does: its own list, and in everyone's blocks what is its own. */
static void a_plan_for_a_section_is_what_it_does(void **state)
{
    (void)state;
    mixed();
    const char *text = box_ok("plan", show, "--try", "--minutes", "40", "--for", "trumpets").out;
    assert_contains(text, "for trumpets");
    assert_contains(text, "trumpets: set 1, ");
    assert_contains(text, "slouch (1) 0:11.0");
    assert_lacks(text, "tubas");
    assert_lacks(text, "color guard");
    box_ok("mark", show, "run", "30", "brass", "bent line", "--severity", "3");
    text = box_ok("plan", show, "--try", "--minutes", "40", "--for", "trumpets").out;
    assert_contains(text, "brass: bent line (1) 0:30.0"); /* they are brass */
    assert_lacks(box_ok("plan", show, "--try", "--minutes", "40", "--for", "color guard").out,
                 "bent line");
    const json_t *blocks =
        blocks_of(box_json("plan", show, "--try", "--minutes", "40", "--for", "brass"));
    size_t apart = 0;
    for (size_t i = 0; i < json_array_size(blocks); i++)
        apart += is(row(blocks, i), "sectional");
    assert_int_equal(apart, 2);
    assert_contains(box_ok("plan", show, "--try", "--minutes", "40", "--full").out, "reps of 0:");
}

/* Whoever prepares the next rehearsal still ticks off today's. */
static void a_tick_is_of_todays_plan(void **state)
{
    (void)state;
    by_hand();
    box_ok("plan", show, "--minutes", "20");
    box_ok("plan", show, "--minutes", "30", "--date", "2999-01-01");
    assert_contains(box_ok("tick", show).out, ", 20 minutes");
    assert_contains(box_ok("tick", show, "--date", "2999-01-01").out, "2999-01-01, 30 minutes");
    refused(box("tick", show, "--earlier"), 3, "no earlier plan of");
    box_ok("tick", show, "1");
    box_ok("plan", show, "--minutes", "25"); /* what is left of today */
    const struct run now = box_ok("tick", show);
    assert_contains(now.out, ", 25 minutes");
    assert_contains(now.err, "is stored too");
    const struct run before = box_ok("tick", show, "--earlier");
    assert_contains(before.out, ", 20 minutes");
    assert_contains(before.out, "[x]");
    assert_contains(box_ok("tick", show, "1", "--undo", "--earlier").err, "open again");
}

static int blocks_of_kind(const json_t *plan, const char *kind)
{
    int n = 0;
    for (size_t i = 0; i < json_array_size(blocks_of(plan)); i++)
        n += is(row(blocks_of(plan), i), kind);
    return n;
}

/* Every option does what it says. */
static void options_change_the_plan(void **state)
{
    (void)state;
    mixed();
#define PLAN(...) box_json("plan", show, "--try", "--minutes", "60", __VA_ARGS__)
    assert_true(blocks_of_kind(PLAN("--least", "5"), "run") > 0);
    assert_int_equal(blocks_of_kind(PLAN("--no-run"), "run"), 0);
    assert_true(blocks_of_kind(PLAN("--least", "5"), "sectional") == 3);
    assert_int_equal(blocks_of_kind(PLAN("--sectional", "0"), "sectional"), 0);
    assert_int_equal(blocks_of_kind(PLAN("--worth", "50"), "rep"), 0);
    assert_int_equal(blocks_of_kind(PLAN("--breaks", "60:5"), "break"), 0);
    const json_t *some = PLAN("--breaks", "10:4");
    assert_true(blocks_of_kind(some, "break") >= 3);
    holds_together(some);
    assert_true(number_at(row_with(blocks_of(some), "kind", "break"), "seconds") >= 240);
    const json_t *shown = PLAN("--together", "--sectional", "1"),
                 *worst = PLAN("--together", "--order", "worst-first");
    assert_true(fabs(number_at(shown, "gain") - number_at(worst, "gain")) < 1e-9);
    assert_string_equal(
        json_string_value(json_array_get(json_object_get(row(blocks_of(shown), 0), "sets"), 0)),
        "1");
    double last = 1e9; /* of everyone's blocks: open severity, falling */
    for (size_t i = 0; i < json_array_size(blocks_of(worst)); i++) {
        const json_t *b = row(blocks_of(worst), i);
        double marks = 0;
        for (size_t k = 0; is(b, "rep") && k < json_array_size(json_object_get(b, "fixes")); k++)
            marks += number_at(row(json_object_get(b, "fixes"), k), "marks");
        assert_true(!is(b, "rep") || marks <= last);
        last = is(b, "rep") ? marks : last;
    }
#undef PLAN
}

/* Twenty sets, marks all over them: a rehearsal of an hour and a half has some six to twelve blocks
 * and a page of paper (66 lines: common practice of printers, no source). */
static void ninety_minutes_are_a_dozen_blocks_on_a_page(void **state)
{
    (void)state;
    const char *sets = "set,counts,tempo\n", *marks = "clip,time,target,fault,severity\n";
    static const char *const rows[] = {"ensemble,phasing", "trumpets,slouch", "tubas,horn angle",
                                       "color guard,head down", "ensemble,late arrival"};
    for (int s = 0; s < 20; s++) {
        sets = say("%s%d,16,120\n", sets, s + 1);
        for (int k = 0; k < 5; k++)
            if ((s * 7 + k * 3) % 4)
                marks = say("%srun,%d,%s,%d\n", marks, 11 + 8 * s + k, rows[k], 1 + (s + k) % 3);
    }
    show = new_show(sets, SMALL_BAND);
    add_clip(show, gray_clip(200), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    add_marks(show, marks);
    const json_t *plan = box_json("plan", show, "--minutes", "90");
    holds_together(plan);
    int blocks = 0;
    double start = -1;
    for (size_t i = 0; i < json_array_size(blocks_of(plan)); i++) {
        const json_t *b = row(blocks_of(plan), i);
        blocks += !is(b, "break") && number_at(b, "start_s") != start;
        start = number_at(b, "start_s");
    }
    assert_in_range(blocks, 6, 12);
    int lines = 0;
    for (const char *text = box_ok("plan", show).out; *text; text++)
        lines += *text == '\n';
    assert_in_range(lines, 20, 66);
}

static void lines_of_other_sets_stay_open(void **state)
{
    (void)state;
    by_hand();
    box_ok("plan", show, "--minutes", "1", "--learn", "0.5", "--setup", "0", "--worth",
           "0"); /* one rep of one set */
    box_ok("tick", show, "1");
    const json_t *calls = box_json("calls", show, "run");
    size_t repped = 0;
    for (size_t i = 0; i < json_array_size(calls); i++)
        repped += strcmp(text_at(row(calls, i), "state"), "repped") == 0;
    assert_true(repped > 0 && repped < json_array_size(calls));
}

static void a_block_without_a_rep_made_reps_nothing(void **state)
{
    (void)state;
    by_hand();
    box_ok("plan", show, "--minutes", "3", "--learn", "0.5", "--together");
    const struct run none = box_ok("tick", show, "1", "0");
    assert_contains(none.out, "0 made");
    assert_contains(none.err, "block 1 is done; 0 marks now repped");
    assert_string_equal(state_of("ensemble", "out of step"), "open");
    /* Nor does taking it back open what was repped elsewhere. */
    box_ok("state", show, "ensemble", "out of step", "repped");
    const struct run back = box_ok("tick", show, "1", "--undo");
    assert_contains(back.err, "block 1 is not done after all; 0 marks are open again");
    assert_string_equal(state_of("ensemble", "out of step"), "repped");
    assert_contains(box_ok("tick", show, "1", "--undo").err,
                    "block 1 was not ticked off; nothing changed");
    refused(box("tick", show, "--undo"), 2, "--undo of which block?");
    assert_string_equal(state_of("ensemble", "out of step"), "repped");
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_plan_is_the_best_by_hand);
    case_test(&all, the_gain_of_one_set_is_its_weight_times_what_the_reps_mend);
    case_test(&all, plans_of_every_kind_hold_together);
    case_test(&all, sections_that_can_work_alone_do_so_at_the_same_time);
    case_test(&all, a_plan_past_midnight_says_next_day);
    case_test(&all, a_section_that_nobody_attends_is_left_with_the_reason);
    case_test(&all, a_remark_on_a_group_that_is_not_there_is_left_too);
    case_test(&all, a_gain_is_of_all_that_is_open_and_promises_nothing);
    case_test(&all, a_set_without_a_tempo_is_asked_for_its_seconds_and_takes_them);
    case_test(&all, a_plan_comes_as_text_and_csv_too);
    case_test(&all, nothing_open_is_said_clearly);
    cases_of(&all, bad, is_refused);
    case_test(&all, steps_in_depth_are_those_of_the_field);
    case_test(&all, paths_that_cross_are_walked_first);
    case_test(&all, a_marked_collision_is_walked_first_until_it_is_clean);
    case_test(&all, a_crossing_that_is_not_planned_is_named_too);
    case_test(&all, history_adds_up_the_reps_that_were_made);
    case_test(&all, a_ticked_block_reps_its_lines_and_nothing_else);
    case_test(&all, what_the_staff_must_decide_gets_no_reps);
    case_test(&all, a_plan_for_a_section_is_what_it_does);
    case_test(&all, a_tick_is_of_todays_plan);
    case_test(&all, options_change_the_plan);
    case_test(&all, ninety_minutes_are_a_dozen_blocks_on_a_page);
    case_test(&all, lines_of_other_sets_stay_open);
    case_test(&all, a_block_without_a_rep_made_reps_nothing);
    return cases_run(&all, "the rep plan");
}
