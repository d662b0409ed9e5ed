/* Spoken calls: how many are heard whole and right, how much other talk is taken for a call, how long it
 * takes. The sentences are those of tests/hear/spoken that are to judge by ('judge'; 'tune' are those that
 * thresholds were set with), said by voices that set none: flite's slt and awb, and festival's ked and slt
 * (another synthesiser: hts) where it is installed. All of them with noise 25 dB below the talk; every sixth
 * in other conditions, which is few: their shares may be off by 6 %.
 *     voice_bench             BENCH_EVERY=3: every third; BENCH_ONLY='15 dB': that condition, all of them;
 *                             BENCH_SCORES=1: a line for each sentence, for a fit
 *     voice_bench tune        the other half, by flite's rms and kal16 and festival's kal */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/voice.h"
#include "bench.h"
#include "lib/files.h"
#include "lib/run.h"
#include "show/show.h"
#include "spoken_set.h"

enum { CONDITIONS = 3, KINDS = 2, MAIN_ONE = 1, OTHERS = 6 };
static const struct condition {
    const char *name;
    double snr_db; /* 0: as it is */
} conditions[CONDITIONS] = {{"clean", 0}, {"25 dB", 25}, {"15 dB", 15}};

struct count {
    size_t n, right, sure_right, sure_wrong;
};
/* Of those whose confidence lay within a tenth: how many there are, how many were right. */
struct bin {
    size_t n, right;
    double sum;
};

struct tally {
    struct count of[SPOKEN_VOICES][CONDITIONS][KINDS];
    struct bin bins[CONDITIONS][10];
    double speech_s, cpu_s, late[2000]; /* late: seconds until it is understood */
    size_t n_late;
};

static void note(struct tally *t, const struct spoken_case *c, int condition,
                 const struct heard_call *h)
{
    struct count *n = &t->of[c->voice][condition][c->is_call ? 0 : 1];
    const bool right = h && c->is_call && spoken_same(c, &h->call);
    const bool sure = h && h->confidence >= app_voice_sure;
    n->n++;
    n->right += right;
    n->sure_right += right && sure;
    n->sure_wrong += sure && !right;
    if (!h)
        return;
    struct bin *b = &t->bins[condition][h->confidence >= 1 ? 9 : (int)(h->confidence * 10)];
    b->n++;
    b->right += right;
    b->sum += h->confidence;
}

static void say_scores(const struct spoken_case *c, int condition, const struct speech_said *said,
                       const struct heard_call *h)
{
    const bool right = h && c->is_call && spoken_same(c, &h->call);
    printf("score\t%s\t%s\t%d\t%d\t%.4f\t%.4f\t%.4f\t%zu\t%.4f\t%s\t%s\n",
           spoken_voices[c->voice].name, conditions[condition].name, c->is_call, right,
           h ? said->scores.sounds : -99, h ? said->scores.english : -99,
           h ? said->scores.worst : -99, said->n, said->confidence, c->says, h ? h->quote : "");
}

static void hear(struct tally *t, struct app_voice *v, const struct spoken_case *c, int condition)
{
    struct arena a = {0};
    struct speech_said said;
    struct heard_call h = {0};
    const struct speech_samples s = spoken_samples(c, conditions[condition].snr_db);
    const double from = bench_cpu(), wall = bench_now();
    speech_hear(app_voice_ear(v), &a, &s, &said);
    t->cpu_s += bench_cpu() - from;
    if (t->n_late < sizeof t->late / sizeof *t->late)
        t->late[t->n_late++] = bench_now() - wall;
    t->speech_s += (double)s.n / SPEECH_RATE;
    const bool any = said.n > 0 && app_voice_read(v, &a, &said, &h);
    note(t, c, condition, any ? &h : NULL);
    if (getenv("BENCH_SCORES"))
        say_scores(c, condition, &said, any ? &h : NULL);
    arena_free(&a);
}

static double part(size_t n, size_t of)
{
    return of ? 100.0 * (double)n / (double)of : 0;
}

static void report(const struct tally *t)
{
    printf("%-26s %-10s %22s %22s %26s\n", "voice", "", "calls right, any conf.",
           "calls right and sure", "other talk taken for a call");
    for (int c = 0; c < CONDITIONS; c++)
        for (size_t v = 0; v < SPOKEN_VOICES; v++) {
            const struct count *call = &t->of[v][c][0], *talk = &t->of[v][c][1];
            if (call->n)
                printf("%-26s %-10s %6zu of %3zu  %5.1f %% %6zu of %3zu  %5.1f %% %6zu of %3zu  "
                       "%5.1f %%\n",
                       spoken_voices[v].name, conditions[c].name, call->right, call->n,
                       part(call->right, call->n), call->sure_right, call->n,
                       part(call->sure_right, call->n), talk->sure_wrong, talk->n,
                       part(talk->sure_wrong, talk->n));
        }
    printf("%-26s %-10s %s\n", "confidence", "", "said (mean) against right");
    for (int c = 0; c < CONDITIONS; c++)
        for (int b = 0; b < 10; b++)
            if (t->bins[c][b].n)
                printf("%-26s %-10s %5.1f %% %5.1f %% of %zu\n", "", conditions[c].name,
                       100 * t->bins[c][b].sum / (double)t->bins[c][b].n,
                       part(t->bins[c][b].right, t->bins[c][b].n), t->bins[c][b].n);
}

static struct count sum(const struct tally *t, int condition, int kind)
{
    struct count all = {0};
    for (size_t v = 0; v < SPOKEN_VOICES; v++) {
        const struct count *c = &t->of[v][condition][kind];
        all.n += c->n, all.right += c->right, all.sure_right += c->sure_right,
            all.sure_wrong += c->sure_wrong;
    }
    return all;
}

static bool wanted(int condition, size_t i)
{
    const char *only = getenv("BENCH_ONLY");
    return only ? strcmp(only, conditions[condition].name) == 0
                : condition == MAIN_ONE || i % OTHERS == 0;
}

int main(int argc, char **argv)
{
    static struct tally t;
    struct err e;
    struct app_voice *v;
    const bool tune = argc > 1 && strcmp(argv[1], "tune") == 0;
    const int every = getenv("BENCH_EVERY") ? atoi(getenv("BENCH_EVERY")) : 1;
    struct spoken_set set = spoken_set_read(tune ? "tune" : "judge", every > 0 ? (size_t)every : 1);
    if (!app_voice_open(&v, set.show, &e)) {
        printf("%s\n", e.text);
        return 1;
    }
    for (size_t i = 0; i < set.n; i++)
        for (int c = 0; c < CONDITIONS; c++)
            if (wanted(c, i))
                hear(&t, v, &set.at[i], c);
    report(&t);
    const struct count calls = sum(&t, MAIN_ONE, 0), talk = sum(&t, MAIN_ONE, 1);
    if (calls.n) {
        bench_at_least("calls whole and right, 25 dB", part(calls.right, calls.n), 95, "%");
        bench_at_least("calls right and sure, 25 dB", part(calls.sure_right, calls.n), 90, "%");
        bench_at_most("other talk taken for a call, 25 dB", part(talk.sure_wrong, talk.n), 5, "%");
    }
    bench_at_most("recognition / time of the talk", t.cpu_s / t.speech_s, 0.5, "");
    bench_sort(t.late, t.n_late);
    if (t.n_late)
        printf("from the end of a call until it is understood: median %.2f s, 95 of 100 %.2f s\n",
               bench_part(t.late, t.n_late, 0.5), bench_part(t.late, t.n_late, 0.95));
    app_voice_close(v);
    return bench_end();
}
