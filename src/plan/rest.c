#include "plan/rest.h"

#include <string.h>

#include "plan/rhythm.h"

enum { HOUR = 60, SEPARATE = 1 }; /* minutes */
enum { FREE, WORK, REST, ITEM_REST };

/* A rehearsal as one cell a minute, and what its hour asks, in minutes. */
struct hour {
    const struct heat_breaks *breaks;
    int all, length; /* of the rehearsal; of a window */
    int rest, apart, least;
    unsigned char *cell;
    int *rested, *begun; /* [all + 1]: rest that counts, and rests that begin, before a minute */
};

static struct hour hour_of(const struct heat_breaks *b, const struct track *t)
{
    struct hour h = {.breaks = b,
                     .all = t->minutes,
                     .length = t->minutes < HOUR ? t->minutes : HOUR,
                     .rest = plan_minutes_up(b->hour.rest_s),
                     .apart = b->hour.breaks,
                     .least = plan_minutes_up(b->hour.least_s)};
    if (t->minutes < HOUR) {
        const bool due = t->minutes * PLAN_MINUTE_S > b->work_most_s;
        h.rest = due ? plan_minutes_up((b->hour.rest_s * t->minutes + HOUR - 1) / HOUR) : 0;
        h.apart = due ? h.apart * t->minutes / HOUR : 0;
    }
    h.cell = arena_alloc(t->arena, (size_t)t->minutes + 1);
    h.rested = arena_alloc(t->arena, ((size_t)t->minutes + 1) * sizeof *h.rested);
    h.begun = arena_alloc(t->arena, ((size_t)t->minutes + 1) * sizeof *h.begun);
    return h;
}

static void fill(struct hour *h, const struct track_window *w, size_t n)
{
    memset(h->cell, FREE, (size_t)h->all);
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
    while (at < h->all && rests(h, at) == rest)
        at++;
    return at;
}

/* A break that is too short to count is none. */
static void add_up(struct hour *h)
{
    for (int at = 0, end; at < h->all; at = end) {
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

/* Minutes of rest that the window from `at` lacks, and whether it lacks a separate one. */
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
static int first_short(struct hour *h, int *minutes, bool *separate)
{
    add_up(h);
    for (int at = 0; at + h->length <= h->all; at++) {
        *minutes = lacks(h, at, separate);
        if (*minutes > 0 || *separate)
            return at;
    }
    return -1;
}

static bool holds(struct hour *h)
{
    int minutes;
    bool separate;
    return first_short(h, &minutes, &separate) < 0;
}

/* --- longer and more breaks ------------------------------------------------------------------ */

/* Would a break at [from, to) be apart from every other rest? */
static bool apart_there(const struct hour *h, int from, int to)
{
    const int first = from - SEPARATE < 0 ? 0 : from - SEPARATE;
    const int last = to + SEPARATE > h->all ? h->all : to + SEPARATE;
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

/* May the minute become rest without joining two rests? */
static bool may_grow(const struct hour *h, int at, int forward)
{
    if (at < 0 || at >= h->all || h->cell[at] != FREE)
        return false;
    for (int i = 1; i <= SEPARATE; i++) {
        const int next = at + i * forward;
        if (next >= 0 && next < h->all && rests(h, next))
            return false;
    }
    return true;
}

/* Makes the latest rest of the window that can grow longer, forward first, by up to so many minutes.
 * Returns by how many. */
static int grow(struct hour *h, int window, int minutes)
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
        for (; grown < minutes && to < end && may_grow(h, to, 1); grown++)
            h->cell[to++] = REST;
        for (; grown < minutes && from > window && may_grow(h, from - 1, -1); grown++)
            h->cell[--from] = REST;
        if (grown)
            return grown;
    }
    return 0;
}

static bool mend(struct hour *h)
{
    int minutes;
    bool separate;
    const int usual = plan_minutes_up(h->breaks->break_s);
    for (int at = first_short(h, &minutes, &separate); at >= 0;
         at = first_short(h, &minutes, &separate)) {
        if (!separate && grow(h, at, minutes))
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
    for (int i = 0; i < h->all; i++)
        n += h->cell[i] == REST;
    return n;
}

/* The rhythm with this stretch of work in h's cells. */
static void try_rhythm(struct hour *h, struct track *t, int work)
{
    const size_t n = plan_track_rhythm(work, plan_minutes_up(h->breaks->break_s), t->minutes,
                                       t->windows, t->n_windows);
    fill(h, t->windows, n);
}

static void to_windows(const struct hour *h, struct track *t)
{
    for (int at = 0, end; at < h->all; at = end) {
        end = at + 1;
        while (end < h->all && h->cell[end] == h->cell[at])
            end++;
        if (h->cell[at] == REST)
            t->windows[t->n_windows++] = (struct track_window){at, end, -1, true};
    }
}

bool plan_rest_place(const struct heat_breaks *b, struct track *t)
{
    struct hour h = hour_of(b, t);
    unsigned char *best = arena_alloc(t->arena, (size_t)t->minutes + 1);
    const int usual = b->work_most_s / PLAN_MINUTE_S;
    int least = t->minutes + 1;
    for (int work = usual; work >= SEPARATE; work--) {
        try_rhythm(&h, t, work);
        if (holds(&h) && breaks_in(&h) < least) {
            least = breaks_in(&h);
            memcpy(best, h.cell, (size_t)t->minutes);
        }
    }
    try_rhythm(&h, t, usual);
    if (mend(&h) && breaks_in(&h) < least) {
        least = breaks_in(&h);
        memcpy(best, h.cell, (size_t)t->minutes);
    }
    if (least > t->minutes)
        return false;
    h.cell = best;
    to_windows(&h, t);
    return true;
}
