/* Beat finding on rehearsals whose beats are known (tests/hear/scene.h), as AAC in MP4: with the
 * written sets and one tie, with nothing, and beside aubio's own beat tracker.
 *     beats_bench [BANK]                   tables and targets; bank 1 unless said
 *     beats_bench --scene KIND N [BANK]    one scene: true and found beats
 *     beats_bench --wav DIR [BANK]         writes the scenes there: WAV, beats, sets */
#include <aubio/aubio.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "app/beats.h"
#include "band.h"
#include "bench.h"
#include "samples.h"
#include "clip/sound.h"
#include "lib/files.h"
#include "lib/run.h"
#include "scene.h"
#include "scene_inner.h"
#include "score.h"

enum { TEMPO_HOP = 512, TEMPO_WINDOW = 1024 };
enum mode { TIED, ALONE, AUBIO, MODES };
static const char *const mode_names[MODES] = {"written sets up to 5 % off, one tie",
                                              "nothing but the sound", "aubio's own beat tracker"};

/* A claim of at least so much confidence that is wrong misleads somebody. */
static const double sure = 0.8, wrong = 0.5;

struct found {
    double *at, *confidence; /* arena */
    size_t n;
    double sure;  /* mean confidence */
    bool refused; /* as "no steady beat" */
};

struct trial {
    double snr_db;
    bool refused, misled;
    struct beat_score score;
};
typedef struct trial trials[SCENE_KINDS][SCENE_EACH];

/* --- clips --------------------------------------------------------------------------------- */

static const char *clip_folder(void)
{
    static const char *dir;
    const char *set = getenv("BENCH_CLIPS");
    if (!dir)
        dir = set && *set ? set : temp_dir();
    mkdir(dir, 0777);
    return dir;
}

/* FNV-1a of the samples: a clip that was kept is of this very sound. */
static unsigned long long mark_of(const struct scene *s)
{
    const unsigned char *bytes = (const unsigned char *)s->samples;
    unsigned long long h = 14695981039346656037u;
    for (size_t i = 0; i < s->n * sizeof *s->samples; i++)
        h = (h ^ bytes[i]) * 1099511628211u;
    return h;
}

static const char *clip_of(const struct scene *s)
{
    struct arena *a = test_arena();
    const char *clip = path_in(clip_folder(), arena_printf(a, "scene-%016llx.mp4", mark_of(s)));
    if (access(clip, R_OK) == 0)
        return clip;
    const char *wav = path_in(temp_dir(), "scene.wav");
    const char *half = arena_printf(a, "%s.%d.mp4", clip, (int)getpid());
    band_write(&(struct band){.samples = s->samples, .n = s->n}, wav);
    const struct run r = run("ffmpeg", "-nostdin", "-v", "error", "-y", "-i", wav, "-c:a", "aac",
                             "-b:a", "96k", half, NULL);
    if (r.status != 0 || rename(half, clip) != 0) {
        fprintf(stderr, "%s: cannot be made: %s\n", clip, r.err);
        exit(1);
    }
    unlink(wav);
    return clip;
}

/* --- finders ------------------------------------------------------------------------------- */

/* What staff would have typed: the sets at a tempo that is not quite the band's, and a tie that a
 * hand made. */
static const struct map *map_tied(struct arena *a, const struct scene *s, struct dice *d)
{
    struct err e;
    struct move *sets = arena_alloc(a, s->n_sets * sizeof *sets);
    const double off = dice_between(d, 0.95, 1.05);
    for (size_t i = 0; i < s->n_sets; i++) {
        sets[i] = s->set[i];
        sets[i].bpm0 *= off;
        sets[i].bpm1 *= off;
    }
    const int64_t us = llround(1e6 * (s->begin_s + dice_normal(d, 0.015)));
    const struct map_anchor tie = {.us = us, .count = 1};
    const struct map_options options = {.length_us = (int64_t)s->n * 1000000 / SCENE_RATE};
    const struct map *m =
        map_build(a, (struct moves){sets, s->n_sets}, (struct map_anchors){&tie, 1}, &options, &e);
    bench_must(m, &e);
    return m;
}

static const struct map *map_empty(struct arena *a)
{
    struct err e;
    const struct map *m =
        map_build(a, (struct moves){0}, (struct map_anchors){0}, &(struct map_options){0}, &e);
    bench_must(m, &e);
    return m;
}

static struct found ours(struct arena *a, const char *clip, const struct scene *s,
                         const struct map *map)
{
    struct err e;
    struct beats b = {0};
    const struct beats_choice choice = {
        .path = clip, .map = map, .length_us = (int64_t)s->n * 1000000 / SCENE_RATE};
    struct found f = {0};
    f.refused = !app_beats(&choice, a, &b, &e);
    bench_must(!f.refused || e.code == ERR_INPUT, &e);
    f.n = f.refused ? 0 : b.n;
    f.at = arena_alloc(a, f.n * sizeof *f.at);
    f.confidence = arena_alloc(a, f.n * sizeof *f.confidence);
    for (size_t i = 0; i < f.n; i++) {
        f.at[i] = (double)b.beat[i].at_us * 1e-6;
        f.confidence[i] = b.beat[i].confidence;
    }
    for (size_t k = 0; k < b.n_runs && !f.refused; k++)
        f.sure += b.run[k].confidence * (double)b.run[k].n / (double)b.n;
    return f;
}

static struct found theirs(struct arena *a, const char *clip)
{
    struct samples s = samples_of(clip);
    struct found f = {.at = arena_alloc(a, (s.n / TEMPO_HOP + 1) * sizeof *f.at)};
    aubio_tempo_t *tempo = new_aubio_tempo("default", TEMPO_WINDOW, TEMPO_HOP, SOUND_RATE);
    fvec_t *out = new_fvec(1);
    for (size_t i = 0; i + TEMPO_HOP <= s.n; i += TEMPO_HOP) {
        aubio_tempo_do(tempo, &(const fvec_t){TEMPO_HOP, s.at + i}, out);
        const double at = (double)aubio_tempo_get_last_s(tempo);
        if (out->data[0] != 0 && (f.n == 0 || at > f.at[f.n - 1]))
            f.at[f.n++] = at;
    }
    del_fvec(out);
    del_aubio_tempo(tempo);
    free(s.at);
    f.refused = f.n == 0;
    return f;
}

static struct found find(struct arena *a, const struct scene_plan *plan, const struct scene *s,
                         enum mode mode)
{
    const char *clip = clip_of(s);
    struct dice d = {~plan->seed};
    if (mode == AUBIO)
        return theirs(a, clip);
    return ours(a, clip, s, mode == TIED ? map_tied(a, s, &d) : map_empty(a));
}

static void try_scene(const struct scene_plan *plan, struct trial *by_mode[MODES])
{
    struct scene s;
    scene_make(plan, &s);
    for (enum mode m = 0; m < MODES; m++) {
        struct arena a = {0};
        const struct found f = find(&a, plan, &s, m);
        struct trial *t = by_mode[m];
        *t = (struct trial){.snr_db = plan->air.snr_db, .refused = f.refused};
        t->score = score_beats((struct times){s.beat, s.n_beats}, (struct times){f.at, f.n});
        t->misled = t->score.f < wrong && f.sure >= sure;
        arena_free(&a);
    }
    scene_close(&s);
}

/* --- tables -------------------------------------------------------------------------------- */

/* SCENE_KINDS: all of them; NAN: whatever the noise. */
struct choice {
    enum scene_kind kind;
    double snr_db;
};

struct sum {
    size_t n, n_bias, refused, misled, level[LEVELS];
    double f, cml_t, aml_t;
    double bias[SCENE_KINDS * SCENE_EACH]; /* of the clips that have one */
};

static void add(struct sum *sum, const struct trial *t)
{
    sum->n++;
    sum->f += t->score.f;
    sum->cml_t += t->score.cml_t;
    sum->aml_t += t->score.aml_t;
    sum->refused += t->refused;
    sum->misled += t->misled;
    sum->level[t->score.level]++;
    if (!isnan(t->score.bias_ms))
        sum->bias[sum->n_bias++] = t->score.bias_ms;
}

static struct sum sum_up(trials all, struct choice c)
{
    struct sum sum = {0};
    for (enum scene_kind k = 0; k < SCENE_KINDS; k++)
        for (size_t i = 0; i < SCENE_EACH; i++)
            if ((c.kind == SCENE_KINDS || c.kind == k) &&
                (isnan(c.snr_db) || c.snr_db == all[k][i].snr_db))
                add(&sum, &all[k][i]);
    return sum;
}

static double mean_f(trials all, enum scene_kind kind)
{
    const struct sum s = sum_up(all, (struct choice){kind, NAN});
    return s.f / (double)s.n;
}

static void print_row(const char *name, trials all, trials aubio, struct choice c)
{
    struct sum s = sum_up(all, c);
    const double n = (double)s.n;
    printf("%-14s %5.3f %5.3f %5.3f %7.1f   %4zu %6zu %4zu %3zu %4zu  %5.0f%% %7zu", name, s.f / n,
           s.cml_t / n, s.aml_t / n, bench_median(s.bias, s.n_bias), s.level[LEVEL_SAME],
           s.level[LEVEL_DOUBLE], s.level[LEVEL_HALF], s.level[LEVEL_OFF_BEAT], s.level[LEVEL_NONE],
           100 * (double)s.misled / n, s.refused);
    printf("   %5.3f\n", sum_up(aubio, c).f / n);
}

static void print_table(enum mode m, trials all, trials aubio)
{
    printf("\n%s\n%-14s %5s %5s %5s %7s   %4s %6s %4s %3s %4s  %6s %7s   aubio F\n", mode_names[m],
           "", "F", "CMLt", "AMLt", "bias ms", "same", "double", "half", "off", "none", "wrong",
           "refused");
    for (enum scene_kind k = 0; k < SCENE_KINDS; k++) {
        print_row(scene_name(k), all, aubio, (struct choice){k, NAN});
        for (double db = 20; k == SCENE_CROWD && db >= 0; db = db > 5 ? db / 2 : db - 5)
            print_row(arena_printf(test_arena(), "  at %g dB", db), all, aubio,
                      (struct choice){k, db});
    }
    print_row("all", all, aubio, (struct choice){SCENE_KINDS, NAN});
}

/* --- targets ------------------------------------------------------------------------------- */

static void hold_f(trials tied)
{
    static const struct {
        enum scene_kind kind;
        double least;
    } rows[] = {{SCENE_KINDS, 0.9},
                {SCENE_METRONOME, 0.98},
                {SCENE_RAMP, 0.95},
                {SCENE_HOLD, 0.95},
                {SCENE_FULL, 0.8}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const enum scene_kind k = rows[i].kind;
        const char *of = k == SCENE_KINDS ? "all" : scene_name(k);
        bench_at_least(arena_printf(test_arena(), "F with a tie, %s", of), mean_f(tied, k),
                       rows[i].least, "");
    }
    const struct sum s = sum_up(tied, (struct choice){SCENE_CROWD, 5});
    bench_at_least("F with a tie, crowd at 5 dB", s.f / (double)s.n, 0.85, "");
}

static void hold_mode(enum mode m, trials all, trials aubio)
{
    struct arena *a = test_arena();
    struct sum s = sum_up(all, (struct choice){SCENE_KINDS, NAN});
    double least = HUGE_VAL;
    enum scene_kind worst = 0;
    for (enum scene_kind k = 0; k < SCENE_KINDS; k++) {
        const double more = mean_f(all, k) - mean_f(aubio, k);
        worst = more < least ? k : worst;
        least = fmin(least, more);
    }
    const char *with = m == TIED ? "with a tie" : "with nothing";
    bench_at_least(arena_printf(a, "F %s beyond aubio's, least (%s)", with, scene_name(worst)),
                   least, 0, "");
    bench_at_most(arena_printf(a, "|bias| %s", with), fabs(bench_median(s.bias, s.n_bias)), 3,
                  "ms");
    bench_at_most(arena_printf(a, "wrong claims %s", with), 100 * (double)s.misled / (double)s.n, 5,
                  "%");
}

static int all_scenes(int bank)
{
    static trials by_mode[MODES];
    printf("bank %d, %d scenes of each kind\n", bank, SCENE_EACH);
    for (enum scene_kind k = 0; k < SCENE_KINDS; k++)
        for (int i = 0; i < SCENE_EACH; i++) {
            const struct scene_plan plan = scene_plan(bank, k, i);
            try_scene(&plan, (struct trial *[MODES]){&by_mode[TIED][k][i], &by_mode[ALONE][k][i],
                                                     &by_mode[AUBIO][k][i]});
        }
    for (enum mode m = 0; m < MODES; m++)
        print_table(m, by_mode[m], by_mode[AUBIO]);
    puts("");
    hold_f(by_mode[TIED]);
    hold_mode(TIED, by_mode[TIED], by_mode[AUBIO]);
    bench_at_least("F with nothing, all", mean_f(by_mode[ALONE], SCENE_KINDS), 0.75, "");
    hold_mode(ALONE, by_mode[ALONE], by_mode[AUBIO]);
    return bench_end();
}

/* --- one scene, and all as files ----------------------------------------------------------- */

/* True and found beats in one order; a pair that is within 70 ms on one line. */
static void print_beats(const struct scene *s, const struct found *f)
{
    for (size_t i = 0, j = 0; i < s->n_beats || j < f->n;) {
        const double far = i == s->n_beats ? HUGE_VAL
                           : j == f->n     ? -HUGE_VAL
                                           : s->beat[i] - f->at[j];
        if (far <= 0.07)
            printf("%9.3f", s->beat[i++]);
        else
            printf("%9s", "-");
        if (far >= -0.07) {
            printf(" %9.3f", f->at[j]);
            printf(fabs(far) <= 0.07 ? " %+6.1f ms" : "          ", -1000 * far);
            printf(f->confidence ? "  %.2f" : "", f->confidence ? f->confidence[j] : 0);
            j++;
        }
        puts("");
    }
}

static int one_scene(const struct scene_plan *plan)
{
    struct scene s;
    scene_make(plan, &s);
    printf("%s %d: %g bpm, set 1 count 1 at %.3f s; far stand %.3f s %.1f dB, tail %.2f s %.1f dB, "
           "band over noise %.1f dB\n%s\n",
           scene_name(plan->kind), plan->number, plan->bpm, s.begin_s, plan->air.slap_s,
           plan->air.slap_db, plan->air.rt60_s, plan->air.tail_db, plan->air.snr_db, clip_of(&s));
    for (size_t i = 0; i < s.n_sets; i++)
        printf("set %s: %d counts, %g to %g bpm, hold %g s\n", s.set[i].label, s.set[i].counts,
               s.set[i].bpm0, s.set[i].bpm1, s.set[i].hold_s);
    for (enum mode m = 0; m < MODES; m++) {
        struct arena a = {0};
        const struct found f = find(&a, plan, &s, m);
        const struct beat_score r =
            score_beats((struct times){s.beat, s.n_beats}, (struct times){f.at, f.n});
        printf("\n%s: F %.3f, CMLt %.3f, AMLt %.3f, bias %.1f ms, confidence %.2f%s\n%9s %9s\n",
               mode_names[m], r.f, r.cml_t, r.aml_t, r.bias_ms, f.sure,
               f.refused ? ", refused" : "", "true", "found");
        print_beats(&s, &f);
        arena_free(&a);
    }
    scene_close(&s);
    return 0;
}

static int write_all(const char *dir, int bank)
{
    if (scene_write_bank(dir, bank))
        return 0;
    fprintf(stderr, "%s: the scenes cannot be written there\n", dir);
    return 1;
}

/* The bank that an argument names; 1 when there is none, -1 when it is no bank. */
static int bank_of(const char *said)
{
    if (!said)
        return 1;
    return said[0] >= '0' && said[0] < '0' + SCENE_BANKS && !said[1] ? said[0] - '0' : -1;
}

int main(int argc, char **argv)
{
    const bool one = argc >= 4 && strcmp(argv[1], "--scene") == 0;
    const bool files = argc >= 3 && strcmp(argv[1], "--wav") == 0;
    const int used = one ? 4 : files ? 3 : 1;
    const int bank = argc <= used + 1 ? bank_of(argv[used]) : -1;
    const enum scene_kind kind = one ? scene_kind(argv[2]) : 0;
    const int number = one ? atoi(argv[3]) : 0;
    if (bank < 0 || kind == SCENE_KINDS || number < 0 || number >= SCENE_EACH) {
        fputs("usage: beats_bench [--scene KIND N | --wav DIR] [BANK]\n", stderr);
        return 2;
    }
    const struct scene_plan plan = scene_plan(bank, kind, number);
    return one ? one_scene(&plan) : files ? write_all(argv[2], bank) : all_scenes(bank);
}
