#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "count/map.h"
#include "count/moment.h"
#include "chance.h"
#include "close_to.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

/* Eight seconds of 16 counts each, but: '3' has a hold of 2 s, '4' is a ramp, '5' is only a hold,
 * '6' has nothing at all. */
static const struct move show[] = {
    {"1", 16, 120, 0, 0}, {"2", 16, 120, 120, 0}, {"3", 16, 120, 0, 2}, {"4", 16, 120, 160, 0},
    {"5", 0, 0, 0, 3},    {"6", 0, 0, 0, 0},      {"7", 8, 160, 0, 0},  {"8", 16, 160, 160, 1},
};

static struct map *build(struct arena *a, const struct map_anchor *anchors, size_t n,
                         int64_t length_us)
{
    struct err e = {0};
    const struct map_options o = {.length_us = length_us};
    struct map *m =
        map_build(a, (struct moves){show, COUNT(show)}, (struct map_anchors){anchors, n}, &o, &e);
    if (!m)
        print_error("%s\n", e.text);
    assert_non_null(m);
    return m;
}

static double when(const struct map *m, int stretch, int set, double count)
{
    struct map_time t;
    const struct place p = {set, count, 0};
    return map_when(m, stretch, &p, &t, 1) ? t.exact_us * 1e-6 : NAN;
}

static void assert_spot(const struct map *m, int64_t us, int set, double count)
{
    struct spot s;
    assert_true(map_at(m, us, &s));
    assert_int_equal(s.set, set);
    assert_close(s.count, count, 1e-9);
}

static void without_ties_nothing_is_placed(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    struct map_span span;
    struct map_time t;
    const struct place p = {0, 1, 0};
    size_t n;
    int64_t us;
    struct map *m = build(&a, NULL, 0, 0);
    assert_false(map_at(m, 0, &s));
    assert_false(map_boundary(m, 0, MAP_NEAREST, &span));
    assert_int_equal(map_when(m, -1, &p, &t, 1), 0);
    assert_false(map_step(m, 0, 1, 0, &us));
    map_spans(m, &n);
    assert_int_equal(n, 0);
    arena_free(&a);
}

static void one_tie_runs_at_the_written_tempo_from_its_set_to_the_end(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    const struct map_anchor tie[] = {{12000000, 1, 5, 0, 0}};
    struct map *m = build(&a, tie, 1, 0);
    assert_false(map_at(m, 9999999, &s)); /* four counts at 120 before the tie: 2 s */
    assert_spot(m, 10000000, 1, 1);
    assert_spot(m, 10250000, 1, 1.5);
    assert_spot(m, 18000000, 2, 1);
    assert_spot(m, 25999999, 2, 17 - 2e-6);
    assert_true(map_at(m, 12000000, &s));
    assert_close(s.bpm, 120, 1e-9);
    assert_close(s.ratio, 1, 0);
    assert_false(s.tied);
    /* Hold of set 3, ramp of set 4: 60 n ln(b1 / b0) / (b1 - b0) = 6.904369739 s. */
    assert_true(map_at(m, 27500000, &s));
    assert_true(s.in_hold);
    assert_int_equal(s.set, 2);
    assert_close(s.count, 17, 0);
    assert_close(s.hold_s, 1.5, 1e-9);
    assert_close(s.bpm, 0, 0);
    assert_spot(m, 28000000, 3, 1);
    assert_close(when(m, 0, 3, 17), 34.904369739, 1e-9);
    assert_close(when(m, 0, 4, 1), 34.904369739, 1e-9);
    assert_close(when(m, 0, 5, 1), 37.904369739, 1e-9);
    assert_close(when(m, 0, 6, 1), 37.904369739, 1e-9);
    assert_close(when(m, 0, 7, 17), 46.904369739, 1e-9);
    assert_true(map_at(m, 47500000, &s));
    assert_true(s.in_hold);
    assert_false(map_at(m, 47904370, &s));
    arena_free(&a);
}

static void the_clip_cuts_the_map_at_both_ends(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    const struct map_anchor tie[] = {{1000000, 1, 5, 0, 0}};
    struct map *m = build(&a, tie, 1, 5000000);
    assert_spot(m, 0, 1, 3);
    assert_spot(m, 5000000, 1, 13);
    assert_false(map_at(m, 5000001, &s));
    assert_false(map_at(m, -1, &s));
    assert_true(isnan(when(m, 0, 1, 2.9)));
    assert_true(isnan(when(m, 0, 1, 13.1)));
    arena_free(&a);
}

static void a_run_through_may_reach_back_before_the_first_tie(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    const struct map_anchor tie[] = {{30000000, 2, 1, 0, 0}};
    const struct map_options one = {.reach_back = 1}, all = {.reach_back = 1000};
    struct map *m =
        map_build(&a, (struct moves){show, COUNT(show)}, (struct map_anchors){tie, 1}, &one, &e);
    assert_spot(m, 22000000, 1, 1);
    assert_true(isnan(when(m, 0, 0, 16)));
    m = map_build(&a, (struct moves){show, COUNT(show)}, (struct map_anchors){tie, 1}, &all, &e);
    assert_spot(m, 14000000, 0, 1);
    arena_free(&a);
}

static void between_ties_the_map_meets_both_and_says_how_far_off_the_tempo_is(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    size_t n;
    /* 16 s written; 16 / 1.05 s real: five per cent faster. Then 8 + 2 s in 11.5: 13 % slower. */
    const struct map_anchor ties[] = {
        {10000000, 0, 1, 0, 0}, {25238095, 2, 1, 0, 0}, {36738095, 3, 1, 0, 0}};
    struct map *m = build(&a, ties, 3, 0);
    const struct map_leg *legs = map_legs(m, &n);
    assert_int_equal(n, 2);
    assert_int_equal(legs[0].kind, LEG_FITTED);
    assert_close(legs[0].ratio, 1.05, 1e-6);
    assert_false(legs[0].off_tempo);
    assert_close(legs[1].ratio, 10 / 11.5, 1e-6);
    assert_true(legs[1].off_tempo);
    assert_spot(m, 10000000, 0, 1);
    assert_spot(m, 25238095, 2, 1);
    assert_spot(m, 36738095, 3, 1);
    assert_true(map_at(m, 20000000, &s));
    assert_close(s.bpm, 126, 1e-4);
    assert_true(s.tied);
    assert_close(s.count, 6, 1e-5); /* ten seconds at 126 are 21 counts: set 2 count 6 */
    const struct map_span *spans = map_spans(m, &n);
    assert_int_equal(spans[2].set, 2);
    assert_true(spans[2].off_tempo);
    assert_false(spans[1].off_tempo);
    assert_false(spans[3].off_tempo);
    assert_int_equal(spans[2].from_us, 25238095);
    assert_int_equal(spans[2].to_us, 36738095);
    arena_free(&a);
}

static void a_rehearsal_carries_several_stretches(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    size_t n;
    /* From set 2, halt after 20 counts; talk; from set 2 again, halted by nobody; a jump ahead to
     * set 7 half a minute later. */
    const struct map_anchor ties[] = {
        {5000000, 1, 1, 0, 0},  {15000000, 2, 5, ANCHOR_HALT, 0}, {60000000, 1, 1, 0, 0},
        {68000000, 2, 1, 0, 0}, {130000000, 6, 1, 0, 0},
    };
    struct map *m = build(&a, ties, COUNT(ties), 0);
    const struct map_stretch *st = map_stretches(m, &n);
    assert_int_equal(n, 3);
    assert_int_equal(st[0].from_us, 5000000);
    assert_int_equal(st[0].to_us, 15000000);
    assert_int_equal(st[1].first, 2);
    assert_int_equal(st[1].last, 3);
    assert_int_equal(st[2].from_us, 130000000);
    assert_spot(m, 15000000, 2, 5);
    assert_false(map_at(m, 15000001, &s));
    assert_false(map_at(m, 59999999, &s));
    assert_spot(m, 60000000, 1, 1);
    struct map_time t[4];
    const struct place p = {2, 3, 0};
    assert_int_equal(map_when(m, -1, &p, t, 4), 2);
    assert_int_equal(t[0].us, 14000000);
    assert_int_equal(t[0].stretch, 0);
    assert_int_equal(t[1].us, 69000000);
    assert_int_equal(t[1].stretch, 1);
    assert_int_equal(map_when(m, 1, &p, t, 4), 1);
    assert_int_equal(map_when(m, 2, &p, t, 4), 0);
    assert_int_equal(map_when(m, -1, &p, t, 1), 2); /* how many there are, not how many fit */
    arena_free(&a);
}

static void what_begins_a_stretch_follows_the_rule(void **state)
{
    (void)state;
    /* Set 1 to set 3 is 16 s as written. The rule is in map.h: by flag, backward, or written and
     * real time apart by a factor of 1.5 and by 2 s. */
    static const struct {
        struct map_anchor second;
        unsigned first_flags;
        size_t stretches;
    } rows[] = {
        {{26000000, 2, 1, 0, 0}, 0, 1},           {{26000000, 2, 1, ANCHOR_BREAK, 0}, 0, 2},
        {{26000000, 2, 1, ANCHOR_FROM, 0}, 0, 2}, {{26000000, 2, 1, 0, 0}, ANCHOR_HALT, 2},
        {{26000000, 0, 1, 0, 0}, 0, 2},           /* the same place again */
        {{33900000, 2, 1, 0, 0}, 0, 1},           /* 23.9 s: slow rehearsal */
        {{34100000, 2, 1, 0, 0}, 0, 2},           /* 24.1 s: more than 1.5 times */
        {{34100000, 2, 1, ANCHOR_JOIN, 0}, 0, 1}, /* a person says: slow rehearsal */
        {{20700000, 2, 1, 0, 0}, 0, 1},           /* 10.7 s */
        {{20600000, 2, 1, 0, 0}, 0, 2},           /* 10.6 s: less than 16 / 1.5 */
        {{11900000, 0, 2, 0, 0}, 0, 1},           /* one count in 1.9 s: within the slack of 2 s */
        {{13000000, 0, 2, 0, 0}, 0, 2},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        size_t n;
        const struct map_anchor ties[] = {{10000000, 0, 1, rows[i].first_flags, 0}, rows[i].second};
        struct map *m = build(&a, ties, 2, 0);
        map_stretches(m, &n);
        assert_int_equal(n, rows[i].stretches);
        arena_free(&a);
    }
}

static void the_end_of_a_set_and_the_beginning_of_the_next_are_one_place(void **state)
{
    (void)state;
    struct arena a = {0};
    size_t n;
    /* Tied as 'the end of set 1' and, 0.4 s later, 'set 2 count 1': no time is written between. */
    const struct map_anchor ties[] = {{10000000, 0, 17, 0, 0}, {10400000, 1, 1, 0, 0}};
    struct map *m = build(&a, ties, 2, 0);
    map_stretches(m, &n);
    assert_int_equal(n, 2);
    assert_spot(m, 10000000, 1, 1);
    assert_spot(m, 10400000, 1, 1);
    assert_close(when(m, 0, 0, 17), 10, 1e-9);
    arena_free(&a);
}

static void a_stretch_ends_where_the_next_begins(void **state)
{
    (void)state;
    struct arena a = {0};
    /* The second stretch reaches 2 s back from its tie and cuts the first there. */
    const struct map_anchor ties[] = {{10000000, 0, 1, 0, 0}, {20000000, 0, 5, 0, 0}};
    struct map *m = build(&a, ties, 2, 0);
    assert_spot(m, 17999999, 0, 17 - 2e-6);
    assert_spot(m, 18000000, 0, 1);
    /* It never reaches back past the tie before it. */
    const struct map_anchor close[] = {{10000000, 0, 9, 0, 0}, {11000000, 0, 5, 0, 0}};
    m = build(&a, close, 2, 0);
    assert_spot(m, 9999999, 0, 9 - 2e-6);
    assert_spot(m, 10000000, 0, 3);
    /* And 'from here' does not reach back at all. */
    const struct map_anchor from[] = {{10000000, 0, 1, 0, 0}, {20000000, 0, 5, ANCHOR_FROM, 0}};
    m = build(&a, from, 2, 0);
    assert_spot(m, 19999998, 1, 5 - 4e-6);
    assert_spot(m, 20000000, 0, 5);
    arena_free(&a);
}

static const struct move gaps[] = {
    {"1", 16, 120, 0, 0}, {"2", 16, 0, 0, 1}, {"3", 16, 120, 0, 0},
    {"4", 16, 0, 0, 0},   {"5", 8, 0, 0, 0},  {"6", 16, 120, 0, 0},
};

static struct map *build_gaps(struct arena *a, const struct map_anchor *ties, size_t n)
{
    struct err e = {0};
    struct map *m =
        map_build(a, (struct moves){gaps, COUNT(gaps)}, (struct map_anchors){ties, n}, NULL, &e);
    assert_non_null(m);
    return m;
}

static void a_missing_tempo_follows_from_ties_around_one_set(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    size_t n;
    /* 8 s of set 1, 16 counts of set 2, its hold of 1 s: 17 s leave 8 s for the counts. */
    const struct map_anchor ties[] = {{10000000, 0, 1, 0, 0}, {27000000, 2, 1, 0, 0}};
    struct map *m = build_gaps(&a, ties, 2);
    const struct map_leg *leg = map_legs(m, &n);
    assert_int_equal(leg->kind, LEG_SOLVED);
    assert_close(leg->bpm, 120, 1e-9);
    assert_spot(m, 18000000, 1, 1);
    assert_spot(m, 22000000, 1, 9);
    assert_true(map_at(m, 22000000, &s));
    assert_close(s.bpm, 120, 1e-9);
    assert_true(map_at(m, 26500000, &s));
    assert_true(s.in_hold);
    arena_free(&a);
}

static void a_missing_tempo_is_never_invented(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    size_t n;
    /* After the last tie and before the first the map stops at a set without tempo. */
    const struct map_anchor one[] = {{10000000, 0, 9, 0, 0}};
    struct map *m = build_gaps(&a, one, 1);
    assert_spot(m, 14000000, 1, 1); /* the instant at which set 2 begins is known */
    assert_false(map_at(m, 14000001, &s));
    assert_true(isnan(when(m, 0, 1, 2)));
    /* A tie inside such a set stands for its own instant only. */
    const struct map_anchor inside[] = {{10000000, 1, 9, ANCHOR_HALT, 0}};
    m = build_gaps(&a, inside, 1);
    assert_spot(m, 10000000, 1, 9);
    assert_false(map_at(m, 9999999, &s));
    assert_false(map_at(m, 10000001, &s));
    /* Two sets without tempo: one equation for two unknowns. */
    const struct map_anchor two[] = {{10000000, 2, 1, 0, 0}, {50000000, 5, 9, 0, 0}};
    m = build_gaps(&a, two, 2);
    assert_int_equal(map_legs(m, &n)->kind, LEG_OPEN);
    assert_spot(m, 17000000, 2, 15);
    assert_false(map_at(m, 30000000, &s));
    assert_spot(m, 46000000, 5, 1);
    assert_spot(m, 50000000, 5, 9);
    assert_true(isnan(when(m, 0, 4, 1)));
    /* No time is left for them: nothing between is placed, the ties still are. */
    const struct map_anchor tight[] = {{10000000, 2, 1, 0, 0}, {20000000, 5, 9, 0, 0}};
    m = build_gaps(&a, tight, 2);
    assert_int_equal(map_legs(m, &n)->kind, LEG_TIGHT);
    assert_spot(m, 10000000, 2, 1);
    assert_false(map_at(m, 15000000, &s));
    assert_spot(m, 20000000, 5, 9);
    arena_free(&a);
}

static void two_ties_inside_a_set_without_tempo_give_it_one_between_them(void **state)
{
    (void)state;
    struct arena a = {0};
    struct spot s;
    const struct map_anchor ties[] = {{10000000, 3, 1, 0, 0}, {14000000, 3, 9, 0, 0}};
    struct map *m = build_gaps(&a, ties, 2);
    assert_spot(m, 12000000, 3, 5);
    assert_spot(m, 14000000, 3, 9);
    assert_false(map_at(m, 14000001, &s));
    arena_free(&a);
}

static size_t random_show(struct move *sets, size_t n, uint64_t *seed)
{
    for (size_t i = 0; i < n; i++) {
        const double b0 = 60 + 140 * chance(seed);
        sets[i] = (struct move){
            .label = "x",
            .counts = chance(seed) < 0.05 ? 0 : 1 + (int)(31 * chance(seed)),
            .bpm0 = b0,
            .bpm1 = chance(seed) < 0.6 ? 0 : b0 * (0.6 + 0.8 * chance(seed)),
            .hold_s = chance(seed) < 0.2 ? 4 * chance(seed) : 0,
        };
    }
    return n;
}

/* Ties along a performance that drifts around the written tempo and restarts now and then. */
static size_t random_ties(const struct move *sets, size_t n, struct map_anchor *ties, size_t want,
                          uint64_t *seed)
{
    double t = 3;
    size_t k = 0;
    int set = 0;
    while (k < want) {
        ties[k++] = (struct map_anchor){(int64_t)(t * 1e6), set,
                                        1 + floor(sets[set].counts * chance(seed)), 0, 0};
        if (set + 8 >= (int)n || chance(seed) < 0.1) {
            t += 40;
            set = (int)((double)(n / 2) * chance(seed));
            continue;
        }
        const int next = set + 1 + (int)(5 * chance(seed));
        for (; set < next; set++)
            t += tempo_length(&sets[set]) * (0.95 + 0.1 * chance(seed)) + 0.02;
    }
    return k;
}

static void time_to_place_to_time_is_exact(void **state)
{
    (void)state;
    uint64_t seed = 14;
    for (int round = 0; round < 20; round++) {
        struct arena a = {0};
        struct err e = {0};
        struct move sets[60];
        struct map_anchor ties[30];
        size_t n;
        random_show(sets, COUNT(sets), &seed);
        random_ties(sets, COUNT(sets), ties, COUNT(ties), &seed);
        struct map *m = map_build(&a, (struct moves){sets, COUNT(sets)},
                                  (struct map_anchors){ties, COUNT(ties)}, NULL, &e);
        assert_non_null(m);
        const struct map_stretch *st = map_stretches(m, &n);
        for (int k = 0; k < 3000; k++) {
            const double us = chance(&seed) * (double)st[n - 1].to_us;
            struct spot s;
            struct map_time t;
            if (!map_at_exact(m, us, &s))
                continue;
            const struct place p = {s.set, s.count, s.hold_s};
            assert_int_equal(map_when(m, s.stretch, &p, &t, 1), 1);
            assert_close(t.exact_us * 1e-6, us * 1e-6, 1e-9);
            struct spot again;
            assert_true(map_at_exact(m, t.exact_us, &again));
            assert_close(again.count, again.set == s.set ? s.count : 1, 1e-9);
        }
        arena_free(&a);
    }
}

static void every_tie_is_met_to_the_microsecond(void **state)
{
    (void)state;
    uint64_t seed = 3;
    for (int round = 0; round < 20; round++) {
        struct arena a = {0};
        struct err e = {0};
        struct move sets[60];
        struct map_anchor ties[30];
        size_t n;
        random_show(sets, COUNT(sets), &seed);
        random_ties(sets, COUNT(sets), ties, COUNT(ties), &seed);
        struct map *m = map_build(&a, (struct moves){sets, COUNT(sets)},
                                  (struct map_anchors){ties, COUNT(ties)}, NULL, &e);
        const struct map_stretch *st = map_stretches(m, &n);
        for (size_t i = 0; i < n; i++) {
            for (int k = st[i].first; k <= st[i].last; k++) {
                struct map_time t;
                const struct place p = {ties[k].set, ties[k].count, 0};
                assert_int_equal(map_when(m, (int)i, &p, &t, 1), 1);
                assert_int_equal(t.us, ties[k].us);
            }
        }
        arena_free(&a);
    }
}

static void within_a_stretch_time_and_drill_go_forward_together(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    uint64_t seed = 77;
    struct move sets[60];
    struct map_anchor ties[30];
    size_t n;
    random_show(sets, COUNT(sets), &seed);
    random_ties(sets, COUNT(sets), ties, COUNT(ties), &seed);
    struct map *m = map_build(&a, (struct moves){sets, COUNT(sets)},
                              (struct map_anchors){ties, COUNT(ties)}, NULL, &e);
    const struct map_stretch *st = map_stretches(m, &n);
    struct spot s, last = {.stretch = -1};
    for (int64_t us = 0; us < st[n - 1].to_us; us += 20011) {
        if (!map_at(m, us, &s))
            continue;
        if (s.stretch == last.stretch) {
            assert_true(s.set >= last.set);
            assert_true(s.set > last.set || s.count >= last.count);
        }
        last = s;
    }
    arena_free(&a);
}

static void pages_turn_to_the_beginning_of_sets(void **state)
{
    (void)state;
    struct arena a = {0};
    struct map_span b;
    const struct map_anchor ties[] = {{10000000, 0, 1, 0, 0}, {100000000, 1, 9, ANCHOR_FROM, 0}};
    struct map *m = build(&a, ties, 2, 0);
    assert_true(map_boundary(m, 18500000, MAP_BEFORE, &b));
    assert_int_equal(b.from_us, 18000000);
    assert_int_equal(b.set, 1);
    assert_true(map_boundary(m, 18000000, MAP_BEFORE, &b));
    assert_int_equal(b.from_us, 10000000);
    assert_false(map_boundary(m, 10000000, MAP_BEFORE, &b));
    assert_true(map_boundary(m, 0, MAP_AFTER, &b));
    assert_int_equal(b.from_us, 10000000);
    assert_true(map_boundary(m, 10000000, MAP_AFTER, &b));
    assert_int_equal(b.from_us, 18000000);
    assert_true(map_boundary(m, 13000000, MAP_NEAREST, &b));
    assert_int_equal(b.from_us, 10000000);
    assert_true(map_boundary(m, 15000000, MAP_NEAREST, &b));
    assert_int_equal(b.from_us, 18000000);
    assert_true(map_boundary(m, 90000000, MAP_NEAREST, &b));
    assert_int_equal(b.from_us, 100000000);
    assert_close(b.from_count, 9, 0);
    assert_false(map_boundary(m, 200000000, MAP_AFTER, &b));
    arena_free(&a);
}

static void counts_step_over_holds_and_stay_in_their_stretch(void **state)
{
    (void)state;
    struct arena a = {0};
    int64_t us;
    const struct map_anchor ties[] = {{10000000, 0, 1, 0, 0}, {100000000, 1, 9, ANCHOR_FROM, 0}};
    struct map *m = build(&a, ties, 2, 0);
    /* Set 3 (index 2) ends at 34 s, holds 2 s; set 4 begins at 36 s. */
    static const struct {
        int64_t from;
        int n;
        int64_t slack, to; /* to -1: there is none */
    } rows[] = {
        {10000000, 1, 0, 10500000},
        {10100000, 1, 0, 10500000},
        {10600000, -1, 0, 10500000},
        {10500000, -1, 0, 10000000},
        {10000000, 16, 0, 18000000},
        {10000000, -1, 0, -1},
        {33500000, 1, 0, 36000000},
        {35000000, 1, 0, 36000000},
        {35000000, -1, 0, 33500000},
        {36000000, -1, 0, 33500000},
        {10490000, 1, 16000, 11000000},
        {10510000, -1, 16000, 10000000},
        {5000000, 1, 0, -1},
        {100000000, -1, 0, -1},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        const bool got = map_step(m, rows[i].from, rows[i].n, rows[i].slack, &us);
        assert_int_equal(got, rows[i].to >= 0);
        if (got)
            assert_int_equal(us, rows[i].to);
    }
    assert_true(map_shift(m, 10125000, 16, &us));
    assert_int_equal(us, 18125000);
    assert_true(map_shift(m, 18000000, -4, &us));
    assert_int_equal(us, 16000000);
    assert_false(map_shift(m, 18000000, -17, &us));
    arena_free(&a);
}

static void bad_ties_are_named_with_the_remedy(void **state)
{
    (void)state;
    static const struct {
        struct map_anchor ties[2];
        const char *says;
    } rows[] = {
        {{{20000000, 0, 1, 0, 0}, {10000000, 1, 1, 0, 0}},
         "tie 2 at 0:10.000 stands behind tie 1 at 0:20.000; put ties in time order"},
        {{{20000000, 0, 1, 0, 0}, {20000000, 1, 3, 0, 0}},
         "ties 1 and 2 are both at 0:20.000 (set 1 count 1, set 2 count 3); remove one"},
        {{{20000000, 8, 1, 0, 0}, {30000000, 1, 1, 0, 0}},
         "tie 1 at 0:20.000: the show has no set number 9; it has 8"},
        {{{20000000, -1, 1, 0, 0}, {30000000, 1, 1, 0, 0}}, "no set number 0"},
        {{{20000000, 0, 1, 0, 0}, {30000000, 1, 18, 0, 0}},
         "tie 2 at 0:30.000: count 18 is not in set 2, which has 16 counts; write 1 to 17"},
        {{{20000000, 0, 0, 0, 0}, {30000000, 1, 1, 0, 0}}, "count 0 is not in set 1"},
        {{{20000000, 0, NAN, 0, 0}, {30000000, 1, 1, 0, 0}}, "is not in set 1"},
        {{{-1, 0, 1, 0, 0}, {30000000, 1, 1, 0, 0}}, "outside the clip"},
        {{{20000000, 0, 1, 0, 0}, {70000000, 1, 1, 0, 0}},
         "tie 2 (set 2): 1:10.000 is outside the clip"},
        {{{20000000, 1, 1, 0, 0}, {30000000, 0, 1, ANCHOR_JOIN, 0}},
         "tie 2 (set 1 count 1): it cannot join the tie before it, which is not earlier"},
        {{{20000000, 0, 1, ANCHOR_HALT, 0}, {28000000, 1, 1, ANCHOR_JOIN, 0}},
         "where the band halts"},
        {{{20000000, 0, 1, 0, 0}, {28000000, 1, 1, ANCHOR_JOIN | ANCHOR_BREAK, 0}},
         "leave one out"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct arena a = {0};
        struct err e = {0};
        const struct map_options o = {.length_us = 60000000};
        assert_null(map_build(&a, (struct moves){show, COUNT(show)},
                              (struct map_anchors){rows[i].ties, 2}, &o, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, rows[i].says));
        arena_free(&a);
    }
}

static void places_are_read_as_the_staff_say_them(void **state)
{
    (void)state;
    static const struct move sets[] = {{"14", 16, 120, 0, 0},
                                       {"14A", 8, 120, 0, 0},
                                       {"15", 0, 0, 0, 4},
                                       {"2.1", 8, 120, 0, 0},
                                       {"set up", 8, 120, 0, 0}};
    static const struct {
        const char *s;
        enum moment_kind kind;
        int set;
        double count;
    } rows[] = {
        {"set 14", MOMENT_PLACE, 0, 1},
        {"14", MOMENT_PLACE, 0, 1},
        {"14.5", MOMENT_PLACE, 0, 5},
        {" 14.5 ", MOMENT_PLACE, 0, 5},
        {"14.5.5", MOMENT_PLACE, 0, 5.5},
        {"14.16.75", MOMENT_PLACE, 0, 16.75},
        {"Set 14a.3", MOMENT_PLACE, 1, 3},
        {"set 14 count 5", MOMENT_PLACE, 0, 5},
        {"14 c5", MOMENT_PLACE, 0, 5},
        {"15", MOMENT_PLACE, 2, 1},
        {"2.1", MOMENT_PLACE, 3, 1},
        {"2.1.4", MOMENT_PLACE, 3, 4},
        {"set up", MOMENT_PLACE, 4, 1},
        {"set up.3", MOMENT_PLACE, 4, 3},
        {"+16 counts", MOMENT_SHIFT_COUNTS, 0, 16},
        {"-4 counts", MOMENT_SHIFT_COUNTS, 0, -4},
        {"- 4", MOMENT_SHIFT_COUNTS, 0, -4},
        {"+0.5c", MOMENT_SHIFT_COUNTS, 0, 0.5},
        {"+2.5 s", MOMENT_SHIFT_TIME, 0, 2.5},
        {"-0:04", MOMENT_SHIFT_TIME, 0, -4},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct err e = {0};
        struct moment m = {0};
        assert_true(moment_parse_drill(rows[i].s, (struct moves){sets, COUNT(sets)}, &m, &e));
        assert_int_equal(m.kind, rows[i].kind);
        assert_int_equal(m.set, rows[i].set);
        const double got = m.kind == MOMENT_SHIFT_TIME ? (double)m.us * 1e-6 : m.count;
        assert_close(got, rows[i].count, 1e-12);
    }
    static const struct {
        const char *s, *says;
    } bad[] = {
        {"14.17", "14.17: set 14 has 16 counts, 14.1 to 14.16"},
        {"14.0", "set 14 has 16 counts"},
        {"15.2", "set 15 has no counts"},
        {"14B.3", "no set '14B' in the show; did you mean '14'?"},
        {"", "which set?"},
        {"set", "no set 'set'"},
        {"14.x", "14.x: behind set 14 comes a count, as 14.5"},
        {"+", "how far to move"},
        {"+four", "how far to move"},
        {"+999999999 counts", "no show has so many counts"},
    };
    for (size_t i = 0; i < COUNT(bad); i++) {
        struct err e = {0};
        struct moment m = {0};
        if (moment_parse_drill(bad[i].s, (struct moves){sets, COUNT(sets)}, &m, &e))
            fail_msg("%s was read", bad[i].s);
        if (!strstr(e.text, bad[i].says))
            fail_msg("%s: %s", bad[i].s, e.text);
    }
}

static void a_moment_is_found_in_the_stretch_at_hand_first(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    int64_t us;
    const struct map_anchor ties[] = {{10000000, 0, 1, 0, 0},
                                      {18000000, 1, 1, ANCHOR_HALT, 0},
                                      {60000000, 0, 1, 0, 0},
                                      {68000000, 1, 1, ANCHOR_HALT, 0}};
    struct map *m = build(&a, ties, 4, 0);
    const struct moment place = {.kind = MOMENT_PLACE, .set = 0, .count = 3};
    assert_true(moment_resolve(&place, m, 17000000, &us, &e));
    assert_int_equal(us, 11000000);
    assert_true(moment_resolve(&place, m, 67000000, &us, &e));
    assert_int_equal(us, 61000000);
    assert_true(moment_resolve(&place, m, 50000000, &us, &e)); /* talk: the nearest */
    assert_int_equal(us, 61000000);
    /* Near the end of the set before, and yet in the next stretch. */
    const struct map_anchor again[] = {
        {10000000, 0, 1, 0, 0}, {18000000, 1, 1, ANCHOR_HALT, 0}, {19000000, 0, 1, 0, 0}};
    struct map *close = build(&a, again, 3, 0);
    const struct moment late = {.kind = MOMENT_PLACE, .set = 0, .count = 16};
    assert_true(moment_resolve(&late, close, 19500000, &us, &e));
    assert_int_equal(us, 26500000);
    const struct moment on = {.kind = MOMENT_SHIFT_COUNTS, .count = 4};
    assert_true(moment_resolve(&on, m, 11000000, &us, &e));
    assert_int_equal(us, 13000000);
    assert_false(moment_resolve(&on, m, 40000000, &us, &e));
    assert_non_null(strstr(e.text, "no set is tied here"));
    assert_false(moment_resolve(&on, m, 17000000, &us, &e));
    assert_non_null(strstr(e.text, "+4 counts from here"));
    const struct moment back = {.kind = MOMENT_SHIFT_TIME, .us = -2500000};
    assert_true(moment_resolve(&back, m, 11000000, &us, &e));
    assert_int_equal(us, 8500000);
    assert_false(moment_resolve(&back, m, 1000000, &us, &e));
    const struct moment nowhere = {.kind = MOMENT_PLACE, .set = 7, .count = 3};
    assert_false(moment_resolve(&nowhere, m, 17000000, &us, &e));
    assert_non_null(strstr(e.text, "nowhere in this clip"));
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(without_ties_nothing_is_placed),
        cmocka_unit_test(one_tie_runs_at_the_written_tempo_from_its_set_to_the_end),
        cmocka_unit_test(the_clip_cuts_the_map_at_both_ends),
        cmocka_unit_test(a_run_through_may_reach_back_before_the_first_tie),
        cmocka_unit_test(between_ties_the_map_meets_both_and_says_how_far_off_the_tempo_is),
        cmocka_unit_test(a_rehearsal_carries_several_stretches),
        cmocka_unit_test(what_begins_a_stretch_follows_the_rule),
        cmocka_unit_test(the_end_of_a_set_and_the_beginning_of_the_next_are_one_place),
        cmocka_unit_test(a_stretch_ends_where_the_next_begins),
        cmocka_unit_test(a_missing_tempo_follows_from_ties_around_one_set),
        cmocka_unit_test(a_missing_tempo_is_never_invented),
        cmocka_unit_test(two_ties_inside_a_set_without_tempo_give_it_one_between_them),
        cmocka_unit_test(time_to_place_to_time_is_exact),
        cmocka_unit_test(every_tie_is_met_to_the_microsecond),
        cmocka_unit_test(within_a_stretch_time_and_drill_go_forward_together),
        cmocka_unit_test(pages_turn_to_the_beginning_of_sets),
        cmocka_unit_test(counts_step_over_holds_and_stay_in_their_stretch),
        cmocka_unit_test(bad_ties_are_named_with_the_remedy),
        cmocka_unit_test(places_are_read_as_the_staff_say_them),
        cmocka_unit_test(a_moment_is_found_in_the_stretch_at_hand_first),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
