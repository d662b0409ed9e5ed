#include "rank/stat_stretch.h"

#include <stdlib.h>

static int by_from(const void *a, const void *b)
{
    const struct stat_stretch *x = a, *y = b;
    return (x->from > y->from) - (x->from < y->from);
}

size_t stat_stretch_merge(struct stat_stretch *list, size_t n)
{
    size_t kept = 0;
    for (size_t i = 0; i < n; i++)
        if (list[i].from < list[i].to)
            list[kept++] = list[i];
    if (kept == 0)
        return 0;
    qsort(list, kept, sizeof *list, by_from);
    size_t last = 0;
    for (size_t i = 1; i < kept; i++) {
        if (list[i].from > list[last].to)
            list[++last] = list[i];
        else if (list[i].to > list[last].to)
            list[last].to = list[i].to;
    }
    return last + 1;
}

size_t stat_stretch_subtract(const struct stat_stretch *a, size_t n_a, const struct stat_stretch *b,
                             size_t n_b, struct stat_stretch *out)
{
    size_t n = 0, j = 0;
    for (size_t i = 0; i < n_a; i++) {
        int64_t from = a[i].from;
        while (j < n_b && b[j].to <= from)
            j++;
        for (size_t k = j; k < n_b && b[k].from < a[i].to; k++) {
            if (b[k].from > from)
                out[n++] = (struct stat_stretch){from, b[k].from};
            from = b[k].to;
        }
        if (from < a[i].to)
            out[n++] = (struct stat_stretch){from, a[i].to};
    }
    return n;
}

int64_t stat_stretch_total(const struct stat_stretch *list, size_t n)
{
    int64_t total = 0;
    for (size_t i = 0; i < n; i++)
        total += list[i].to - list[i].from;
    return total;
}
