#include "count/map_inner.h"

#include "count/timecode.h"

/* A stretch number fits 16 bits. */
enum { ANCHORS_MOST = 60000 };

/* The i-th tie, from 1. */
static bool anchor_check(struct moves sets, const struct map_anchor *p, size_t i, int64_t length_us,
                         struct err *e)
{
    char at[24];
    time_format(p->us, at);
    if (p->set < 0 || (size_t)p->set >= sets.n)
        return err_set(e, ERR_INPUT, "tie %zu at %s: the show has no set number %d; it has %zu", i,
                       at, p->set + 1, sets.n);
    const struct move *s = &sets.at[p->set];
    if (!(p->count >= 1 && p->count <= s->counts + 1))
        return err_set(e, ERR_INPUT,
                       "tie %zu at %s: count %g is not in set %s, which has %d counts; write 1 to "
                       "%d",
                       i, at, p->count, s->label, s->counts, s->counts + 1);
    if (p->us < 0 || (length_us > 0 && p->us > length_us))
        return err_set(e, ERR_INPUT, "tie %zu (set %s): %s is outside the clip", i, s->label, at);
    if ((p->flags & ANCHOR_JOIN) && (p->flags & (ANCHOR_BREAK | ANCHOR_FROM)))
        return err_set(e, ERR_INPUT,
                       "tie %zu at %s: it says both that it joins the stretch before it and that "
                       "it begins a new one; leave one out",
                       i, at);
    return true;
}

bool anchors_check(struct moves sets, struct map_anchors ties, int64_t length_us, struct err *e)
{
    const struct map_anchor *a = ties.at;
    const size_t n = ties.n;
    if (n > ANCHORS_MOST)
        return err_set(e, ERR_INPUT, "%zu ties in one clip; at most %d", n, ANCHORS_MOST);
    for (size_t i = 0; i < n; i++) {
        if (!anchor_check(sets, &a[i], i + 1, length_us, e))
            return false;
        if (i == 0 || a[i].us > a[i - 1].us)
            continue;
        char at[24], before[24];
        time_format(a[i].us, at);
        time_format(a[i - 1].us, before);
        if (a[i].us == a[i - 1].us)
            return err_set(e, ERR_INPUT,
                           "ties %zu and %zu are both at %s (set %s count %g, set %s count %g); "
                           "remove one",
                           i, i + 1, at, sets.at[a[i - 1].set].label, a[i - 1].count,
                           sets.at[a[i].set].label, a[i].count);
        return err_set(e, ERR_INPUT,
                       "tie %zu at %s stands behind tie %zu at %s; put ties in time order", i + 1,
                       at, i, before);
    }
    return true;
}
