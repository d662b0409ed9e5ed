#include "plan/shorten.h"

#include <string.h>

#include "base/buf.h"
#include "plan/solve.h"

enum { TRIES = 60, NAMED_MOST = 3 };

struct trial {
    struct plan_input in;     /* with fixed items of its own */
    struct plan_fixed *fixed; /* those */
};

static bool works(const struct trial *t)
{
    struct arena scratch = {0};
    struct track track;
    struct solution sol;
    struct err e;
    struct plan_input in = t->in;
    bool ok = plan_track_build(&in, &scratch, &track, &e) && !track.short_of_rest;
    if (ok)
        plan_track_give_way(&track, &in.rules);
    ok = ok && plan_solve_room(&in, &track, &scratch, &e) &&
         (in.n_wishes == 0 || plan_solve(&in, &track, &scratch, &sol, &e));
    arena_free(&scratch);
    return ok;
}

/* No work item longer than `cap`. */
static void cut(struct trial *t, const struct plan_fixed *as_given, int cap)
{
    for (size_t i = 0; i < t->in.n_fixed; i++)
        if (!t->fixed[i].rest)
            t->fixed[i].minutes = as_given[i].minutes < cap ? as_given[i].minutes : cap;
}

/* The longest that works for one item (one >= 0) or as a cap of all; 0 when none does. */
static int longest(struct trial *t, const struct plan_fixed *as_given, int one, int from)
{
    const int step = (from + TRIES - 1) / TRIES;
    for (int minutes = from - 1; minutes > 0; minutes -= step) {
        memcpy(t->fixed, as_given, t->in.n_fixed * sizeof *t->fixed);
        if (one >= 0)
            t->fixed[one].minutes = minutes;
        else
            cut(t, as_given, minutes);
        if (works(t))
            return minutes;
    }
    return 0;
}

static void name_one(struct buf *b, const char *between, const struct plan_fixed *f, int minutes)
{
    buf_printf(b, "%s%.60s from %d to %d min", between, f->name, f->minutes, minutes);
}

/* Each item that would do alone. */
static int name_each(struct trial *t, const struct plan_fixed *as_given, struct buf *b)
{
    int named = 0;
    for (size_t i = 0; i < t->in.n_fixed && named < NAMED_MOST; i++) {
        if (as_given[i].rest)
            continue;
        const int minutes = longest(t, as_given, (int)i, as_given[i].minutes);
        if (minutes)
            name_one(b, named++ ? " or " : "shorten ", &as_given[i], minutes);
    }
    return named;
}

/* All that are longer than the longest cap that works. */
static int name_all(struct trial *t, const struct plan_fixed *as_given, struct buf *b)
{
    int most = 0, named = 0;
    for (size_t i = 0; i < t->in.n_fixed; i++)
        most = !as_given[i].rest && as_given[i].minutes > most ? as_given[i].minutes : most;
    const int cap = longest(t, as_given, -1, most);
    for (size_t i = 0; cap && i < t->in.n_fixed; i++)
        if (!as_given[i].rest && as_given[i].minutes > cap)
            name_one(b, named++ ? " and " : "shorten ", &as_given[i], cap);
    return named;
}

bool plan_may_shorten(const struct plan_input *in)
{
    for (size_t i = 0; in->rules.breaks.hour.rest_s > 0 && i < in->n_fixed; i++)
        if (!in->fixed[i].rest)
            return true;
    return false;
}

static void asks(const struct heat_hour *h, struct buf *b)
{
    buf_printf(b, "the heat rule asks %g min of rest in any 60 min", h->rest_s / 60.0);
    if (h->breaks > 0)
        buf_printf(b, ", in %d breaks or more of at least %g min", h->breaks, h->least_s / 60.0);
}

bool plan_shorten(const struct plan_input *in, struct err *e)
{
    struct arena mem = {0};
    struct buf text = {0};
    struct trial t = {.in = *in};
    t.fixed = arena_alloc(&mem, in->n_fixed * sizeof *t.fixed);
    t.in.fixed = t.fixed;
    asks(&in->rules.breaks.hour, &text);
    buf_str(&text, ", and the fixed items leave no room for it and a block: ");
    if (!name_each(&t, in->fixed, &text) && !name_all(&t, in->fixed, &text))
        buf_str(&text, "leave them out, or take more minutes where the policy allows it");
    buf_str(&text, "; an item that is rest is given as NAME:MIN:rest. " HEAT_REMINDER);
    err_set(e, ERR_INPUT, "%s", buf_text(&text));
    buf_free(&text);
    arena_free(&mem);
    return false;
}
