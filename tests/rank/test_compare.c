/* Two rehearsals between which nothing changed: how often does a comparison say that something did?
 * And what is compared with what. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

#include "lib/cases.h"
#include "rank/compare.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static double chance(uint64_t *seed)
{
    *seed = *seed * 6364136223846793005u + 1442695040888963407u;
    return (double)(*seed >> 11) / 9007199254740992.0;
}

/* Knuth, The Art of Computer Programming 2, 3.4.1: how many uniforms until their product is small. */
static int poisson(double mean, uint64_t *seed)
{
    const double least = exp(-mean);
    int n = 0;
    for (double x = chance(seed); x > least; x *= chance(seed))
        n++;
    return n;
}

/* --- a world of two rehearsals ------------------------------------------------------------------ */

enum { SETS = 30, REVIEWERS_MOST = 2, PARTS = 3, MARKS_MOST = 60000, SET_S = 12 };

/* Every set is played so many times on either side; a fault has its own rate in every set. */
struct world {
    int lines;
    double
        marks; /* mean of a line on a side that is watched once; of each from 0.1 to 20 times it */
    int clusters;  /* 1: marks come singly; else up to so many within two seconds */
    int wide;      /* the same, anywhere in the set */
    int reviewers; /* both sides are watched by all of them ... */
    bool apart;    /* ... or each side by one of them */
    double eyes;   /* reviewers see up to so much more or less of what there is */
    bool tied;     /* to sets; else time alone is known */
    double
        change[3]; /* rate of the first three lines after, as a part of that before; 0: all same */
};

struct scene {
    struct compare_watched watched[2 * REVIEWERS_MOST * (SETS + 1)];
    struct compare_mark marks[MARKS_MOST];
    struct compare_data data;
    struct compared parts[PARTS];
    struct comparison c;
    struct report_clip clip;
};

static bool watches(const struct world *w, int side, int reviewer)
{
    return !w->apart || reviewer == side;
}

/* Sets 1 .. 20 are played twice before and three times after, 21 .. 25 only before, the others only
 * after: what those would tell is left out where sets are known. */
static int plays(const struct world *w, int side, int set)
{
    if (!w->tied)
        return 2;
    return set < 20 ? 2 + side : (set < 25) == (side == COMPARE_FROM) ? 2 : 0;
}

static void add_event(struct scene *s, const struct world *w, struct compare_mark m, uint64_t *seed)
{
    const int n = w->clusters > 1 ? 1 + (int)(chance(seed) * w->clusters) : 1;
    const int more = w->wide > 1 ? 1 + (int)(chance(seed) * w->wide) : 1;
    const int64_t begins = m.at_us;
    for (int i = 0; i < n * more && s->data.n_marks < MARKS_MOST; i++) {
        const double within = w->wide > 1 ? SET_S * 1e6 : 2e6;
        m.at_us = i == 0 ? begins : begins + (int64_t)(chance(seed) * within);
        s->marks[s->data.n_marks++] = m;
    }
}

static void play_line(struct scene *s, const struct world *w, int line, const double *eyes,
                      uint64_t *seed)
{
    const double mean = w->marks * 0.1 * pow(200, chance(seed)) / 20;
    double rate[SETS];
    for (int set = 0; set < SETS; set++)
        rate[set] = mean * (chance(seed) < 0.3 ? 3 : 0.3) / SETS;
    for (int side = 0; side < 2; side++)
        for (int r = 0; r < w->reviewers; r++)
            for (int set = 0; watches(w, side, r) && set < SETS; set++)
                for (int run = 0; run < plays(w, side, set); run++) {
                    const double changed =
                        side == COMPARE_TO && line < 3 && w->change[line] > 0 ? w->change[line] : 1;
                    for (int k = poisson(rate[set] * eyes[r] * changed, seed); k > 0; k--)
                        add_event(s, w,
                                  (struct compare_mark){
                                      .side = side,
                                      .reviewer = r,
                                      .set = w->tied ? set : -1,
                                      .part = line % PARTS,
                                      .fault = line,
                                      .at_us = (int64_t)((run * SETS + set + chance(seed)) * SET_S *
                                                         1e6)},
                                  seed);
                }
}

static void watch(struct scene *s, const struct world *w)
{
    for (int side = 0; side < 2; side++)
        for (int r = 0; r < w->reviewers; r++)
            for (int set = 0; watches(w, side, r) && set < SETS; set++)
                if (plays(w, side, set))
                    s->watched[s->data.n_watched++] = (struct compare_watched){
                        side, r, w->tied ? set : -1, plays(w, side, set) * SET_S / 60.0};
}

static void play(struct scene *s, const struct world *w, struct arena *a, uint64_t *seed)
{
    double eyes[REVIEWERS_MOST];
    *s = (struct scene){.c = {.parts = s->parts, .n_parts = PARTS}};
    for (int r = 0; r < w->reviewers; r++)
        eyes[r] = 1 + w->eyes * (2 * chance(seed) - 1);
    s->data = (struct compare_data){.watched = s->watched,
                                    .marks = s->marks,
                                    .n_reviewers = (size_t)w->reviewers,
                                    .n_sets = SETS};
    watch(s, w);
    for (int line = 0; line < w->lines; line++)
        play_line(s, w, line, eyes, seed);
    rank_compare(&s->data, a, &s->c);
}

static bool claims(const struct change *c)
{
    return c->verdict == VERDICT_FIXED || c->verdict == VERDICT_FEWER ||
           c->verdict == VERDICT_MORE || c->verdict == VERDICT_NEW;
}

static int claimed(const struct scene *s)
{
    int n = 0;
    for (size_t i = 0; i < PARTS; i++)
        for (size_t k = 0; k < s->parts[i].n; k++)
            n += claims(&s->parts[i].changes[k]);
    return n;
}

/* --- what is claimed ---------------------------------------------------------------------------- */

static const struct world nothing_changed[] = {
    {.marks = 60, .reviewers = 1, .tied = true},
    {.marks = 60, .reviewers = 1},
    {.marks = 60, .clusters = 2, .reviewers = 1, .tied = true},
    {.marks = 60, .clusters = 2, .reviewers = 1},
    {.marks = 60, .clusters = 4, .reviewers = 1, .tied = true},
    {.marks = 60, .wide = 2, .reviewers = 1, .tied = true},
    {.marks = 60, .reviewers = 2, .eyes = 0.3, .tied = true},
    {.marks = 60, .clusters = 2, .reviewers = 2, .eyes = 0.3, .tied = true},
    {.marks = 60, .clusters = 2, .reviewers = 2, .eyes = 0.3, .apart = true, .tied = true},
    {.marks = 60, .reviewers = 2, .eyes = 0.3, .apart = true},
};

static void of_nothing_something_is_said_in_one_report_of_twenty_at_most(void **state)
{
    (void)state;
    enum { REPORTS = SANITIZED ? 20 : 400 };
    static const int lines[] = {1, 5, 20, 150};
    static struct scene s;
    uint64_t seed = 2026;
    for (size_t i = 0; i < COUNT(nothing_changed); i++) {
        for (size_t k = 0; k < COUNT(lines); k++) {
            struct world w = nothing_changed[i];
            int wrong = 0;
            /* the wide clusters can be told from chance where there is something to compare */
            if (w.wide > 1 && lines[k] < 20)
                continue;
            w.lines = lines[k];
            for (int round = 0; round < REPORTS; round++) {
                struct arena a = {0};
                play(&s, &w, &a, &seed);
                wrong += claimed(&s) > 0;
                arena_free(&a);
            }
            if (getenv("COMPARE_TELL"))
                print_message("world %zu, %d lines: %d of %d\n", i, lines[k], wrong, REPORTS);
            /* wide clusters: and what 400 reports can be off (a standard error and a half) */
            if (!SANITIZED && wrong > REPORTS / 20 + (w.wide > 1 ? 6 : 0))
                fail_msg("world %zu: %d of %d reports of %d lines claim a change", i, wrong,
                         REPORTS, lines[k]);
        }
    }
}

/* The same worlds with three real changes in them; how much is found where nothing else did. */
static void a_change_that_is_large_is_still_said(void **state)
{
    (void)state;
    enum { REPORTS = 60 };
    static struct scene s;
    uint64_t seed = 7;
    for (size_t i = 0; i < COUNT(nothing_changed); i++) {
        struct world w = nothing_changed[i];
        int found = 0, there = 0, other = 0;
        w.lines = 12;
        w.marks *= 3;
        w.change[0] = 0.1;
        w.change[1] = 0.1;
        w.change[2] = 8;
        for (int round = 0; round < REPORTS; round++) {
            struct arena a = {0};
            play(&s, &w, &a, &seed);
            for (size_t p = 0; p < PARTS; p++)
                for (size_t k = 0; k < s.parts[p].n; k++) {
                    const struct change *c = &s.parts[p].changes[k];
                    const bool real = c->fault < 3, much = c->from_seen + c->to_seen >= 40;
                    there += real && much;
                    found += real && much && claims(c) &&
                             (c->fault == 2) ==
                                 (c->verdict == VERDICT_MORE || c->verdict == VERDICT_NEW);
                    other += !real && claims(c);
                }
            arena_free(&a);
        }
        if (getenv("COMPARE_TELL"))
            print_message("world %zu: %d of %d found, %d others\n", i, found, there, other);
        /* what other eyes might do is not said of the performers */
        assert_true(there > REPORTS && found >= (w.apart ? 0.4 : 0.95) * there);
        assert_true(other <= REPORTS / 5);
    }
}

/* --- what is compared with what ----------------------------------------------------------------- */

struct table {
    struct compare_watched watched[8];
    size_t n_watched;
    struct compare_mark marks[200];
    size_t n_marks;
};

static void saw(struct table *t, enum compare_side side, int reviewer, int set, double minutes)
{
    t->watched[t->n_watched++] = (struct compare_watched){side, reviewer, set, minutes};
}

static void marked(struct table *t, enum compare_side side, int reviewer, int set, int n)
{
    for (int i = 0; i < n; i++)
        t->marks[t->n_marks++] = (struct compare_mark){.side = side,
                                                       .reviewer = reviewer,
                                                       .set = set,
                                                       .at_us = (10 + 5 * i) * INT64_C(1000000)};
}

static struct comparison compare(struct table *t, struct compared *part, struct arena *a)
{
    *part = (struct compared){0};
    struct comparison c = {.parts = part, .n_parts = 1};
    const struct compare_data d = {.watched = t->watched,
                                   .marks = t->marks,
                                   .n_watched = t->n_watched,
                                   .n_marks = t->n_marks,
                                   .n_reviewers = 3,
                                   .n_sets = 5};
    rank_compare(&d, a, &c);
    assert_int_equal(part->n, 1);
    return c;
}

static void a_set_that_was_not_played_again_is_not_fixed(void **state)
{
    (void)state;
    struct arena a = {0};
    struct table t = {0};
    struct compared part;
    saw(&t, COMPARE_FROM, 0, 0, 10);
    saw(&t, COMPARE_FROM, 0, 2, 10);
    saw(&t, COMPARE_TO, 0, 2, 10);
    saw(&t, COMPARE_TO, 0, 3, 10);
    marked(&t, COMPARE_FROM, 0, 0, 12);
    struct comparison c = compare(&t, &part, &a);
    assert_int_equal(part.changes->verdict, VERDICT_UNSEEN);
    assert_int_equal(part.changes->from_marks, 12);
    assert_int_equal(part.changes->from_counted, 0);
    assert_int_equal(c.from.left_out, 12);
    assert_true(c.set_compared[2] && !c.set_compared[0] && !c.set_compared[3]);
    assert_float_equal(c.from.compared_min, 10, 1e-9);
    marked(&t, COMPARE_FROM, 0, 2, 12); /* this one was */
    c = compare(&t, &part, &a);
    assert_int_equal(part.changes->verdict, VERDICT_FIXED);
    assert_int_equal(part.changes->from_counted, 12);
    arena_free(&a);
}

/* Two people watch the first rehearsal, one of them the second: his marks are compared with his. */
static void every_reviewer_is_compared_with_himself(void **state)
{
    (void)state;
    struct arena a = {0};
    struct table t = {0};
    struct compared part;
    saw(&t, COMPARE_FROM, 0, -1, 30);
    saw(&t, COMPARE_FROM, 1, -1, 30);
    saw(&t, COMPARE_TO, 0, -1, 30);
    marked(&t, COMPARE_FROM, 0, -1, 15);
    marked(&t, COMPARE_FROM, 1, -1, 25);
    marked(&t, COMPARE_TO, 0, -1, 12);
    struct comparison c = compare(&t, &part, &a);
    assert_int_equal(c.basis, COMPARE_TIME);
    assert_int_equal(part.changes->verdict, VERDICT_SAME);
    assert_int_equal(part.changes->from_marks, 40);
    assert_int_equal(part.changes->from_counted, 15);
    assert_float_equal(part.changes->rates.ratio, 12.0 / 15, 1e-9);
    assert_float_equal(c.from.compared_min, 30, 1e-9);
    assert_false(c.other_eyes);
    arena_free(&a);
}

static void other_eyes_are_allowed_to_differ(void **state)
{
    (void)state;
    static const struct {
        int from, to;
        enum verdict verdict;
    } rows[] = {{40, 22, VERDICT_SAME}, {60, 8, VERDICT_FEWER}, {0, 30, VERDICT_NEW}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        for (int apart = 0; apart < 2; apart++) {
            struct arena a = {0};
            struct table t = {0};
            struct compared part;
            saw(&t, COMPARE_FROM, 0, -1, 30);
            saw(&t, COMPARE_TO, apart, -1, 30);
            marked(&t, COMPARE_FROM, 0, -1, rows[i].from);
            marked(&t, COMPARE_TO, apart, -1, rows[i].to);
            const struct comparison c = compare(&t, &part, &a);
            assert_int_equal(c.other_eyes, apart);
            assert_int_equal(part.changes->verdict,
                             i == 0 && !apart ? VERDICT_FEWER : rows[i].verdict);
            arena_free(&a);
        }
    }
}

static void with_one_side_tied_nothing_is_said(void **state)
{
    (void)state;
    struct arena a = {0};
    struct table t = {0};
    struct compared part;
    saw(&t, COMPARE_FROM, 0, 1, 30);
    saw(&t, COMPARE_TO, 0, -1, 30);
    marked(&t, COMPARE_FROM, 0, 1, 40);
    marked(&t, COMPARE_TO, 0, -1, 2);
    const struct comparison c = compare(&t, &part, &a);
    assert_int_equal(c.basis, COMPARE_ONE_TIED);
    assert_int_equal(part.changes->verdict, VERDICT_UNSURE);
    assert_false(part.changes->tested);
    arena_free(&a);
}

/* Three calls in one breath are one sighting: 10.0, 11.5, 12.9; 13.0 is another. */
static void calls_in_one_breath_are_one_sighting(void **state)
{
    (void)state;
    static const double at[] = {10, 11.5, 12.9, 13, 14, 15.9, 16};
    struct arena a = {0};
    struct table t = {0};
    struct compared part;
    saw(&t, COMPARE_FROM, 0, -1, 30);
    saw(&t, COMPARE_TO, 0, -1, 30);
    for (size_t i = 0; i < COUNT(at); i++)
        t.marks[t.n_marks++] = (struct compare_mark){.set = -1, .at_us = llround(at[i] * 1e6)};
    compare(&t, &part, &a);
    assert_int_equal(part.changes->from_marks, 7);
    assert_int_equal(part.changes->from_seen, 3);
    assert_int_equal(part.changes->verdict, VERDICT_UNSEEN); /* 7 against 0 would be p 0.016 */
    assert_true(part.changes->rates.p < 0.02 && part.changes->p > 0.05);
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(of_nothing_something_is_said_in_one_report_of_twenty_at_most),
        cmocka_unit_test(a_change_that_is_large_is_still_said),
        cmocka_unit_test(a_set_that_was_not_played_again_is_not_fixed),
        cmocka_unit_test(every_reviewer_is_compared_with_himself),
        cmocka_unit_test(other_eyes_are_allowed_to_differ),
        cmocka_unit_test(with_one_side_tied_nothing_is_said),
        cmocka_unit_test(calls_in_one_breath_are_one_sighting),
    };
    return cmocka_run_group_tests_name("comparisons", tests, NULL, NULL);
}
