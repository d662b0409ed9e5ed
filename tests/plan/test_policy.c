/* The shipped policy is checked against the table as published: Georgia High School Association,
 * 2012, as reprinted (under 82.0 three breaks an hour of 3 min; 82.0-86.9 three of 4; 87.0-89.9
 * four of 4, at most 2 h; 90.0-92.0 20 min of rest in the hour, at most 1 h; over 92 none). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "plan/policy.h"
#include "sys/file.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static struct arena arena;
static struct policy shipped;

static int read_shipped(void **state)
{
    (void)state;
    struct buf text = {0};
    struct err e = {0};
    const bool ok = file_read(SHARE_DIR "/heat-policy.csv", 100000, &text, &e) &&
                    policy_parse(&(struct table_text){text.p, text.n, "heat-policy.csv", NULL},
                                 &arena, &shipped, &e);
    buf_free(&text);
    if (!ok)
        print_error("%s\n", e.text);
    return ok ? 0 : -1;
}

static int free_shipped(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static void the_shipped_policy_says_what_the_published_table_says(void **state)
{
    (void)state;
    static const struct {
        double wbgt;
        int breaks;
        double minutes, rest, hours;
        bool outdoors;
    } rows[] = {
        {60, 3, 3, 0, 0, true},    {81.9, 3, 3, 0, 0, true},  {82.0, 3, 4, 0, 0, true},
        {86.9, 3, 4, 0, 0, true},  {87.0, 4, 4, 0, 2, true},  {89.9, 4, 4, 0, 2, true},
        {90.0, 0, 0, 20, 1, true}, {92.0, 0, 0, 20, 1, true}, {92.1, 0, 0, 0, 0, false},
        {110, 0, 0, 0, 0, false},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const struct policy_row *got = policy_at(&shipped, rows[i].wbgt);
        assert_int_equal(got->breaks_per_hour, rows[i].breaks);
        assert_true(got->break_minutes == rows[i].minutes && got->rest_minutes == rows[i].rest);
        assert_true(got->longest_hours == rows[i].hours);
        assert_int_equal(got->outdoors, rows[i].outdoors);
        assert_non_null(strstr(got->source, "replace this file by your local policy"));
    }
    assert_int_equal(shipped.n, 5);
}

static void a_reading_between_two_bands_gets_the_stricter_one(void **state)
{
    (void)state;
    assert_int_equal(policy_at(&shipped, 81.95)->break_minutes, 4);
    assert_int_equal(policy_at(&shipped, 86.95)->breaks_per_hour, 4);
    assert_false(policy_at(&shipped, 92.04)->outdoors);
    assert_false(policy_at(&shipped, NAN)->outdoors);
}

/* 33.34 °C are 92.012 °F: the table allows 92.0, so a sentence that refuses may not say 92.0. */
static void a_reading_is_printed_in_the_band_it_is_judged_by(void **state)
{
    (void)state;
    static const struct {
        double wbgt;
        const char *text;
    } rows[] = {{91, "91.0"},     {92, "92.0"},    {92.012, "92.01"}, {92.0004, "92.0004"},
                {92.1, "92.1"},   {81.9, "81.9"},  {81.95, "82.0"},   {81.92, "81.92"},
                {86.94, "86.94"}, {89.96, "90.0"}, {75.44, "75.4"}};
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(policy_reading(&shipped, rows[i].wbgt, &arena), rows[i].text);
    struct heat_breaks got;
    struct err e = {0};
    assert_false(policy_breaks(&shipped, (struct policy_stay){92.012, 30}, &arena, &got, &e));
    assert_non_null(strstr(e.text, "WBGT 92.01 °F"));
}

/* 9 min in 3 breaks of 3, 12 in 3 of 4, 16 in 4 of 4, 20 min however they are cut. */
static void any_hour_is_asked_for_what_the_row_says(void **state)
{
    (void)state;
    static const struct {
        double wbgt;
        struct heat_hour hour;
    } rows[] = {
        {80, {540, 3, 180}}, {85, {720, 3, 240}}, {88, {960, 4, 240}}, {91, {1200, 0, 180}}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct heat_breaks got;
        struct err e = {0};
        assert_true(
            policy_breaks(&shipped, (struct policy_stay){rows[i].wbgt, 60}, &arena, &got, &e));
        assert_int_equal(got.hour.rest_s, rows[i].hour.rest_s);
        assert_int_equal(got.hour.breaks, rows[i].hour.breaks);
        assert_int_equal(got.hour.least_s, rows[i].hour.least_s);
    }
}

/* Break minutes per hour implied by the table: 9, 12, 16, 20. */
static void an_hour_in_the_rhythm_holds_the_asked_rest(void **state)
{
    (void)state;
    static const struct {
        double wbgt;
        int work_s, break_s, longest_s, rest_minutes;
    } rows[] = {
        {80, 17 * 60, 3 * 60, 0, 9},
        {85, 16 * 60, 4 * 60, 0, 12},
        {88, 11 * 60, 4 * 60, 7200, 16},
        {91, 10 * 60, 5 * 60, 3600, 20}, /* spread over four breaks, like the band below */
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct heat_breaks got;
        struct err e = {0};
        assert_true(
            policy_breaks(&shipped, (struct policy_stay){rows[i].wbgt, 60}, &arena, &got, &e));
        assert_int_equal(got.work_most_s, rows[i].work_s);
        assert_int_equal(got.break_s, rows[i].break_s);
        assert_int_equal(got.longest_s, rows[i].longest_s);
        assert_int_equal(3600 / (got.work_most_s + got.break_s) * got.break_s,
                         rows[i].rest_minutes * 60);
        assert_non_null(strstr(got.source, "2012"));
    }
}

static void the_policy_refuses_what_it_forbids(void **state)
{
    (void)state;
    static const struct {
        double wbgt;
        int minutes;
        const char *says;
    } rows[] = {
        {92.5, 30, "No outdoor activity"},       {88, 121, "longer than the 2 h allowed"},
        {91, 61, "longer than the 1 h allowed"}, {200, 30, "outside 20 to 130"},
        {NAN, 30, "outside 20 to 130"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct heat_breaks got;
        struct err e = {0};
        assert_false(policy_breaks(&shipped, (struct policy_stay){rows[i].wbgt, rows[i].minutes},
                                   &arena, &got, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, rows[i].says));
    }
    struct heat_breaks got;
    struct err e = {0};
    assert_false(policy_breaks(&shipped, (struct policy_stay){95, 30}, &arena, &got, &e));
    assert_non_null(strstr(e.text, "athletic trainer"));
    assert_true(policy_breaks(&shipped, (struct policy_stay){88, 120}, &arena, &got, &e));
}

#define HEADER                                                                                     \
    "wbgt_from_f,wbgt_to_f,breaks_per_hour,break_minutes,rest_minutes_per_hour,longest_hours,"     \
    "outdoors,source\n"

static void a_policy_with_a_hole_or_a_slip_is_refused_with_its_place(void **state)
{
    (void)state;
    static const struct {
        const char *text, *says;
    } rows[] = {
        {HEADER, "no rows"},
        {HEADER ",80,3,3,,,yes,x\n82,,3,4,,,yes,x\n", "p.csv:3:1"},
        {HEADER ",80,3,3,,,yes,x\n79,,3,4,,,yes,x\n", "begins below the end"},
        {HEADER ",,3,3,,,yes,x\n79,,3,4,,,yes,x\n", "only the last may"},
        {HEADER ",80,3,3,,,yes,x\n", "above 80"},
        {HEADER "80,70,3,3,,,yes,x\n", "is empty; swap"},
        {HEADER ",,3,3,,,maybe,x\n", "neither yes nor no"},
        {HEADER ",,3,3,,,yes,\n", "whose policy"},
        {HEADER ",,3,,,,yes,x\n", "needs break_minutes"},
        {HEADER ",,2.5,3,,,yes,x\n", "not a whole number"},
        {HEADER ",,6,10,,,yes,x\n", "no work in the hour"},
        {HEADER ",,3,three,,,yes,x\n", "is not a number"},
        {HEADER "NAN,,3,3,,,yes,x\n", "is not a number"},
        {"wbgt_from_f,wbgt_to_f\n", "no column"},
        {"", "empty"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct policy got;
        struct err e = {0};
        assert_false(
            policy_parse(&(struct table_text){rows[i].text, strlen(rows[i].text), "p.csv", NULL},
                         &arena, &got, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, "p.csv"));
        if (!strstr(e.text, rows[i].says))
            fail_msg("'%s' lacks '%s'", e.text, rows[i].says);
    }
}

static void a_local_policy_takes_the_shipped_one_s_place(void **state)
{
    (void)state;
    const char text[] = HEADER ",84.0,2,5,,,yes,\"district, 2025\"\n84.1,,,,,,no,district\n";
    struct policy local;
    struct heat_breaks got;
    struct err e = {0};
    assert_true(policy_parse(&(struct table_text){text, sizeof text - 1, "local.csv", NULL}, &arena,
                             &local, &e));
    assert_true(policy_breaks(&local, (struct policy_stay){83, 180}, &arena, &got, &e));
    assert_int_equal(got.work_most_s, 25 * 60);
    assert_int_equal(got.break_s, 5 * 60);
    assert_non_null(strstr(got.source, "district, 2025"));
    assert_false(policy_breaks(&local, (struct policy_stay){84.1, 20}, &arena, &got, &e));
}

static void rest_that_leaves_no_work_is_refused(void **state)
{
    (void)state;
    const char text[] = HEADER ",,12,,54.9,,yes,x\n";
    struct policy local;
    struct heat_breaks got;
    struct err e = {0};
    assert_true(policy_parse(&(struct table_text){text, sizeof text - 1, "local.csv", NULL}, &arena,
                             &local, &e));
    assert_false(policy_breaks(&local, (struct policy_stay){83, 60}, &arena, &got, &e));
    assert_non_null(strstr(e.text, "under a minute of work"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_shipped_policy_says_what_the_published_table_says),
        cmocka_unit_test(a_reading_between_two_bands_gets_the_stricter_one),
        cmocka_unit_test(a_reading_is_printed_in_the_band_it_is_judged_by),
        cmocka_unit_test(any_hour_is_asked_for_what_the_row_says),
        cmocka_unit_test(an_hour_in_the_rhythm_holds_the_asked_rest),
        cmocka_unit_test(the_policy_refuses_what_it_forbids),
        cmocka_unit_test(a_policy_with_a_hole_or_a_slip_is_refused_with_its_place),
        cmocka_unit_test(a_local_policy_takes_the_shipped_one_s_place),
        cmocka_unit_test(rest_that_leaves_no_work_is_refused),
    };
    return cmocka_run_group_tests(tests, read_shipped, free_shipped);
}
