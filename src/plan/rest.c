#include "plan/rest.h"

#include <string.h>

#include "plan/rhythm.h"

enum { HOUR = 3600 / PLAN_STEP_S, SEPARATE = 60 / PLAN_STEP_S, SHORTER = 15 / PLAN_STEP_S };
enum { FREE, WORK, REST, ITEM_REST };

/* A rehearsal as one cell a step, and what its hour asks, in steps. */
struct hour {
    const struct heat_breaks *breaks;
    int steps, length; /* of the rehearsal; of a window */
    int rest, apart, least;
    unsigned char *cell;
    int *rested, *begun; /* [steps + 1]: rest that counts, and rests that begin, before a step */
};

static struct hour hour_of(const struct heat_breaks *b, const struct track *t)
{
    struct hour h = {.breaks = b,
                     .steps = t->steps,
                     .length = t->steps < HOUR ? t->steps : HOUR,
                     .rest = plan_steps_up(b->hour.rest_s),
                     .apart = b->hour.breaks,
                     .least = plan_steps_up(b->hour.least_s)};
    if (t->steps < HOUR) {
        const bool due = t->steps * PLAN_STEP_S > b->work_most_s;
        h.rest = due ? plan_steps_up((b->hour.rest_s * t->steps + HOUR - 1) / HOUR) : 0;
        h.apart = due ? h.apart * t->steps / HOUR : 0;
    }
    h.cell = arena_alloc(t->arena, (size_t)t->steps + 1);
    h.rested = arena_alloc(t->arena, ((size_t)t->steps + 1) * sizeof *h.rested);
    h.begun = arena_alloc(t->arena, ((size_t)t->steps + 1) * sizeof *h.begun);
    return h;
}

static void fill(struct hour *h, const struct track_window *w, size_t n)
{
    memset(h->cell, FREE, (size_t)h->steps);
    for (size_t i = 0; i < n; i++)
        memset(h->cell + w[i].from,
               w[i].fixed < 0 ? REST
               : w[i].rest    ? ITEM_REST
                              : WORK,
               (size_t)(w[i].to - w[i].from));
}

static bool rests(const struct hour *h, int at)
{
    return h->cell[at] == REST || h->cell[at] == ITEM_REST;
}

/* The end of the stretch of rest, or of anything else, that `at` lies in. */
static int stretch_end(const struct hour *h, int at)
{
    const bool rest = rests(h, at);
    while (at < h->steps && rests(h, at) == rest)
        at++;
    return at;
}

/* A break that is too short to count is none. */
static void add_up(struct hour *h)
{
    for (int at = 0, end; at < h->steps; at = end) {
        end = stretch_end(h, at);
        const bool counts = rests(h, at) && end - at >= h->least;
        for (int i = at; i < end; i++) {
            h->rested[i + 1] = h->rested[i] + counts;
            h->begun[i + 1] = h->begun[i] + (counts && i == at);
            if (!counts && h->cell[i] == REST)
                h->cell[i] = FREE;
        }
    }
}

/* Steps of rest that the window from `at` lacks, and whether it lacks a separate one. */
static int lacks(const struct hour *h, int at, bool *separate)
{
    const int end = at + h->length;
    const int inside = h->rested[at + 1] - h->rested[at];
    const int apart = h->begun[end] - h->begun[at + 1] + inside;
    const int rested = h->rested[end] - h->rested[at];
    *separate = apart < h->apart && 2 * rested < h->length;
    return h->rest - rested;
}

/* The first window that lacks something; -1 when every one holds what is asked. */
static int first_short(struct hour *h, int *steps, bool *separate)
{
    add_up(h);
    for (int at = 0; at + h->length <= h->steps; at++) {
        *steps = lacks(h, at, separate);
        if (*steps > 0 || *separate)
            return at;
    }
    return -1;
}

static bool holds(struct hour *h)
{
    int steps;
    bool separate;
    return first_short(h, &steps, &separate) < 0;
}

/* --- longer and more breaks ------------------------------------------------------------------ */

/* Would a break at [from, to) be apart from every other rest? */
static bool apart_there(const struct hour *h, int from, int to)
{
    const int first = from - SEPARATE < 0 ? 0 : from - SEPARATE;
    const int last = to + SEPARATE > h->steps ? h->steps : to + SEPARATE;
    for (int i = first; i < last; i++)
        if (rests(h, i) || (i >= from && i < to && h->cell[i] != FREE))
            return false;
    return true;
}

/* A new break as late as the window allows. */
static bool put_in(struct hour *h, int window, int length)
{
    for (int from = window + h->length - length; from >= window; from--) {
        if (!apart_there(h, from, from + length))
            continue;
        memset(h->cell + from, REST, (size_t)length);
        return true;
    }
    return false;
}

/* May the step become rest without joining two rests? */
static bool may_grow(const struct hour *h, int at, int forward)
{
    if (at < 0 || at >= h->steps || h->cell[at] != FREE)
        return false;
    for (int i = 1; i <= SEPARATE; i++) {
        const int next = at + i * forward;
        if (next >= 0 && next < h->steps && rests(h, next))
            return false;
    }
    return true;
}

/* Makes the latest rest of the window that can grow longer, forward first, by up to so many steps.
 * Returns by how many. */
static int grow(struct hour *h, int window, int steps)
{
    const int end = window + h->length;
    for (int at = end - 1; at >= window; at--) {
        if (!rests(h, at))
            continue;
        int from = at, to = stretch_end(h, at), grown = 0;
        while (from > 0 && rests(h, from - 1))
            from--;
        at = from;
        if (stretch_end(h, from) - from < h->least)
            continue; /* it would count for nothing */
        for (; grown < steps && to < end && may_grow(h, to, 1); grown++)
            h->cell[to++] = REST;
        for (; grown < steps && from > window && may_grow(h, from - 1, -1); grown++)
            h->cell[--from] = REST;
        if (grown)
            return grown;
    }
    return 0;
}

static bool mend(struct hour *h)
{
    int steps;
    bool separate;
    const int usual = plan_steps_up(h->breaks->break_s);
    for (int at = first_short(h, &steps, &separate); at >= 0;
         at = first_short(h, &steps, &separate)) {
        if (!separate && grow(h, at, steps))
            continue;
        if (!put_in(h, at, usual) && !put_in(h, at, h->least))
            return false;
    }
    return true;
}

/* --- the one with the least rest -------------------------------------------------------------- */

static int breaks_in(const struct hour *h)
{
    int n = 0;
    for (int i = 0; i < h->steps; i++)
        n += h->cell[i] == REST;
    return n;
}

/* The rhythm with this stretch of work in h's cells. */
static void try_rhythm(struct hour *h, struct track *t, int work)
{
    const size_t n = plan_track_rhythm(work, plan_steps_up(h->breaks->break_s), t->steps,
                                       t->windows, t->n_windows);
    fill(h, t->windows, n);
}

static void to_windows(const struct hour *h, struct track *t)
{
    for (int at = 0, end; at < h->steps; at = end) {
        end = at + 1;
        while (end < h->steps && h->cell[end] == h->cell[at])
            end++;
        if (h->cell[at] == REST)
            t->windows[t->n_windows++] = (struct track_window){at, end, -1, true};
    }
}

bool plan_rest_place(const struct heat_breaks *b, struct track *t)
{
    struct hour h = hour_of(b, t);
    unsigned char *best = arena_alloc(t->arena, (size_t)t->steps + 1);
    const int usual = b->work_most_s / PLAN_STEP_S;
    int least = t->steps + 1;
    for (int work = usual; work >= SEPARATE; work -= SHORTER) {
        try_rhythm(&h, t, work);
        if (holds(&h) && breaks_in(&h) < least) {
            least = breaks_in(&h);
            memcpy(best, h.cell, (size_t)t->steps);
        }
    }
    try_rhythm(&h, t, usual);
    if (mend(&h) && breaks_in(&h) < least) {
        least = breaks_in(&h);
        memcpy(best, h.cell, (size_t)t->steps);
    }
    if (least > t->steps)
        return false;
    h.cell = best;
    to_windows(&h, t);
    return true;
}
