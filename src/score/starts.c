#include "score/starts.h"

#include <math.h>

/* A set of so many measures where nothing marks them. */
enum { EVERY = 8 };

static const double exact = 1e-4, near_by = 0.25; /* counts */

static const char *number_at(const struct counting *c, double count)
{
    return c->score->measures[counting_measure(c, fmax(count, 0))].number;
}

static bool add(struct start_list *l, size_t count, const char *text, struct err *e)
{
    if (l->n && l->at[l->n - 1].count == count)
        return true;
    if (l->n == SETS_MOST)
        return err_set(e, ERR_INPUT, "more than %d sets; give each more measures (--every N)",
                       SETS_MOST);
    l->at[l->n++] = (struct start){count, text};
    return true;
}

static bool off_the_beat(const struct counting *c, const char *what, double count, struct err *e)
{
    return err_set(e, ERR_INPUT,
                   "measure %s: %s lies %.2f counts behind a beat, and a set begins on one; move "
                   "it, or choose another beat (--beat eighth)",
                   number_at(c, count), what, count - floor(count));
}

/* --- markers --------------------------------------------------------------------------------- */

static bool at_markers(const struct counting *c, struct arena *a, struct start_list *l,
                       struct err *e)
{
    const struct score *s = c->score;
    for (size_t i = 0; i < s->n_markers; i++) {
        const struct score_marker *m = &s->markers[i];
        const double count = counting_at(c, m->at), whole = round(count), off = count - whole;
        if (whole >= c->n - exact)
            break;
        if (fabs(off) > near_by && count > 0)
            return off_the_beat(c, arena_printf(a, "the marker '%s'", m->text), count, e);
        if (fabs(off) > exact && count > 0)
            buf_printf(&l->said,
                       "the marker '%s' in measure %s lies %.2f counts %s the beat; its set "
                       "begins on the beat\n",
                       m->text, number_at(c, whole), fabs(off), off > 0 ? "behind" : "before");
        const size_t at = whole > 0 ? (size_t)whole : 0;
        if (!l->n && at > 0 && !add(l, 0, "", e))
            return false;
        if (!add(l, at, m->text, e))
            return false;
    }
    return true;
}

/* --- measures -------------------------------------------------------------------------------- */

static bool every(const struct counting *c, int n, struct start_list *l, struct err *e)
{
    const struct score *s = c->score;
    const struct score_measure *first = &s->measures[0];
    const size_t pickup = first->length < meter_length(first->meter) - exact && s->n_measures > 1;
    for (size_t i = 0; i < s->n_measures; i += i ? (size_t)n : (size_t)n + pickup) {
        const double count = fmax(0, c->before[i] - c->pickup), whole = round(count);
        if (fabs(count - whole) > exact)
            return off_the_beat(c, "its beginning", count, e);
        if (!add(l, (size_t)whole, "", e))
            return false;
    }
    return true;
}

/* --- all of them ----------------------------------------------------------------------------- */

/* The last count sounds to its end, though the notes may not. */
static size_t end_of(const struct counting *c, struct start_list *l)
{
    const double whole = ceil(c->n - exact);
    if (whole - c->n > exact)
        buf_printf(&l->said,
                   "the music ends %.2f counts before a beat; the last count is held out\n",
                   whole - c->n);
    return (size_t)whole;
}

bool starts_find(struct arena *a, const struct counting *c, const struct sets_wish *wish,
                 struct start_list *out, struct err *e)
{
    const struct score *s = c->score;
    const bool markers = wish->markers || (wish->every == 0 && s->n_markers >= 2);
    *out = (struct start_list){.at = arena_alloc(a, (SETS_MOST + 1) * sizeof *out->at)};
    if (!markers && !wish->every && s->n_markers == 1)
        buf_printf(&out->said,
                   "one marker alone, '%s', begins no set; --markers says that it does\n",
                   s->markers[0].text);
    if (markers && !s->n_markers)
        return err_set(e, ERR_INPUT,
                       "no markers or rehearsal marks; leave --markers out, or set "
                       "some in the score");
    if (c->pickup > 0)
        buf_printf(&out->said,
                   "a pickup of %.2f counts is left out: count 1 is the first whole beat\n",
                   c->pickup);
    if (!(markers ? at_markers(c, a, out, e) : every(c, wish->every ? wish->every : EVERY, out, e)))
        return false;
    const size_t end = end_of(c, out);
    if (end == 0)
        return err_set(e, ERR_INPUT, "the music is shorter than a count");
    if (!out->n && !add(out, 0, "", e))
        return false;
    out->at[out->n] = (struct start){end, ""};
    return true;
}
