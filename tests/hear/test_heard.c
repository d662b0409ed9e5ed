/* The beats of a rehearsal, from its sound to where they are: two scenes of each kind (scene.h), with
 * the sets as staff would have typed them (4 % too fast) and one tie that is 20 ms off, and with
 * nothing. tests/bench/beats_bench.c asks the same of all scenes, beside a reference. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <cmocka.h>

#include "app/beats.h"
#include "band.h"
#include "lib/files.h"
#include "scene.h"
#include "score.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static const struct map *map_of(struct arena *a, const struct scene *s, bool tied)
{
    struct err e;
    struct move *sets = arena_alloc(a, s->n_sets * sizeof *sets);
    for (size_t i = 0; i < s->n_sets; i++) {
        sets[i] = s->set[i];
        sets[i].bpm0 *= 1.04;
        sets[i].bpm1 *= 1.04;
    }
    const struct map_anchor tie = {.us = llround((s->begin_s + 0.02) * 1e6), .count = 1};
    const struct map_options options = {.length_us = (int64_t)s->n * 1000000 / SCENE_RATE};
    const struct map *m = map_build(a, (struct moves){sets, s->n_sets},
                                    (struct map_anchors){&tie, tied}, &options, &e);
    if (!m)
        fail_msg("%s", e.text);
    return m;
}

struct heard_beats {
    double f, bias_ms, confidence;
};

static struct heard_beats hear(const struct scene *s, const char *wav, bool tied)
{
    struct arena a = {0};
    struct err e = {0};
    struct beats b = {0};
    struct heard_beats out = {0};
    const struct beats_choice choice = {.path = wav, .map = map_of(&a, s, tied)};
    if (app_beats(&choice, &a, &b, &e)) {
        double *at = arena_alloc(&a, b.n * sizeof *at);
        for (size_t i = 0; i < b.n; i++)
            at[i] = (double)b.beat[i].at_us * 1e-6;
        const struct beat_score score =
            score_beats((struct times){s->beat, s->n_beats}, (struct times){at, b.n});
        for (size_t i = 0; i < b.n_runs; i++)
            out.confidence += b.run[i].confidence * (double)b.run[i].n / (double)b.n;
        out.f = score.f;
        out.bias_ms = score.bias_ms;
    } else {
        assert_int_equal(e.code, ERR_INPUT); /* no beat to be heard: an answer too */
    }
    arena_free(&a);
    return out;
}

/* Least mean F at 70 ms. Where the beat itself is partly silent nothing but a tie can say which of two
 * it is, so without one little is asked. */
static const struct kind {
    enum scene_kind kind;
    double tied, alone;
} kinds[] = {
    {SCENE_METRONOME, 0.98, 0.98}, {SCENE_DRUM_LINE, 0.9, 0.75}, {SCENE_HATS, 0.9, 0.6},
    {SCENE_OFF_BEAT, 0.4, 0},      {SCENE_WINDS, 0.9, 0.6},      {SCENE_FULL, 0.95, 0.6},
    {SCENE_ECHO, 0.95, 0.8},       {SCENE_CROWD, 0.85, 0.6},     {SCENE_RAMP, 0.95, 0.6},
    {SCENE_HOLD, 0.9, 0.6},        {SCENE_TALK, 0.7, 0.5},
};

static void the_beats_of_every_kind_of_sound_are_found(void **state)
{
    (void)state;
    static const int numbers[] = {0, 5};
    double bias = 0, all[2] = {0, 0};
    for (size_t i = 0; i < COUNT(kinds); i++) {
        double f[2] = {0, 0};
        for (size_t k = 0; k < COUNT(numbers); k++) {
            const struct scene_plan plan = scene_plan(1, kinds[i].kind, numbers[k]);
            const char *wav = path_in(temp_dir(), "scene.wav");
            struct scene s;
            scene_make(&plan, &s);
            band_write(&(struct band){.samples = s.samples, .n = s.n}, wav);
            for (int tied = 0; tied < 2; tied++) {
                const struct heard_beats h = hear(&s, wav, tied);
                if (h.f < 0.5 && h.confidence >= 0.8)
                    fail_msg("%s %d: F %.2f at confidence %.2f", scene_name(plan.kind), plan.number,
                             h.f, h.confidence);
                f[tied] += h.f / COUNT(numbers);
                bias += tied && h.f > 0 ? h.bias_ms / (double)(COUNT(kinds) * COUNT(numbers)) : 0;
            }
            scene_close(&s);
        }
        print_message("%s: %.3f with a tie, %.3f without\n", scene_name(kinds[i].kind), f[1], f[0]);
        if (f[1] < kinds[i].tied || f[0] < kinds[i].alone)
            fail_msg("%s: F %.3f with a tie, %.3f without", scene_name(kinds[i].kind), f[1], f[0]);
        all[0] += f[0] / COUNT(kinds);
        all[1] += f[1] / COUNT(kinds);
    }
    if (all[1] < 0.9 || all[0] < 0.75 || fabs(bias) > 3)
        fail_msg("F %.3f with a tie, %.3f without; %.1f ms late", all[1], all[0], bias);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_beats_of_every_kind_of_sound_are_found),
    };
    return cmocka_run_group_tests_name("heard", tests, NULL, NULL);
}
