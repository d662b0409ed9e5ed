/* The sets as written and the counts as played. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "scene_inner.h"

static const double slowest = 72, fastest = 184, jitter_s = 0.004, drift_most = 0.015;

/* --- chance -------------------------------------------------------------------------------- */

double dice_even(struct dice *d)
{
    d->seed = d->seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (double)(d->seed >> 11) / 9007199254740992.0;
}

double dice_between(struct dice *d, double lo, double hi)
{
    return lo + (hi - lo) * dice_even(d);
}

double dice_normal(struct dice *d, double sigma)
{
    const double u = 1 - dice_even(d), v = dice_even(d);
    return sigma * sqrt(-2 * log(u)) * cos(6.283185307179586 * v);
}

size_t dice_below(struct dice *d, size_t n)
{
    return (size_t)(dice_even(d) * (double)n);
}

/* --- what is written ----------------------------------------------------------------------- */

/* How long sets last, how much is written, and in which order it is played: sets by their number,
 * '|' somebody talks, '*' all that are written. */
static const struct form_row {
    double least_s, most_s, all_s;
    const char *played[3];
} forms[] = {
    [FORM_STEADY] = {5, 12, 27, {"*", "*", "*"}},
    [FORM_RAMP] = {5, 10, 27, {"*", "*", "*"}},
    [FORM_HOLD] = {4.5, 8.5, 28, {"*", "*", "*"}},
    [FORM_TALK] = {4.5, 8, 24, {"01|01", "01|23", "0|0|1"}},
};

/* Counts of a set that takes between the least and the most time. */
static int draw_counts(struct dice *d, const struct form_row *f, double bpm)
{
    static const int counts[] = {8, 12, 16, 20, 24, 32};
    for (int tries = 0; tries < 100; tries++) {
        const int n = counts[dice_below(d, sizeof counts / sizeof *counts)];
        const double s = 60 * n / bpm;
        if (s >= f->least_s && s <= f->most_s)
            return n;
    }
    return 12;
}

/* The tempo at the end of a ramp: 12 to 35 per cent faster or slower, within what is played. */
static double draw_tempo(struct dice *d, double bpm)
{
    for (;;) {
        const double by = dice_between(d, 1.12, 1.35);
        const double to = round(dice_even(d) < 0.5 ? bpm * by : bpm / by);
        if (to >= slowest && to <= fastest)
            return to;
    }
}

/* Ramps come in every other set, in every set, or beside a tempo that changes at once. */
static struct move draw_set(const struct scene_plan *plan, const struct timing *how, size_t k,
                            double bpm)
{
    struct dice *d = how->dice;
    static const char *const labels[SCENE_SETS] = {"1", "2", "3", "4",  "5",  "6",
                                                   "7", "8", "9", "10", "11", "12"};
    const int variant = plan->number % 3;
    struct move m = {.label = labels[k], .bpm0 = bpm, .bpm1 = bpm};
    if (how->form == FORM_RAMP && variant == 2 && k % 3 == 2)
        m.bpm0 = m.bpm1 = draw_tempo(d, bpm);
    else if (how->form == FORM_RAMP && (variant == 1 || k % 2 == 1))
        m.bpm1 = draw_tempo(d, bpm);
    m.counts = draw_counts(d, &forms[how->form], m.bpm0);
    if (how->form == FORM_HOLD)
        m.hold_s = round(dice_between(d, 1.5, 4) * 4) / 4;
    return m;
}

static void write_sets(const struct scene_plan *plan, const struct timing *how, struct scene *out)
{
    double s = 0, bpm = plan->bpm;
    while (s < forms[how->form].all_s && out->n_sets < SCENE_SETS) {
        struct move *m = &out->set[out->n_sets];
        *m = draw_set(plan, how, out->n_sets++, bpm);
        s += tempo_length(m);
        bpm = m->bpm1;
    }
    out->set[out->n_sets - 1].hold_s = 0;
}

/* --- what is played ------------------------------------------------------------------------ */

struct clock {
    const struct scene_plan *plan;
    const struct timing *how;
    double now_s, depth, turn_s, phase; /* of the drift */
    double last_s;                      /* the moment that the last count ended, as played */
    bool fresh;                         /* nothing sounded just before */
};

static bool human(const struct clock *c)
{
    return !c->plan->exact && !c->how->machine;
}

static double moment(struct clock *c)
{
    return c->now_s + (human(c) ? dice_normal(c->how->dice, jitter_s) : 0);
}

static void play_leg(struct clock *c, struct leg *l, const struct move *m)
{
    l->at[0] = c->fresh ? moment(c) : c->last_s;
    for (size_t i = 1; i <= l->n; i++) {
        const double drift = c->depth * sin(6.283185307179586 * c->now_s / c->turn_s + c->phase);
        const double written = tempo_seconds(m, (double)i + 1) - tempo_seconds(m, (double)i);
        c->now_s += written / (1 + (human(c) ? drift : 0));
        l->at[i] = moment(c);
    }
    c->last_s = l->at[l->n];
    c->fresh = m->hold_s > 0;
    if (m->hold_s > 0) {
        l->hold_s = m->hold_s * (human(c) ? dice_between(c->how->dice, 0.85, 1.15) : 1);
        c->now_s += l->hold_s;
    }
}

static void count_off(struct clock *c, struct sheet *sheet, const struct move *first)
{
    struct move m = *first;
    m.counts = c->plan->number % 2 ? 8 : 4;
    m.bpm1 = m.bpm0;
    m.hold_s = 0;
    struct leg *l = &sheet->leg[sheet->n++];
    *l = (struct leg){.set = COUNTED_OFF, .n = (size_t)m.counts};
    play_leg(c, l, &m);
}

static void talk(struct clock *c, struct sheet *sheet)
{
    const double most = c->plan->number % 3 == 2 ? 8 : 12; /* two talks stand there */
    const double until = c->last_s + dice_between(c->how->dice, 6, most);
    const double from = c->last_s + dice_between(c->how->dice, 0.3, 1);
    sheet->talk[sheet->n_talk++] = (struct span){from, until - 0.5};
    c->now_s = until;
    c->fresh = true;
}

static void play_set(struct clock *c, struct sheet *sheet, struct scene *out, size_t k)
{
    struct leg *l = &sheet->leg[sheet->n++];
    *l = (struct leg){.set = (int)k, .n = (size_t)out->set[k].counts};
    const bool after_talk = c->fresh && sheet->n_talk > out->n_again;
    play_leg(c, l, &out->set[k]);
    if (after_talk)
        out->again[out->n_again++] = (struct scene_again){k, l->at[0]};
}

static void play_all(struct clock *c, struct sheet *sheet, struct scene *out)
{
    const char *played = forms[c->how->form].played[c->plan->number % 3];
    if (*played == '*') {
        for (size_t k = 0; k < out->n_sets; k++)
            play_set(c, sheet, out, k);
        return;
    }
    for (; *played; played++) {
        const size_t k = (size_t)(*played - '0');
        if (*played == '|')
            talk(c, sheet);
        else if (k < out->n_sets)
            play_set(c, sheet, out, k);
    }
}

static void list_beats(const struct sheet *sheet, struct scene *out)
{
    out->beat = xcalloc(LEGS * (LEG_COUNTS + 1), sizeof *out->beat);
    for (size_t k = 0; k < sheet->n; k++) {
        const struct leg *l = &sheet->leg[k];
        for (size_t i = 0; i < l->n; i++)
            out->beat[out->n_beats++] = l->at[i];
        if (l->hold_s > 0 && sheet->held)
            out->beat[out->n_beats++] = l->at[l->n];
    }
}

void sheet_make(const struct scene_plan *plan, const struct timing *how, struct sheet *sheet,
                struct scene *out)
{
    struct dice *d = how->dice;
    struct clock c = {
        .plan = plan,
        .how = how,
        .now_s = dice_between(d, 1, 3),
        .depth = drift_most * dice_between(d, 0.3, 1),
        .turn_s = dice_between(d, 18, 40),
        .phase = dice_between(d, 0, 6.283185307179586),
        .fresh = true,
    };
    *sheet = (struct sheet){.held = how->form == FORM_HOLD && plan->number % 3 != 0};
    write_sets(plan, how, out);
    if (how->sticks && plan->number % 3 == 1)
        count_off(&c, sheet, &out->set[0]);
    const size_t first = sheet->n;
    play_all(&c, sheet, out);
    out->begin_s = sheet->leg[first].at[0];
    sheet->end_s = c.last_s + 2;
    list_beats(sheet, out);
}

double leg_time(const struct leg *l, double counts)
{
    const size_t i = (size_t)fmin(fmax(counts, 0), (double)l->n - 1);
    return l->at[i] + (counts - (double)i) * (l->at[i + 1] - l->at[i]);
}
