/* Row ids to positions. Ids are nearly always small, so that a list is one look in an array; a file
 * that was put together elsewhere may hold huge ones, which must cost nobody memory. */
#include <stdlib.h>
#include <string.h>

#include "store/inside.h"

enum { DENSE_MOST = 1 << 20 };

static void grow(struct idmap *m, int64_t id)
{
    int64_t n = id * 2 + 64;
    m->at = xrealloc(m->at, (size_t)n * sizeof *m->at);
    memset(m->at + m->n, 0, (size_t)(n - m->n) * sizeof *m->at);
    m->n = n;
}

void idmap_set(struct idmap *m, int64_t id, int position)
{
    if (id <= 0)
        return;
    if (id > DENSE_MOST) {
        m->far = array_grow(m->far, m->n_far, &m->far_cap, sizeof *m->far);
        m->far[m->n_far++] = (struct far_id){id, position};
    } else {
        if (id >= m->n)
            grow(m, id);
        m->at[id] = position + 1;
    }
    while (m->n_ids <= (size_t)position) {
        m->ids = array_grow(m->ids, m->n_ids, &m->ids_cap, sizeof *m->ids);
        m->ids[m->n_ids++] = 0;
    }
    m->ids[position] = id;
}

static int by_id(const void *a, const void *b)
{
    const struct far_id *x = a, *y = b;
    return (x->id > y->id) - (x->id < y->id);
}

void idmap_sort(struct idmap *m)
{
    if (m->n_far)
        qsort(m->far, m->n_far, sizeof *m->far, by_id);
}

int idmap_far(const struct idmap *m, int64_t id)
{
    const struct far_id *f =
        m->n_far ? bsearch(&(struct far_id){id, 0}, m->far, m->n_far, sizeof *m->far, by_id) : NULL;
    return f ? f->position : -1;
}

int64_t idmap_id(const struct idmap *m, int position)
{
    return position >= 0 && (size_t)position < m->n_ids ? m->ids[position] : 0;
}

void idmap_clear(struct idmap *m)
{
    free(m->at);
    free(m->far);
    free(m->ids);
    *m = (struct idmap){0};
}
