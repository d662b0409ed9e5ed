/* What a plan says and does about heat. It clears nobody to work: local policy, the athletic
 * trainer and licensed practice decide. */
#include "drill/drill.h"

static const char *show;

static int one_show(void **state)
{
    (void)state;
    show = new_show(EVEN_SETS, SMALL_BAND);
    add_clip(show, gray_clip(120), "run", "2026-08-01");
    box_ok("count", show, "run", "tie", "10", "1");
    add_marks(show, "clip,time,target,fault,severity\n"
                    "run,11,trumpets,slouch,3\nrun,20,ensemble,phasing,3\n");
    return 0;
}

static const json_t *plan(const char *minutes, const char *option, const char *value)
{
    /* So many reps that the minutes are full of work. */
    return box_json("plan", show, "--try", "--minutes", minutes, "--reset", "60", "--most-reps",
                    "100", "--learn", "0.05", option, value);
}

static const json_t *warm(double f, double humidity)
{
    return json_object_get(box_json("plan", show, "--try", "--minutes", "10", "--temp",
                                    say("%gF", f), "--humidity", say("%g", humidity)),
                           "heat");
}

/* NOAA Weather Prediction Center, The Heat Index Equation (Rothfusz 1990, SR 90-23): the cells of
 * the NWS chart (degrees F), which is the plain polynomial rounded, and the equation's own values
 * with its adjustments. */
static void the_heat_index_is_that_of_the_weather_service(void **state)
{
    (void)state;
    static const struct {
        double f, humidity, chart, equation;
    } rows[] = {{80, 40, 80, 79.79},   {86, 80, 100, 99.80},   {88, 75, 103, 103.11},
                {90, 50, 95, 94.60},   {94, 70, 119, 119.00},  {96, 60, 116, 116.13},
                {98, 50, 113, 112.78}, {100, 40, 109, 109.26}, {104, 45, 124, 124.42},
                {82, 90, NAN, 91.99},  {84, 100, NAN, 103.56}, {110, 10, NAN, 104.39},
                {75, 60, NAN, 75.01}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const double index = number_at(warm(rows[i].f, rows[i].humidity), "index_f");
        if (fabs(index - rows[i].equation) > 0.006 || fabs(index - rows[i].chart) > 1)
            fail_msg("%g F, %g %%: %.3f", rows[i].f, rows[i].humidity, index);
    }
}

static void the_index_has_a_category_and_celsius_is_read(void **state)
{
    (void)state;
    const json_t *o = warm(94, 70);
    assert_true(*text_at(o, "category"));
    assert_true(null_at(o, "wbgt_f") && null_at(o, "policy"));
    const json_t *c = json_object_get(
        box_json("plan", show, "--try", "--minutes", "10", "--temp", "30C", "--humidity", "80"),
        "heat");
    assert_true(fabs(number_at(c, "index_f") - 99.80) < 0.006); /* 30 C are 86 F */
}

/* A state high-school association's board policy (check values: degrees F WBGT): the breaks that
 * an hour must hold. 82.0 is the first of its row, 81.9 the last of the one before. */
static void breaks_are_those_of_the_policy(void **state)
{
    (void)state;
    static const struct {
        const char *wbgt;
        int breaks, minutes, rest;
    } rows[] = {{"75F", 3, 3, 0},   {"81.9F", 3, 3, 0}, {"82.0F", 3, 4, 0},  {"86.9F", 3, 4, 0},
                {"87.0F", 4, 4, 0}, {"89.9F", 4, 4, 0}, {"90.0F", 1, 1, 20}, {"92.0F", 1, 1, 20}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const json_t *p = plan("60", "--wbgt", rows[i].wbgt),
                     *blocks = json_object_get(p, "blocks");
        int breaks = 0;
        double rest = 0;
        for (size_t k = 0; k < json_array_size(blocks); k++) {
            const json_t *b = row(blocks, k);
            if (strcmp(text_at(b, "kind"), "break") != 0)
                continue;
            assert_true(number_at(b, "seconds") >= 60 * rows[i].minutes);
            rest += number_at(b, "seconds");
            breaks++;
        }
        if (breaks < rows[i].breaks || rest < 60 * rows[i].rest)
            fail_msg("%s: %d breaks, %.0f s of rest", rows[i].wbgt, breaks, rest);
        const json_t *heat = json_object_get(p, "heat");
        assert_true(fabs(number_at(heat, "wbgt_f") - atof(rows[i].wbgt)) < 1e-6);
        assert_true(*text_at(heat, "policy"));
    }
}

/* Seconds of rest in the printed hour; what touches is one rest. */
static double rest_of(const json_t *p)
{
    const json_t *blocks = json_object_get(p, "blocks");
    double rest = 0;
    for (size_t i = 0; i < json_array_size(blocks); i++) {
        const json_t *b = row(blocks, i);
        if (strcmp(text_at(b, "kind"), "break") == 0 || strcmp(text_at(b, "kind"), "rest") == 0)
            rest += number_at(b, "seconds");
    }
    return rest;
}

/* 90.0 to 92.0: 20 min of rest in the hour. Fixed items pushed the breaks out of it. */
static void fixed_items_do_not_take_the_rest_of_the_hour(void **state)
{
    (void)state;
    static const char *const rows[][2] = {{"warm-up:15", "run:10:last"},
                                          {"warm-up:15", "run:20:last"},
                                          {"talk:20:18:20", "run:5:last"},
                                          {"a:30", "talk:10:18:40:rest"},
                                          {"a:30", "talk:10:rest"}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const json_t *p = box_json("plan", show, "--try", "--minutes", "60", "--wbgt", "91F",
                                   "--fixed", rows[i][0], "--fixed", rows[i][1]);
        if (rest_of(p) < 1200)
            fail_msg("%s, %s: %.0f s of rest", rows[i][0], rows[i][1], rest_of(p));
    }
    const struct run r =
        box("plan", show, "--try", "--minutes", "60", "--wbgt", "91F", "--fixed", "a:50");
    refused(r, 3, "asks 20 min of rest in any 60 min");
    int minutes = 0;
    assert_true(sscanf(strstr(r.err, "shorten"), "shorten a from 50 to %d min", &minutes) == 1);
    const json_t *p = box_json("plan", show, "--try", "--minutes", "60", "--wbgt", "91F", "--fixed",
                               say("a:%d", minutes));
    assert_true(rest_of(p) >= 1200 && number_at(p, "gain") > 0);
}

static void an_item_that_is_rest_says_so_wherever_it_is_printed(void **state)
{
    (void)state;
    const char *text =
        box_ok("plan", show, "--try", "--minutes", "60", "--fixed", "talk:10:19:00:rest", "--start",
               "18:30", "--fixed", "shade:5:rest", "--fixed", "run:5:last:rest")
            .out;
    assert_contains(text, "19:00  10 talk (rest)");
    assert_contains(text, "shade (rest)");
    assert_contains(text, "run (rest)");
    const char *csv =
        box_ok("plan", show, "--try", "--minutes", "60", "--fixed", "talk:10:rest", "--as", "csv")
            .out;
    assert_string_equal(csv_at(csv, 1, 3), "rest");
    assert_string_equal(csv_at(csv, 1, 4), "talk (rest)");
    refused(box("plan", show, "--minutes", "60", "--fixed", "talk:10:19:00rest"), 2, "18:00");
}

static void a_policy_without_a_reading_is_refused(void **state)
{
    (void)state;
    refused(box("plan", show, "--try", "--minutes", "60", "--policy", "nosuch"), 2,
            "give that with it, as --wbgt 88F");
}

/* The table allows 92.0: what is refused may not be printed as 92.0. */
static void a_reading_is_printed_as_it_is_judged(void **state)
{
    (void)state;
    const char *text = box_ok("plan", show, "--try", "--minutes", "60", "--wbgt", "33.34C").out;
    assert_contains(text, "NO OUTDOOR ACTIVITY at WBGT 92.01 F");
    assert_lacks(text, "92.0 F");
}

static void what_the_heat_index_is_not_made_for_is_said(void **state)
{
    (void)state;
    const struct run r =
        box("plan", show, "--try", "--minutes", "60", "--temp", "150F", "--humidity", "100");
    assert_contains(well(r).out, "beyond the NWS chart (80 to 110 °F");
    assert_contains(r.out, "HEAT INDEX beyond the chart, extreme danger: do not plan");
    assert_lacks(r.out, "802");
    const json_t *o = json_object_get(
        box_json("plan", show, "--try", "--minutes", "60", "--temp", "150F", "--humidity", "100"),
        "heat");
    assert_true(null_at(o, "index_f"));
    assert_string_equal(text_at(o, "category"), "extreme danger");
}

static void a_closed_field_takes_the_day_s_plan_away(void **state)
{
    (void)state;
    const char *const plan_of[] = {"plan", show, "--minutes", "20", "--date", "2026-08-11"};
#define OF_THE_DAY plan_of[0], plan_of[1], plan_of[2], plan_of[3], plan_of[4], plan_of[5]
    box_ok(OF_THE_DAY, "--wbgt", "75F");
    box_ok(OF_THE_DAY, "--wbgt", "95F", "--try");
    box_ok("tick", show, "--date", "2026-08-11"); /* --try changes nothing */
    struct run r = well(box(OF_THE_DAY, "--wbgt", "95F"));
    assert_contains(r.err, "the plan of 2026-08-11 is taken away");
    refused(box("tick", show, "1", "--date", "2026-08-11"), 3, "no plan of 2026-08-11");
    assert_lacks(well(box(OF_THE_DAY, "--wbgt", "95F")).err, "taken away");
    box_ok(OF_THE_DAY, "--wbgt", "75F");
    box_ok("tick", show, "1", "--date", "2026-08-11");
    r = well(box(OF_THE_DAY, "--wbgt", "95F"));
    assert_contains(r.err, "blocks of the plan of 2026-08-11 are ticked off, so it stays");
    assert_contains(box_ok("tick", show, "--date", "2026-08-11").out, "[x]");
#undef OF_THE_DAY
}

static void a_plan_made_with_a_reading_is_not_replaced_by_one_without(void **state)
{
    (void)state;
    box_ok("plan", show, "--minutes", "20", "--date", "2026-08-12", "--wbgt", "88F");
    refused(box("plan", show, "--minutes", "20", "--date", "2026-08-12"), 3,
            "the plan of 2026-08-12 was made at WBGT 88 F; give the reading of now (--wbgt 88F)");
    box_ok("plan", show, "--minutes", "20", "--date", "2026-08-13");
    box_ok("plan", show, "--minutes", "20", "--date", "2026-08-12", "--wbgt", "76F");
    refused(box("plan", show, "--minutes", "20", "--date", "2026-08-12"), 3, "WBGT 76 F");
    box_ok("plan", show, "--minutes", "20", "--date", "2026-08-12", "--wbgt", "none");
    box_ok("plan", show, "--minutes", "20", "--date", "2026-08-12");
}

static void a_rehearsal_longer_than_the_policy_allows_is_refused(void **state)
{
    (void)state;
    refused(box("plan", show, "--try", "--minutes", "90", "--wbgt", "91F"), 3, "WBGT");
    refused(box("plan", show, "--try", "--minutes", "150", "--wbgt", "88F"), 3, "WBGT");
}

static void over_the_limit_nothing_is_planned_outdoors_and_that_comes_first(void **state)
{
    (void)state;
    const json_t *p = plan("60", "--wbgt", "92.1");
    assert_int_equal(json_array_size(json_object_get(p, "blocks")), 0);
    assert_true(number_at(p, "gain") == 0);
    assert_true(strncmp(text_at(p, "caution"), "NO OUTDOOR ACTIVITY", 19) == 0);
    const json_t *left = json_object_get(p, "left");
    assert_int_equal(json_array_size(left), 2);
    assert_contains(text_at(row(left, 0), "why"), "heat policy");
    const char *text = box_ok("plan", show, "--try", "--minutes", "60", "--wbgt", "33.4C").out;
    assert_true(strncmp(text, "NO OUTDOOR ACTIVITY", 19) == 0);
    p = box_json("plan", show, "--try", "--minutes", "60", "--wbgt", "92.1", "--indoors");
    assert_true(json_array_size(json_object_get(p, "blocks")) > 0);
}

static void every_plan_says_who_decides_and_none_says_safe(void **state)
{
    (void)state;
    static const char *const heat[][4] = {
        {NULL},
        {"--wbgt", "75F"},
        {"--wbgt", "91F"},
        {"--wbgt", "95F"},
        {"--wbgt", "95F", "--indoors"},
        {"--temp", "70F", "--humidity", "30"},
        {"--temp", "104F", "--humidity", "60"},
    };
    for (size_t i = 0; i < COUNT(heat); i++) {
        static const char *const formats[] = {"text", "json"};
        for (size_t k = 0; k < 2; k++) {
            const struct run r =
                well(run("boxcall", "plan", show, "--try", "--minutes", "60", "--as", formats[k],
                         heat[i][0], heat[i][1], heat[i][2], heat[i][3], NULL));
            assert_contains(r.out, "Local policy, the athletic trainer and licensed practice");
            assert_lacks(r.out, "safe");
        }
    }
}

static void weather_that_cannot_be_read_is_refused(void **state)
{
    (void)state;
    static const struct {
        const char *words[4], *says;
        int status;
    } rows[] = {{{"--temp", "94F"}, "both --temp and --humidity", 2},
                {{"--humidity", "50"}, "both --temp and --humidity", 2},
                {{"--temp", "94", "--humidity", "50"}, "no unit", 3},
                {{"--temp", "94F", "--humidity", "150"}, "150", 3},
                {{"--temp", "hot", "--humidity", "50"}, "hot", 3},
                {{"--wbgt", "33"}, "no unit", 3},
                {{"--wbgt", "91F", "--policy", "no-such.csv"}, "no-such.csv", 3}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        const char *const *w = rows[i].words;
        refused(run("boxcall", "plan", show, "--minutes", "60", w[0], w[1], w[2], w[3], NULL),
                rows[i].status, rows[i].says);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_heat_index_is_that_of_the_weather_service),
        cmocka_unit_test(the_index_has_a_category_and_celsius_is_read),
        cmocka_unit_test(breaks_are_those_of_the_policy),
        cmocka_unit_test(fixed_items_do_not_take_the_rest_of_the_hour),
        cmocka_unit_test(an_item_that_is_rest_says_so_wherever_it_is_printed),
        cmocka_unit_test(a_policy_without_a_reading_is_refused),
        cmocka_unit_test(a_reading_is_printed_as_it_is_judged),
        cmocka_unit_test(what_the_heat_index_is_not_made_for_is_said),
        cmocka_unit_test(a_closed_field_takes_the_day_s_plan_away),
        cmocka_unit_test(a_plan_made_with_a_reading_is_not_replaced_by_one_without),
        cmocka_unit_test(a_rehearsal_longer_than_the_policy_allows_is_refused),
        cmocka_unit_test(over_the_limit_nothing_is_planned_outdoors_and_that_comes_first),
        cmocka_unit_test(every_plan_says_who_decides_and_none_says_safe),
        cmocka_unit_test(weather_that_cannot_be_read_is_refused),
    };
    return cmocka_run_group_tests(tests, one_show, NULL);
}
