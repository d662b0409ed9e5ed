#include "plan/track.h"

#include <stdlib.h>

#include "plan/rest.h"
#include "plan/rhythm.h"

enum { DAY_MIN = 24 * 60 };

/* Minutes from the start of the rehearsal; a clock time before the start means the next day. */
static int minutes_in(const struct plan_rules *rules, int at_min)
{
    return (at_min - rules->start_min + DAY_MIN) % DAY_MIN;
}

static int by_time(const void *a, const void *b)
{
    const struct track_window *x = a, *y = b;
    return x->from != y->from ? (x->from > y->from) - (x->from < y->from)
                              : (x->fixed > y->fixed) - (x->fixed < y->fixed);
}

static bool check_fixed(const struct plan_input *in, const struct track *t, struct err *e)
{
    char clock[24];
    for (size_t i = 0; i < t->n_windows; i++) {
        const struct track_window *w = &t->windows[i];
        const char *name = in->fixed[w->fixed].name;
        if (w->from < 0 || w->to > t->minutes)
            return err_set(
                e, ERR_INPUT,
                "%s: at %s for %d min it does not fit into the rehearsal; move or shorten "
                "it",
                name, plan_clock(in->rules.start_min, w->from * PLAN_MINUTE_S, clock),
                in->fixed[w->fixed].minutes);
        if (i > 0 && t->windows[i - 1].to > w->from)
            return err_set(e, ERR_INPUT, "%s and %s overlap at %s; move or shorten one",
                           in->fixed[t->windows[i - 1].fixed].name, name,
                           plan_clock(in->rules.start_min, w->from * PLAN_MINUTE_S, clock));
    }
    return true;
}

static bool place_fixed(const struct plan_input *in, struct track *t, struct err *e)
{
    int front = 0, back = in->rules.minutes;
    for (size_t i = 0; i < in->n_fixed; i++)
        back -= in->fixed[i].where == PLAN_LAST ? in->fixed[i].minutes : 0;
    for (size_t i = 0; i < in->n_fixed; i++) {
        const struct plan_fixed *f = &in->fixed[i];
        int from = f->where == PLAN_FIRST  ? front
                   : f->where == PLAN_LAST ? back
                                           : minutes_in(&in->rules, f->at_min);
        front += f->where == PLAN_FIRST ? f->minutes : 0;
        back += f->where == PLAN_LAST ? f->minutes : 0;
        t->windows[t->n_windows++] =
            (struct track_window){from, from + f->minutes, (int)i, f->rest};
    }
    if (t->n_windows)
        qsort(t->windows, t->n_windows, sizeof *t->windows, by_time);
    return check_fixed(in, t, e);
}

static void place_breaks(const struct heat_breaks *b, struct track *t)
{
    if (b->work_most_s <= 0)
        return;
    if (b->hour.rest_s > 0) {
        t->short_of_rest = !plan_rest_place(b, t);
    } else {
        t->work = b->work_most_s / PLAN_MINUTE_S < t->minutes ? b->work_most_s / PLAN_MINUTE_S
                                                              : t->minutes;
        t->pause = plan_minutes_up(b->break_s);
    }
    if (t->n_windows)
        qsort(t->windows, t->n_windows, sizeof *t->windows, by_time);
}

bool plan_track_build(const struct plan_input *in, struct arena *a, struct track *out,
                      struct err *e)
{
    const int minutes = in->rules.minutes;
    *out = (struct track){.minutes = minutes, .arena = a};
    /* no more breaks than minutes */
    out->windows = arena_alloc(a, (in->n_fixed + (size_t)minutes + 1) * sizeof *out->windows);
    if (!place_fixed(in, out, e))
        return false;
    place_breaks(&in->rules.breaks, out);
    out->free = arena_alloc(a, (size_t)(minutes + 2) * sizeof *out->free);
    out->next = arena_alloc(a, (size_t)(minutes + 2) * sizeof *out->next);
    out->spent = arena_alloc(a, (size_t)(minutes + 2) * sizeof *out->spent);
    int w = (int)out->n_windows;
    out->next[minutes] = out->next[minutes + 1] = w;
    for (int t = minutes - 1; t >= 0; t--) {
        while (w > 0 && out->windows[w - 1].to > t)
            w--;
        const bool inside = w < (int)out->n_windows && out->windows[w].from <= t;
        out->next[t] = w;
        out->free[t] = inside ? 0 : out->free[t + 1] + 1;
    }
    for (int t = 0; t <= minutes; t++)
        out->spent[t + 1] = out->spent[t] + (t < minutes && out->free[t] > 0);
    return true;
}

int plan_track_longest(const struct track *t)
{
    int longest = 0;
    for (int m = 0; m < t->minutes; m++)
        longest = t->free[m] > longest ? t->free[m] : longest;
    return t->work > 0 && longest > t->work ? t->work : longest;
}

void plan_track_give_way(const struct track *t, struct plan_rules *rules)
{
    const int longest = plan_track_longest(t);
    if (!rules->least_firm && longest > 0 && longest < rules->least)
        rules->least = longest;
}

/* --- moving on it --------------------------------------------------------------------------------- */

bool plan_track_ends_well(const struct track *t, const struct place *at)
{
    const int next = t->next[at->t];
    if (t->work == 0 || at->w == 0 || next == (int)t->n_windows || t->windows[next].rest)
        return true;
    const struct track_window *w = &t->windows[next];
    const int gap = t->free[at->t];
    const bool begun = next > 0 ? at->t > t->windows[next - 1].to : at->t > 0;
    return !begun || gap >= t->pause || at->w + gap + w->to - w->from <= t->work;
}

static int most_work(const struct track *t, int w)
{
    return w < t->work ? w : t->work;
}

bool plan_track_pass(const struct track *t, struct place *at)
{
    const int next = at->t <= t->minutes ? t->next[at->t] : (int)t->n_windows;
    if (next == (int)t->n_windows || !plan_track_ends_well(t, at))
        return false;
    const struct track_window *w = &t->windows[next];
    const int gap = t->free[at->t], length = w->to - w->from;
    const int before = gap >= t->pause ? 0 : at->w + gap;
    const bool rests = w->rest && length >= t->pause;
    *at = (struct place){.t = w->to, .w = rests ? 0 : most_work(t, before + length)};
    return true;
}

bool plan_track_put(const struct track *t, struct track_block b, struct place *at, int *begins)
{
    if (t->work > 0 && b.minutes > t->work && !b.however_long)
        return false;
    while (at->t <= t->minutes) {
        const bool tired = b.rest_first || (at->w > 0 && at->w + b.minutes > t->work);
        const int pause = t->work > 0 && tired ? t->pause : 0;
        const bool may = t->work > 0 || !b.rest_first;
        if (may && t->free[at->t] >= pause + b.minutes) {
            at->w = most_work(t, pause ? b.minutes : at->w + b.minutes);
            at->t += pause + b.minutes;
            if (begins)
                *begins = at->t - b.minutes;
            return true;
        }
        if (!plan_track_pass(t, at))
            return false;
        b.rest_first = false; /* they rested, or did something else */
    }
    return false;
}
