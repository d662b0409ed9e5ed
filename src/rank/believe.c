#include "rank/list.h"
#include "rank/stat.h"
#include "rank/stat_brackets.h"

enum { LETTERS = 26 };
#define LEVEL 0.95

static void rate(struct rank_item *i, double watched_min)
{
    struct stat_rate r = stat_rate((unsigned)rank_seen(i), watched_min, LEVEL);
    i->rated = true;
    i->rate = r.rate;
    i->rate_low = r.low;
    i->rate_high = r.high;
}

bool rank_believe(struct rank_list *l, double watched_min, struct arena *a, struct err *e)
{
    unsigned *counts = arena_alloc(a, (l->n_items + 1) * sizeof *counts);
    for (size_t i = 0; i < l->n_items; i++)
        counts[i] = (unsigned)(l->by == RANK_RATE ? rank_seen(&l->items[i]) : l->items[i].marks);
    for (size_t i = 0; watched_min > 0 && i < l->n_items; i++)
        rate(&l->items[i], watched_min);
    for (size_t i = 0; watched_min > 0 && i < l->n_keep; i++)
        rate(&l->keep[i], watched_min);
    if (l->by != RANK_FREQUENCY && l->by != RANK_RATE)
        return true;
    l->share_items = stat_share_items(counts, l->n_items, RANK_SHARE);
    struct stat_brackets b;
    if (!stat_brackets((struct stat_ranked){counts, l->n_items, STAT_BRACKET_LEVEL}, a, &b, e))
        return false;
    for (size_t k = 0; k < b.n; k++)
        for (size_t i = b.list[k].first; i <= b.list[k].last; i++)
            if (l->items[i].n_brackets++ == 0) /* those of an item follow one another */
                l->items[i].bracket = k;
    return true;
}

void rank_joined_text(const struct rank_item *i, struct buf *out)
{
    for (size_t k = i->bracket; k < i->bracket + i->n_brackets; k++) {
        buf_char(out, (char)('a' + k % LETTERS));
        if (k >= LETTERS)
            buf_printf(out, "%zu", k / LETTERS);
    }
}
