#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "count/beats.h"
#include "chance.h"
#include "close_to.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

enum { BEATS_MOST = 1000, ONSETS_MOST = 8000 };

/* What is played, and the onsets that a microphone would give. */
struct scene {
    double beat[BEATS_MOST]; /* s */
    size_t n_beats;
    struct onset onset[ONSETS_MOST];
    size_t n;
    uint64_t seed;
};

struct playing {
    int parts;        /* onsets in a beat: 1, 2 or 4 */
    double missed;    /* of all onsets */
    double noise;     /* onsets a second that belong to nothing */
    double scatter_s; /* of an onset around its due time */
};

static const struct playing click = {1, 0, 0, 0.0002}, drums = {2, 0.05, 0.5, 0.004},
                            busy = {4, 0.1, 0.5, 0.004}, rough = {2, 0.2, 1, 0.006};

static void add_onset(struct scene *s, double at_s, double strength)
{
    s->onset[s->n++] = (struct onset){llround(at_s * 1e6), strength};
}

enum { LOOKS_MOST = 30000, STEP_US = 10000, RINGS = 70 };

/* What a microphone would make of these onsets: new sound, on a scale that is nearer to a logarithm,
 * in the look that has them, a little in the next, and something in every look. */
static bool find(struct arena *a, const struct scene *s, const struct beat_prior *p,
                 struct beats *out, struct err *e)
{
    static float rise[LOOKS_MOST], loud[LOOKS_MOST];
    struct beat_sound sound = {
        .onsets = {s->onset, s->n}, .rise = rise, .loud = loud, .step_us = STEP_US};
    for (size_t i = 0; i < LOOKS_MOST; i++) {
        rise[i] = 0.1F;
        loud[i] = 0.01F;
    }
    for (size_t i = 0; i < s->n; i++) {
        const size_t look = (size_t)((s->onset[i].at_us + STEP_US / 2) / STEP_US);
        assert_true(look + 200 < LOOKS_MOST);
        rise[look] += (float)pow(s->onset[i].strength, 0.6);
        rise[look + 1] += (float)pow(s->onset[i].strength, 0.6) / 4;
        for (size_t k = look > RINGS ? look - RINGS : 0; k < look + RINGS; k++)
            loud[k] = fmaxf(loud[k], 0.3F); /* an onset may be missed; quiet it is not */
        loud[look] = fmaxf(loud[look], (float)s->onset[i].strength);
        sound.n_rises = look + 200;
    }
    return beats_find(a, &sound, p, out, e);
}

static int by_time(const void *a, const void *b)
{
    const int64_t x = ((const struct onset *)a)->at_us, y = ((const struct onset *)b)->at_us;
    return (x > y) - (x < y);
}

static void play_beat(struct scene *s, const struct playing *p, double at, double length)
{
    s->beat[s->n_beats++] = at;
    for (int part = 0; part < p->parts; part++) {
        const double loud = part == 0              ? (s->n_beats % 2 ? 1 : 0.8)
                            : part * 2 == p->parts ? 0.3
                                                   : 0.25;
        if (chance(&s->seed) < p->missed)
            continue;
        add_onset(s, at + length * part / p->parts + p->scatter_s * chance_normal(&s->seed),
                  loud * (0.8 + 0.4 * chance(&s->seed)));
    }
}

/* Steady at bpm0, then evenly in counts to bpm1 over the middle 40 %, then steady. */
static void play(struct scene *s, const struct playing *p, double bpm0, double bpm1, double from_s,
                 size_t beats)
{
    double at = from_s;
    const double ramp0 = 0.3 * (double)beats, ramp1 = 0.7 * (double)beats;
    for (size_t k = 0; k < beats; k++) {
        const double part = fmin(fmax(((double)k - ramp0) / (ramp1 - ramp0), 0), 1);
        const double length = 60 / (bpm0 + part * (bpm1 - bpm0));
        play_beat(s, p, at, length);
        at += length;
    }
    for (double t = from_s; p->noise > 0 && t < at; t -= log(1 - chance(&s->seed)) / p->noise)
        add_onset(s, t, 0.1 + 0.4 * chance(&s->seed));
    qsort(s->onset, s->n, sizeof *s->onset, by_time);
}

/* Part of the true beats that have one within 30 ms, and the worst tempo error of those that have
 * four true beats on either side. */
static double hits(const struct scene *s, const struct beats *b, double *tempo_error)
{
    size_t hit = 0;
    *tempo_error = 0;
    for (size_t i = 0; i < s->n_beats; i++) {
        size_t best = 0;
        for (size_t j = 1; j < b->n; j++)
            if (fabs((double)b->beat[j].at_us * 1e-6 - s->beat[i]) <
                fabs((double)b->beat[best].at_us * 1e-6 - s->beat[i]))
                best = j;
        const bool good = fabs((double)b->beat[best].at_us * 1e-6 - s->beat[i]) <= 0.03;
        hit += good;
        if (!good || i < 4 || i + 4 >= s->n_beats)
            continue;
        const double bpm = 120 / (s->beat[i + 1] - s->beat[i - 1]);
        *tempo_error = fmax(*tempo_error, fabs(b->beat[best].bpm / bpm - 1));
    }
    return (double)hit / (double)s->n_beats;
}

/* Beats go forward, a fifth of a second apart at least, and every one is in one run. */
static void expect_order(const struct beats *b)
{
    size_t in_runs = 0;
    for (size_t i = 0; i < b->n; i++) {
        assert_true(b->beat[i].confidence >= 0 && b->beat[i].confidence <= 1);
        assert_true(i == 0 || b->beat[i].at_us - b->beat[i - 1].at_us > 200000);
    }
    for (size_t i = 0; i < b->n_runs; i++) {
        assert_int_equal(b->run[i].first, in_runs);
        in_runs += b->run[i].n;
    }
    assert_int_equal(in_runs, b->n);
}

static void expect_beats(const struct scene *s, const struct beat_prior *p, double tempo_within,
                         const char *what, double bpm)
{
    struct arena a = {0};
    struct err e = {0};
    struct beats b;
    double tempo_error;
    if (!find(&a, s, p, &b, &e))
        fail_msg("%s at %g: %s", what, bpm, e.text);
    const double part = hits(s, &b, &tempo_error);
    if (part < 0.95 || tempo_error > tempo_within)
        fail_msg("%s at %g: %.3f of the beats, tempo off by %.4f", what, bpm, part, tempo_error);
    assert_true(b.n <= s->n_beats + s->n_beats / 20 + 1);
    expect_order(&b);
    arena_free(&a);
}

static void steady_beats_are_found_with_and_without_a_written_tempo(void **state)
{
    (void)state;
    static const double tempi[] = {96, 112, 128, 144, 160, 172, 184};
    struct scene *s = calloc(1, sizeof *s);
    s->seed = 12;
    for (size_t i = 0; i < COUNT(tempi); i++) {
        static const struct {
            const char *name;
            const struct playing *p;
        } kinds[] = {{"click", &click}, {"drums", &drums}, {"busy", &busy}};
        for (size_t k = 0; k < COUNT(kinds); k++) {
            const struct tempo_point off = {0, tempi[i] * 1.05};
            const struct beat_prior known = {.points = &off, .n = 1}, none = {0};
            s->n = s->n_beats = 0;
            play(s, kinds[k].p, tempi[i], tempi[i], 1, 90);
            expect_beats(s, &known, 0.005, kinds[k].name, tempi[i]);
            if (kinds[k].p != &busy)
                expect_beats(s, &none, 0.005, kinds[k].name, tempi[i]);
        }
        const struct tempo_point off = {0, tempi[i] * 0.96};
        const struct beat_prior known = {.points = &off, .n = 1};
        s->n = s->n_beats = 0;
        play(s, &rough, tempi[i], tempi[i], 1, 90);
        expect_beats(s, &known, 0.01, "rough", tempi[i]);
    }
    free(s);
}

static void a_ritardando_is_followed_along_the_written_tempo(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    s->seed = 31;
    static const double ramps[][2] = {{144, 88}, {120, 168}, {160, 100}};
    for (size_t i = 0; i < COUNT(ramps); i++) {
        s->n = s->n_beats = 0;
        play(s, &drums, ramps[i][0], ramps[i][1], 2, 80);
        /* Expected half a second late and 3 % too fast. */
        const struct tempo_point points[] = {
            {llround(s->beat[24] * 1e6) + 500000, ramps[i][0] * 1.03},
            {llround(s->beat[32] * 1e6) + 500000, (ramps[i][0] * 0.75 + ramps[i][1] * 0.25) * 1.03},
            {llround(s->beat[40] * 1e6) + 500000, (ramps[i][0] + ramps[i][1]) / 2 * 1.03},
            {llround(s->beat[56] * 1e6) + 500000, ramps[i][1] * 1.03}};
        const struct beat_prior p = {.points = points, .n = COUNT(points)};
        expect_beats(s, &p, 0.01, "ritardando", ramps[i][1]);
    }
    free(s);
}

static void without_a_written_tempo_a_long_ramp_is_followed_too(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    const struct beat_prior none = {0};
    s->seed = 9;
    play(s, &drums, 120, 168, 1, 150);
    expect_beats(s, &none, 0.015, "ramp", 168);
    /* So steep that the beats around one no longer lie on a line, and still within 10 ms. */
    struct arena a = {0};
    struct err e = {0};
    struct beats b;
    s->n = s->n_beats = 0;
    play(s, &click, 168, 108, 1, 130);
    assert_true(find(&a, s, &none, &b, &e));
    assert_int_equal(b.n, 130);
    for (size_t i = 0; i < b.n; i++)
        assert_close((double)b.beat[i].at_us * 1e-6, s->beat[i], 0.010);
    arena_free(&a);
    free(s);
}

static void silence_and_chance_give_nothing(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    const struct tempo_point tempo = {0, 144};
    const struct beat_prior none = {0}, known = {.points = &tempo, .n = 1};
    struct beats b = {0};
    struct err e = {0};
    struct arena a = {0};
    s->seed = 40;
    assert_false(find(&a, s, &none, &b, &e));
    assert_non_null(strstr(e.text, "no beat to be heard: 0 sounds begin here"));
    add_onset(s, 1, 1);
    assert_false(find(&a, s, &known, &b, &e));
    assert_non_null(strstr(e.text, "1 sound begins here, and 8 are needed; tap the beat instead"));
    const struct tempo_point absurd[] = {{0, 144}, {5, 0}}, back[] = {{5, 144}, {5, 120}};
    const struct beat_prior wrong = {.points = absurd, .n = 2}, twice = {.points = back, .n = 2};
    play(s, &click, 120, 120, 2, 20);
    assert_false(find(&a, s, &wrong, &b, &e));
    assert_non_null(strstr(e.text, "tempo of 0 bpm"));
    assert_false(find(&a, s, &twice, &b, &e));
    assert_non_null(strstr(e.text, "time order"));
    for (int round = 0; round < 20; round++) {
        s->n = 0;
        for (double t = 0; t < 60; t += 0.05 - log(1 - chance(&s->seed)) / (2 + round % 7))
            add_onset(s, t, 0.1 + chance(&s->seed));
        assert_false(find(&a, s, round % 2 ? &none : &known, &b, &e));
        assert_non_null(strstr(e.text, "no steady beat to be heard"));
    }
    assert_int_equal(b.n, 0);
    arena_free(&a);
    free(s);
}

static void a_stop_parts_the_beats_into_runs(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    struct arena a = {0};
    struct err e = {0};
    struct beats b;
    const struct tempo_point tempo = {0, 140};
    const struct beat_prior p = {.points = &tempo, .n = 1};
    s->seed = 6;
    play(s, &drums, 144, 144, 2, 48);
    play(s, &drums, 136, 136, 40, 48);
    assert_true(find(&a, s, &p, &b, &e));
    assert_int_equal(b.n_runs, 2);
    for (int i = 0; i < 2; i++) {
        assert_close((double)b.run[i].n, 48, 2);
        assert_close(b.beat[b.run[i].first + 20].bpm, i ? 136 : 144, 0.7);
        assert_true(b.run[i].confidence > 0.6);
    }
    assert_close((double)b.beat[b.run[1].first].at_us * 1e-6, 40, 0.5);
    arena_free(&a);
    free(s);
}

static void talk_between_two_runs_is_not_counted(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    const struct tempo_point tempo = {0, 140};
    size_t counted = 0;
    for (uint64_t seed = 1; seed <= 12; seed++) {
        struct arena a = {0};
        struct err e = {0};
        struct beats b;
        const struct beat_prior p = {.points = &tempo, .n = seed % 2};
        s->n = s->n_beats = 0;
        s->seed = seed;
        const double pause = 5 + (double)seed, second = 22 + pause;
        play(s, &drums, 144, 144, 2, 48);
        play(s, &drums, 144, 144, second, 48);
        for (double t = 22; t < second; t += 0.1 - log(1 - chance(&s->seed)) / 4)
            add_onset(s, t, 0.1 + 0.6 * chance(&s->seed));
        qsort(s->onset, s->n, sizeof *s->onset, by_time);
        assert_true(find(&a, s, &p, &b, &e));
        expect_order(&b);
        size_t between = 0;
        double tempo_error;
        for (size_t i = 0; i < b.n; i++)
            between += b.beat[i].at_us > 23000000 && (double)b.beat[i].at_us < second * 1e6 - 1e6;
        if (hits(s, &b, &tempo_error) < 0.95 || between > 6 || b.n_runs != 2)
            fail_msg("seed %d: %.3f of the beats, %zu in %g s of talk", (int)seed,
                     hits(s, &b, &tempo_error), between, pause);
        counted += between;
        arena_free(&a);
    }
    assert_in_range(counted, 0, 12); /* some 330 beats would fit into all the talk: one in 27 */
    free(s);
}

static void many_starts_and_stops_give_beats_in_order(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    const struct tempo_point tempo = {0, 140};
    for (uint64_t seed = 1; seed <= 36; seed++) {
        struct arena a = {0};
        struct err e = {0};
        struct beats b;
        const struct beat_prior p = {.points = &tempo, .n = seed % 2};
        double at = 2;
        s->n = s->n_beats = 0;
        s->seed = seed;
        for (int round = 0; round < 4; round++) {
            const double bpm = 130 + 20 * chance(&s->seed);
            const size_t beats = 14 + (size_t)(20 * chance(&s->seed));
            play(s, &drums, bpm, bpm, at, beats);
            at += (double)beats * 60 / bpm;
            const double end = at + 2 + 4 * chance(&s->seed);
            for (; at < end; at += 0.1 - log(1 - chance(&s->seed)) / 4)
                add_onset(s, at, 0.1 + 0.6 * chance(&s->seed));
        }
        qsort(s->onset, s->n, sizeof *s->onset, by_time);
        if (find(&a, s, &p, &b, &e))
            expect_order(&b);
        arena_free(&a);
    }
    free(s);
}

static void where_the_beat_is_lost_a_run_ends(void **state)
{
    (void)state;
    struct scene *s = calloc(1, sizeof *s);
    struct arena a = {0};
    struct err e = {0};
    struct beats b;
    const struct tempo_point tempo = {0, 144};
    const struct beat_prior p = {.points = &tempo, .n = 1};
    /* Nine beats and a third with two sounds in them: too few to count by, too many for silence. */
    s->seed = 3;
    play(s, &click, 144, 144, 2, 40);
    const double stop = s->beat[39];
    add_onset(s, stop + 1.45, 0.5);
    add_onset(s, stop + 2.9, 0.5);
    play(s, &click, 144, 144, stop + 9.33 * 60 / 144, 40);
    assert_true(find(&a, s, &p, &b, &e));
    assert_int_equal(b.n_runs, 2);
    assert_int_equal(b.run[0].n, 40);
    arena_free(&a);
    free(s);
}

static void beats_are_put_back_by_the_sounds_way(void **state)
{
    (void)state;
    struct beat beat[] = {{.at_us = 1000000}, {.at_us = 1500000}};
    struct beats b = {.beat = beat, .n = 2};
    beats_put_back(&b, 175000);
    assert_int_equal(beat[0].at_us, 825000);
    assert_int_equal(beat[1].at_us, 1325000);
}

static const struct move sets[] = {
    {"1", 16, 120, 0, 0}, {"2", 8, 0, 0, 0},    {"2A", 0, 0, 0, 0},
    {"3", 12, 120, 0, 0}, {"4", 16, 120, 0, 3}, {"5", 16, 120, 0, 0},
};

static struct beats even_beats(struct arena *a, size_t n)
{
    struct beats b = {.beat = arena_alloc(a, n * sizeof *b.beat), .n = n, .n_runs = 1};
    b.run = arena_alloc(a, sizeof *b.run);
    b.run[0] = (struct beat_run){0, n, 0.9};
    for (size_t i = 0; i < n; i++)
        b.beat[i] = (struct beat){10000000 + (int64_t)i * 500000, 120, i == 30 ? 0.4 : 0.9, true};
    return b;
}

static void from_one_tie_the_beats_are_counted_off_to_every_set(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    /* Beat 0 is set 1 count 5; a person tied beat 16, set 2 count 5, 40 ms off. */
    const struct beats b = even_beats(&a, 60);
    const struct map_anchor known = {10000000 + 16 * 500000 + 40000, 1, 5, 0, 0};
    const struct beat_ties *ties =
        beats_ties(&a, &b, (struct moves){sets, COUNT(sets)}, &known, &e);
    assert_non_null(ties);
    static const struct {
        int set, beat;
        double confidence;
    } want[] = {{1, 12, 0.9}, {3, 20, 0.9}, {4, 32, 0.4}};
    assert_int_equal(ties->n,
                     COUNT(want)); /* set 1 began before the beats, set 5 lies past a hold */
    for (size_t i = 0; i < COUNT(want); i++) {
        assert_int_equal(ties->at[i].tie.set, want[i].set);
        assert_close(ties->at[i].tie.count, 1, 0);
        assert_int_equal(ties->at[i].tie.us, 10000000 + want[i].beat * 500000);
        assert_close(ties->at[i].confidence, want[i].confidence, 1e-9);
    }
    arena_free(&a);
}

static void counting_off_needs_a_beat_and_a_whole_count(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    const struct moves show = {sets, COUNT(sets)};
    const struct beats b = even_beats(&a, 60), none = {0};
    const struct map_anchor half = {10000000, 0, 1.5, 0, 0}, far = {90000000, 0, 1, 0, 0},
                            between = {10250000, 0, 1, 0, 0}, at = {10000000, 0, 1, 0, 0};
    assert_null(beats_ties(&a, &b, show, &half, &e));
    assert_non_null(strstr(e.text, "whole count"));
    assert_null(beats_ties(&a, &b, show, &far, &e));
    assert_non_null(strstr(e.text, "no beat is heard where set 1 is tied"));
    assert_null(beats_ties(&a, &b, show, &between, &e));
    assert_null(beats_ties(&a, &none, show, &at, &e));
    arena_free(&a);
}

static void the_map_says_what_tempo_to_expect(void **state)
{
    (void)state;
    struct arena a = {0};
    struct err e = {0};
    const struct move two[] = {{"1", 8, 120, 0, 0}, {"2", 8, 120, 90, 1}};
    const struct map_anchor tie = {1000000, 0, 1, 0, 0};
    const struct map *m =
        map_build(&a, (struct moves){two, 2}, (struct map_anchors){&tie, 1}, NULL, &e);
    const struct beat_prior p = beat_prior_of_map(&a, m, 0, 20000000);
    assert_int_equal(p.points[0].at_us, 1000000);
    assert_close(p.points[0].bpm, 120, 1e-9);
    assert_true(p.points[p.n - 1].at_us < 10000000);
    assert_close(p.points[p.n - 1].bpm, 90, 2);
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steady_beats_are_found_with_and_without_a_written_tempo),
        cmocka_unit_test(a_ritardando_is_followed_along_the_written_tempo),
        cmocka_unit_test(without_a_written_tempo_a_long_ramp_is_followed_too),
        cmocka_unit_test(silence_and_chance_give_nothing),
        cmocka_unit_test(a_stop_parts_the_beats_into_runs),
        cmocka_unit_test(talk_between_two_runs_is_not_counted),
        cmocka_unit_test(many_starts_and_stops_give_beats_in_order),
        cmocka_unit_test(where_the_beat_is_lost_a_run_ends),
        cmocka_unit_test(beats_are_put_back_by_the_sounds_way),
        cmocka_unit_test(from_one_tie_the_beats_are_counted_off_to_every_set),
        cmocka_unit_test(counting_off_needs_a_beat_and_a_whole_count),
        cmocka_unit_test(the_map_says_what_tempo_to_expect),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
