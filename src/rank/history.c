#include "rank/history.h"

#include <string.h>

#include "rank/stat.h"

#define LEVEL 0.95

size_t history_dates(const struct fix_report *r, const char **out)
{
    size_t n = 0;
    for (size_t i = 0; i < r->n_clips; i++) /* they stand by date */
        if (n == 0 || strcmp(out[n - 1], r->clips[i].date) != 0)
            out[n++] = r->clips[i].date;
    return n;
}

void history_count(const struct fix_report *r, const struct rank_item *item,
                   const char *const *dates, size_t n, struct rehearsal *out)
{
    for (size_t k = 0; k < n; k++) {
        struct rehearsal *h = &out[k];
        *h = (struct rehearsal){.date = dates[k], .state = "", .by = ""};
        for (size_t i = 0; i < r->n_clips; i++) {
            if (strcmp(r->clips[i].date, dates[k]) != 0)
                continue;
            h->clips++;
            h->marks += item->per_clip[i];
            h->minutes += r->clips[i].watched_min;
        }
        h->rated = h->minutes > 0;
        if (!h->rated)
            continue;
        const struct stat_rate rate = stat_rate((unsigned)h->marks, h->minutes, LEVEL);
        h->rate = rate.rate;
        h->low = rate.low;
        h->high = rate.high;
    }
}
