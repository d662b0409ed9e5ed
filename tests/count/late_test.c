#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <string.h>
#include <cmocka.h>

#include "count/late.h"
#include "count/sound.h"
#include "close_to.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static void the_speed_of_sound_agrees_with_published_tables(void **state)
{
    (void)state;
    /* J. O. Smith, Physical Audio Signal Processing, 'Speed of Sound in Air': 1085.1 ft/s at 0 C,
     * 1124.1 ft/s at 20 C. Worked physics examples: 343.20358 m/s at 20 C, 351.87462 at 35 C,
     * 335.41762 at 280 K. Sources differ by 0.17 % (choice of constants), so 0.3 % is allowed. */
    static const double published[][2] = {{0, 330.74},     {20, 342.63},      {20, 343.20358},
                                          {35, 351.87462}, {6.85, 335.41762}, {15, 340.3}};
    for (size_t i = 0; i < COUNT(published); i++)
        assert_close(sound_speed(published[i][0]), published[i][1], 0.003 * published[i][1]);
    /* The formula itself, evaluated by R 4.2.2. */
    static const double formula[][2] = {{-10, 325.18}, {0, 331.30},  {10, 337.31},
                                        {20, 343.21},  {30, 349.02}, {40, 354.73}};
    for (size_t i = 0; i < COUNT(formula); i++)
        assert_close(sound_speed(formula[i][0]), formula[i][1], 0.005);
    assert_close((double)sound_delay_us(60, 20), 175e3, 500); /* 60 m / 343.21 m/s */
    assert_int_equal(sound_delay_us(0, 20), 0);
}

static void distances_and_temperatures_are_read_with_their_unit(void **state)
{
    (void)state;
    static const struct {
        const char *s;
        double v;
    } far[] = {{"60m", 60},           {" 200 ft", 60.96}, {"200feet", 60.96},
               {"100 steps", 57.15},  {"66 yd", 60.3504}, {"0 m", 0},
               {"60.5 Metres", 60.5}, {"200'", 60.96},    {"1 step ", 0.5715}};
    static const struct {
        const char *s;
        double v;
    } warm[] = {{"20C", 20},
                {"68F", 20},
                {"-5 C", -5},
                {"32 \xC2\xB0"
                 "F",
                 0},
                {"21.5c", 21.5}};
    struct err e = {0};
    double v;
    for (size_t i = 0; i < COUNT(far); i++) {
        assert_true(distance_parse(far[i].s, &v, &e));
        assert_close(v, far[i].v, 1e-9);
    }
    for (size_t i = 0; i < COUNT(warm); i++) {
        assert_true(temperature_parse(warm[i].s, &v, &e));
        assert_close(v, warm[i].v, 1e-9);
    }
    v = 7;
    assert_false(distance_parse("60", &v, &e));
    assert_string_equal(e.text, "60: in which unit? write 60m, 60ft, 60yd or 60 steps");
    static const char *const no_distance[] = {"", "m", "60 miles", "-3m", "2000m", "1e3m", "nanm"};
    static const char *const no_warmth[] = {"", "20", "C", "200F", "-90C", "20K", "1.2.3C", "nanC"};
    for (size_t i = 0; i < COUNT(no_distance); i++)
        assert_false(distance_parse(no_distance[i], &v, &e));
    for (size_t i = 0; i < COUNT(no_warmth); i++)
        assert_false(temperature_parse(no_warmth[i], &v, &e));
    assert_close(v, 7, 0);
}

static void early_and_late_are_signed_counts_with_the_frame_as_error(void **state)
{
    (void)state;
    /* (seen - due) bpm / 60, arithmetic; at 160 bpm 150 ms are 0.4 counts, a 29.97 frame 0.089. */
    static const struct {
        int64_t due, seen;
        double bpm;
        int64_t frame;
        double counts;
        const char *text;
    } rows[] = {
        {10000000, 10150000, 160, 33367, 0.4, "0.4 counts late (+-0.1)"},
        {10000000, 9900000, 120, 33367, -0.2, "0.2 counts early (+-0.1)"},
        {10000000, 10010000, 120, 33367, 0.02, "on time (+-0.1)"},
        {10000000, 9990000, 120, 0, -0.02, "on time"},
        {10000000, 10500000, 120, 0, 1, "1.0 count late"},
        {10000000, 12000000, 120, 250000, 4, "4.0 counts late (+-0.5)"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char text[48];
        const struct late l = late_steady(rows[i].due, rows[i].seen, rows[i].bpm, rows[i].frame);
        assert_close(l.counts, rows[i].counts, 1e-9);
        assert_close(l.error_counts, (double)rows[i].frame * 1e-6 * rows[i].bpm / 60, 1e-12);
        late_format(&l, text);
        assert_string_equal(text, rows[i].text);
    }
}

static const struct move sets[] = {
    {"1", 16, 120, 0, 0}, {"2", 16, 120, 60, 2}, {"3", 8, 120, 0, 0}};

static struct map *map_of(struct arena *a)
{
    struct err e = {0};
    const struct map_anchor ties[] = {{10000000, 0, 1, 0, 0}, {100000000, 0, 1, 0, 0}};
    return map_build(a, (struct moves){sets, COUNT(sets)}, (struct map_anchors){ties, 2}, NULL, &e);
}

static void over_a_ramp_lateness_is_counted_through_the_map(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct late l;
    struct map_time t;
    const struct map *m = map_of(&a);
    /* In the ramp: what is seen where the map has count 11.3 is 0.3 counts late for count 11. */
    const struct place due = {1, 11, 0}, seen = {1, 11.3, 0};
    map_when(m, 0, &seen, &t, 1);
    assert_true(late_in_map(m, &due, (struct sight){t.us, 33367, 0}, &l, &e));
    assert_close(l.counts, 0.3, 1e-5);
    assert_close(l.ms, 0.3 * 60 / 81.94 * 1e3, 1); /* tempo at count 11.15: 120 - 60 * 10.15 / 16 */
    /* In the second stretch, from its own beginning. */
    assert_true(late_in_map(m, &due, (struct sight){t.us + 90000000, 33367, 0}, &l, &e));
    assert_close(l.counts, 0.3, 1e-5);
    /* Across a steady boundary. */
    const struct place two = {1, 1, 0};
    assert_true(late_in_map(m, &two, (struct sight){17900000, 0, 0}, &l, &e));
    assert_close(l.counts, -0.2, 1e-9);
    arena_free(&a);
}

/* By hand, at 120 bpm (2 counts a second): a frame of 40 ms, a tie off by 30 ms and a hand off by 120
 * are 130 ms together, 0.26 counts. A minute on, the tempo may be off by 1 %: 600 ms. Half-way between
 * two ties of 30 and 40 ms these are 25. */
static void the_error_is_of_frame_hand_and_ties_together(void **state)
{
    (void)state;
    static const struct move long_sets[] = {{"1", 400, 120, 0, 0}};
    const struct moves moves = {long_sets, 1};
    const struct map_anchor one[] = {{10000000, 0, 1, 0, 30000}},
                            two[] = {{10000000, 0, 1, 0, 30000}, {30000000, 0, 41, 0, 40000}},
                            unknown[] = {{10000000, 0, 1, 0, 0}};
    const struct {
        struct map_anchors ties;
        double count;
        struct sight seen;
        double ms;
    } rows[] = {
        {{one, 1}, 1, {10100000, 40000, 120000}, 130},
        {{one, 1}, 1, {10100000, 40000, 0}, 50},
        {{one, 1}, 121, {70000000, 0, 0}, 600.7495},
        {{two, 2}, 21, {20000000, 0, 0}, 25},
        {{two, 2}, 41, {30000000, 0, 0}, 40},
        {{unknown, 1}, 121, {70000000, 40000, 0}, 40},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct err e = {0};
        struct late l;
        const struct map *m = map_build(&a, moves, rows[i].ties, NULL, &e);
        const struct place due = {0, rows[i].count, 0};
        assert_true(late_in_map(m, &due, rows[i].seen, &l, &e));
        assert_close(l.error_ms, rows[i].ms, 1e-3);
        assert_close(l.error_counts, rows[i].ms * 2e-3, 1e-5);
        arena_free(&a);
    }
}

static void what_is_seen_between_two_runs_is_judged_by_the_nearer(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct late l;
    const struct map *m = map_of(&a);
    const struct place due = {0, 5, 0}; /* at 12 s and at 102 s; the first run ends at 35 s */
    assert_true(late_in_map(m, &due, (struct sight){40000000, 33367, 0}, &l, &e));
    assert_close(l.ms, 28000, 1e-3);
    assert_true(late_in_map(m, &due, (struct sight){90000000, 33367, 0}, &l, &e));
    assert_close(l.ms, -12000, 1e-3);
    arena_free(&a);
}

static void a_hold_is_judged_at_the_tempo_beside_it(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct late l;
    struct map_time t;
    const struct map *m = map_of(&a);
    const struct place halt = {1, 17, 0}, after = {2, 1, 0}, nowhere = {2, 8.9, 0};
    map_when(m, 0, &halt, &t, 1);
    assert_true(
        late_in_map(m, &halt, (struct sight){t.us + 100000, 0, 0}, &l, &e)); /* ends at 60 bpm */
    assert_close(l.counts, 0.1, 1e-5);
    map_when(m, 0, &after, &t, 1);
    assert_true(late_in_map(m, &after, (struct sight){t.us - 250000, 0, 0}, &l,
                            &e)); /* steps off at 120 bpm */
    assert_close(l.counts, -0.5, 1e-5);
    /* From before the hold to behind it no counts tell how long it was: time at the due tempo. */
    const struct place before = {1, 16.5, 0};
    map_when(m, 0, &before, &t, 1);
    struct map_time off;
    map_when(m, 0, &after, &off, 1);
    assert_true(late_in_map(m, &before, (struct sight){off.us, 0, 0}, &l, &e));
    assert_close(l.counts, (double)(off.us - t.us) * 1e-6 * (120 - 60 * 15.5 / 16) / 60, 1e-4);
    const struct map_anchor one[] = {{10000000, 0, 1, ANCHOR_HALT, 0}};
    struct map *cut =
        map_build(&a, (struct moves){sets, COUNT(sets)}, (struct map_anchors){one, 1}, NULL, &e);
    assert_false(late_in_map(cut, &nowhere, (struct sight){10000000, 0, 0}, &l, &e));
    assert_non_null(strstr(e.text, "nowhere in this clip"));
    arena_free(&a);
}

static void a_ripple_names_first_last_and_who_is_off(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    struct ripple r;
    static const struct seen seen[] = {
        {"T1", 5000000}, {"T2", 5030000}, {"T3", 4990000}, {"T4", 5200000}, {"T5", 5010000}};
    assert_true(
        ripple_measure(&a, &(struct ripple_seen){seen, COUNT(seen), -1, 120, 16683, 0.15}, &r, &e));
    assert_int_equal(r.against_us, 5010000); /* the median */
    assert_int_equal(r.first, 2);
    assert_int_equal(r.last, 3);
    assert_close(r.spread_ms, 210, 1e-9);
    assert_close(r.spread_counts, 0.42, 1e-9);
    assert_close(r.error_counts, 0.033366, 1e-6);
    assert_int_equal(r.n_off, 1);
    assert_true(r.off[3]);
    assert_close(r.each[3].counts, 0.38, 1e-9);
    assert_close(r.each[2].counts, -0.04, 1e-9);
    assert_true(ripple_measure(
        &a, &(struct ripple_seen){seen, COUNT(seen), 4900000, 120, 16683, 0.2}, &r, &e));
    assert_int_equal(r.n_off, 3); /* not T3, 0.18 late, nor T1, just 0.2 */
    assert_false(ripple_measure(&a, &(struct ripple_seen){seen, 1, -1, 120, 0, 0}, &r, &e));
    assert_non_null(strstr(e.text, "1 moment: a ripple needs two"));
    assert_false(ripple_measure(&a, &(struct ripple_seen){seen, 2, -1, 0, 0, 0}, &r, &e));
    assert_non_null(strstr(e.text, "no tempo here"));
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_speed_of_sound_agrees_with_published_tables),
        cmocka_unit_test(distances_and_temperatures_are_read_with_their_unit),
        cmocka_unit_test(early_and_late_are_signed_counts_with_the_frame_as_error),
        cmocka_unit_test(over_a_ramp_lateness_is_counted_through_the_map),
        cmocka_unit_test(the_error_is_of_frame_hand_and_ties_together),
        cmocka_unit_test(what_is_seen_between_two_runs_is_judged_by_the_nearer),
        cmocka_unit_test(a_hold_is_judged_at_the_tempo_beside_it),
        cmocka_unit_test(a_ripple_names_first_last_and_who_is_off),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
