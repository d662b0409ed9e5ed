#include "plan/track.h"

#include <stdlib.h>

#include "plan/rest.h"
#include "plan/rhythm.h"

enum { STEPS_IN_MINUTE = 60 / PLAN_STEP_S, DAY_MIN = 24 * 60 };

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
        if (w->from < 0 || w->to > t->steps)
            return err_set(
                e, ERR_INPUT,
                "%s: at %s for %d min it does not fit into the rehearsal; move or shorten "
                "it",
                name, plan_clock(in->rules.start_min, w->from * PLAN_STEP_S, clock),
                in->fixed[w->fixed].minutes);
        if (i > 0 && t->windows[i - 1].to > w->from)
            return err_set(e, ERR_INPUT, "%s and %s overlap at %s; move or shorten one",
                           in->fixed[t->windows[i - 1].fixed].name, name,
                           plan_clock(in->rules.start_min, w->from * PLAN_STEP_S, clock));
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
        t->windows[t->n_windows++] = (struct track_window){
            from * STEPS_IN_MINUTE, (from + f->minutes) * STEPS_IN_MINUTE, (int)i, f->rest};
    }
    if (t->n_windows)
        qsort(t->windows, t->n_windows, sizeof *t->windows, by_time);
    return check_fixed(in, t, e);
}

static void place_breaks(const struct heat_breaks *b, struct track *t)
{
    if (b->work_most_s <= 0)
        return;
    if (b->hour.rest_s > 0)
        t->short_of_rest = !plan_rest_place(b, t);
    else
        t->n_windows = plan_track_rhythm(b->work_most_s / PLAN_STEP_S, plan_steps_up(b->break_s),
                                         t->steps, t->windows, t->n_windows);
    if (t->n_windows)
        qsort(t->windows, t->n_windows, sizeof *t->windows, by_time);
}

static int *list_past(const struct track *t)
{
    int *past = arena_alloc(t->arena, (size_t)(t->steps + 2) * sizeof *past);
    size_t w = 0;
    for (int at = 0; at <= t->steps + 1; at++) {
        while (w < t->n_windows && t->windows[w].to <= at)
            w++;
        past[at] =
            w < t->n_windows && t->windows[w].to <= t->steps ? t->windows[w].to : t->steps + 1;
    }
    return past;
}

bool plan_track_build(const struct plan_input *in, struct arena *a, struct track *out,
                      struct err *e)
{
    const int steps = in->rules.minutes * STEPS_IN_MINUTE;
    *out = (struct track){.steps = steps, .arena = a};
    /* no more breaks than steps */
    out->windows = arena_alloc(a, (in->n_fixed + (size_t)steps + 1) * sizeof *out->windows);
    if (!place_fixed(in, out, e))
        return false;
    place_breaks(&in->rules.breaks, out);
    out->free = arena_alloc(a, (size_t)(steps + 1) * sizeof *out->free);
    out->ends = arena_alloc(a, (size_t)(steps + 2) * sizeof *out->ends);
    out->past = list_past(out);
    size_t w = out->n_windows;
    for (int t = steps - 1; t >= 0; t--) {
        while (w > 0 && out->windows[w - 1].from > t)
            w--;
        const bool inside = w > 0 && out->windows[w - 1].to > t;
        out->free[t] = inside ? 0 : out->free[t + 1] + 1;
    }
    return true;
}

const int *plan_track_ends(struct track *t, int stretch)
{
    if (stretch > t->steps)
        stretch = t->steps + 1; /* fits nowhere, whatever its length */
    if (t->ends[stretch])
        return t->ends[stretch];
    int *ends = arena_alloc(t->arena, (size_t)(t->steps + 2) * sizeof *ends);
    ends[t->steps] = ends[t->steps + 1] = t->steps + 1;
    for (int at = t->steps - 1; at >= 0; at--)
        ends[at] = t->free[at] >= stretch ? at + stretch : ends[at + 1];
    t->ends[stretch] = ends;
    return ends;
}
