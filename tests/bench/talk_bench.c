/* How well talk is understood that nobody looked at while it was tuned, and how long it takes.
 *     talk_bench          figures of the six unseen commentaries of tests/talk/said; timings as medians
 *     talk_bench learnt   the same of the ten that were learnt from
 * A draft is held against the label that it overlaps or begins within two seconds of; what follows is
 * counted among the labels that were found. */
#include <jansson.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "lib/files.h"
#include "talk/band.h"

static const char *const unseen[] = {"auto.srt",       "terse.srt",   "designer.txt",
                                     "second-run.srt", "patient.vtt", "evaluator.txt"};
static const char *const learnt[] = {
    "two-voices.vtt", "notes.txt",       "high-box.vtt", "kind.txt",  "weather.txt",
    "sideline.txt",   "to-the-band.txt", "to-tape.srt",  "blunt.txt", "guest.vtt"};

struct tally {
    size_t labels, drafts, found, fault, target, praise, cause, moment, one, sizes, size;
};

static struct band band;

static json_t *labels_of(const char *name)
{
    size_t n;
    const char *stem = arena_strndup(&band.memory, name, strcspn(name, "."));
    const char *json = read_file(arena_printf(&band.memory, SAID "/%s.json", stem), &n);
    return json_loadb(json, n, 0, NULL);
}

/* --- label and draft ---------------------------------------------------------------------------- */

static double number(const json_t *label, const char *key)
{
    return json_number_value(json_object_get(label, key));
}

static const char *name_of(const struct draft *d)
{
    return d->fault >= 0 ? band.show.faults[d->fault].name : NULL;
}

static bool same_fault(const json_t *label, const struct draft *d)
{
    const char *fault = json_string_value(json_object_get(label, "fault")), *own = name_of(d);
    return fault && own ? strcmp(fault, own) == 0 : fault == own;
}

static bool same_targets(const json_t *label, const struct draft *d)
{
    const json_t *targets = json_object_get(label, "targets");
    if (json_array_size(targets) != d->n_targets)
        return false;
    for (size_t i = 0; i < d->n_targets; i++) {
        bool is = false;
        for (size_t k = 0; k < d->n_targets; k++)
            is |= strcmp(json_string_value(json_array_get(targets, i)),
                         band.show.sections[d->targets[k].section].name) == 0;
        if (!is)
            return false;
    }
    return true;
}

static bool same_size(const json_t *label, const struct draft *d)
{
    const json_t *size = json_object_get(label, "size");
    if (!json_is_object(size) || d->unit == DRAFT_NO_SIZE)
        return false;
    return fabs(number(size, "value") - d->size) < 0.01 &&
           strcmp(json_string_value(json_object_get(size, "unit")), draft_unit_name(d->unit)) == 0;
}

/* How well they go together; below 0: not at all. */
static double fits(const json_t *label, const struct draft *d)
{
    const double from = number(label, "ms"), to = number(label, "end_ms");
    const double own = (double)d->at_us / 1000, end = (double)d->end_us / 1000;
    const double over = (fmin(to, end) - fmax(from, own)) / fmax(1, fmin(to - from, end - own));
    if (over <= 0.3 && fabs(from - own) > 2000)
        return -1;
    return 10 + over + (same_fault(label, d) ? 0.5 : 0) - fabs(from - own) / 20000;
}

static void count(struct tally *t, const json_t *label, const struct draft *d)
{
    t->found++;
    t->fault += same_fault(label, d);
    t->target += same_targets(label, d);
    t->praise += json_is_true(json_object_get(label, "praise")) == d->praise;
    t->cause += (strcmp(json_string_value(json_object_get(label, "cause")), "define") == 0) ==
                (d->cause == CAUSE_DEFINE);
    t->moment += fabs(number(label, "ms") - (double)d->at_us / 1000) <= 3000;
    t->one += json_is_true(json_object_get(label, "singular")) == d->one;
    if (json_is_object(json_object_get(label, "size")) || d->unit != DRAFT_NO_SIZE) {
        t->sizes++;
        t->size += same_size(label, d);
    }
}

/* The best pair first. */
static void match(struct tally *t, const json_t *labels, const struct draft_list *l)
{
    const size_t n = json_array_size(labels);
    bool *label_taken = arena_alloc(&band.memory, n + 1);
    bool *draft_taken = arena_alloc(&band.memory, l->n + 1);
    t->labels += n;
    t->drafts += l->n;
    for (;;) {
        double best = -1;
        size_t bi = 0, bk = 0;
        for (size_t i = 0; i < n; i++)
            for (size_t k = 0; k < l->n && !label_taken[i]; k++) {
                const double f = draft_taken[k] ? -1 : fits(json_array_get(labels, i), &l->at[k]);
                if (f > best) {
                    best = f;
                    bi = i;
                    bk = k;
                }
            }
        if (best < 0)
            return;
        label_taken[bi] = draft_taken[bk] = true;
        count(t, json_array_get(labels, bi), &l->at[bk]);
    }
}

static struct tally figures(const char *const *names, size_t n)
{
    struct tally t = {0};
    for (size_t i = 0; i < n; i++) {
        size_t bytes;
        json_t *labels = labels_of(names[i]);
        const struct understood u =
            band_hear(&band, read_file(arena_printf(&band.memory, SAID "/%s", names[i]), &bytes));
        match(&t, labels, &u.drafts);
        json_decref(labels);
    }
    return t;
}

static double part(size_t n, size_t of)
{
    return of ? (double)n / (double)of : 0;
}

static void say(const struct tally *t)
{
    printf("%zu labels, %zu drafts, %zu found\n", t->labels, t->drafts, t->found);
    bench_at_least("found, of the labels", part(t->found, t->labels), 0.90, "");
    bench_at_least("right to be there, of the drafts", part(t->found, t->drafts), 0.85, "");
    bench_at_least("fault", part(t->fault, t->found), 0.85, "");
    bench_at_least("target", part(t->target, t->found), 0.90, "");
    bench_at_least("praise or blame", part(t->praise, t->found), 0.95, "");
    bench_at_least("moment within 3 s", part(t->moment, t->found), 0.90, "");
    printf("cause %.3f, one or many %.3f, size %zu of %zu\n", part(t->cause, t->found),
           part(t->one, t->found), t->size, t->sizes);
}

/* --- how long it takes -------------------------------------------------------------------------- */

/* So many minutes of stamped talk. */
static const char *talk_of(size_t minutes)
{
    size_t n;
    const char *text = read_file(SAID "/weather.txt", &n);
    struct buf out = {0};
    for (size_t minute = 0; minute < minutes; minute++) {
        /* some 150 words a minute, as they stand in the file */
        const char *from = text + (minute * 811) % (n - 1000);
        from = strchr(from, ' ') + 1;
        buf_printf(&out, "[%zu:%02zu:00] ", minute / 60, minute % 60);
        for (size_t i = 0; i < 800; i++)
            buf_char(&out, from[i] == '\n' || from[i] == '[' ? ' ' : from[i]);
        buf_char(&out, '\n');
    }
    const char *own = arena_strdup(&band.memory, buf_text(&out));
    buf_free(&out);
    return own;
}

static double seconds_of(const char *text)
{
    struct err e;
    struct timed t;
    struct understood u;
    struct arena memory = {0};
    const double from = bench_cpu();
    if (!timed_read(&memory, &(struct timed_text){text, strlen(text), "talk", NULL}, &t, &e))
        exit(1);
    talk_understand(&memory, band.lexicon, &t, &(struct talk_clock){.rate = 1}, &u);
    arena_free(&memory);
    return bench_cpu() - from;
}

static void timings(void)
{
    enum { ROUNDS = 9 };
    const char *ten = talk_of(10), *hundred = talk_of(100), *thousand = talk_of(1000);
    double one[ROUNDS], many[ROUNDS], most[ROUNDS], made[ROUNDS];
    for (size_t i = 0; i < ROUNDS; i++) {
        one[i] = seconds_of(ten);
        many[i] = seconds_of(hundred);
        most[i] = seconds_of(thousand) / 10;
        const double from = bench_cpu();
        band_learn(&band);
        made[i] = bench_cpu() - from;
    }
    bench_at_most("a thousand minutes / ten times a hundred", bench_ratio(most, many, ROUNDS), 1.25,
                  "");
    bench_at_most("a commentary of ten minutes", 1000 * bench_median(one, ROUNDS), 20, "ms");
    printf("the words and examples are read in %.0f ms\n", 1000 * bench_median(made, ROUNDS));
}

int main(int argc, char **argv)
{
    const bool of_learnt = argc > 1 && strcmp(argv[1], "learnt") == 0;
    band_begin(&band);
    const struct tally t = of_learnt ? figures(learnt, sizeof learnt / sizeof *learnt)
                                     : figures(unseen, sizeof unseen / sizeof *unseen);
    say(&t);
    timings();
    band_end(&band);
    return bench_end();
}
