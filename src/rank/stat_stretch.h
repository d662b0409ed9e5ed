/* Stretches of time, half-open [from, to): which parts of a clip were watched, and for how long.
 * Any integer unit (milliseconds of media time in marks and clips); values within +-2^62. */
#ifndef RANK_STAT_STRETCH_H
#define RANK_STAT_STRETCH_H

#include <stddef.h>
#include <stdint.h>

struct stat_stretch {
    int64_t from, to;
};

/* Sorts in place, drops empty and backward ones, joins those that overlap or touch.
 * Returns how many remain: sorted, apart from each other. O(n log n). */
size_t stat_stretch_merge(struct stat_stretch *list, size_t n);

/* What of `a` lies outside `b`, both merged. out has room for n_a + n_b and is neither input;
 * returns how many it holds, merged. O(n_a + n_b). */
size_t stat_stretch_subtract(const struct stat_stretch *a, size_t n_a, const struct stat_stretch *b,
                             size_t n_b, struct stat_stretch *out);

/* Length of a merged list. */
int64_t stat_stretch_total(const struct stat_stretch *list, size_t n);

#endif
