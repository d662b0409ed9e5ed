#include <string.h>

#include "show/table.h"

void *table_item(const struct table_items *all, size_t i)
{
    return (char *)all->at + i * all->size;
}

bool table_lacks(const struct table_items *all, int column)
{
    return all->absent >> column & 1;
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct table_items *all = ctx;
    all->absent = 0;
    for (int k = 0; all->columns[k].name; k++)
        if (!row->cell_column[k])
            all->absent |= 1u << k;
    all->at = array_grow(all->at, all->n, &all->cap, all->size);
    void *item = table_item(all, all->n);
    memset(item, 0, all->size);
    bool ok = true, named = true;
    for (int k = 0; all->columns[k].name; k++) {
        ok &= !all->columns[k].read || all->columns[k].read(all, row, item, e);
        named &= k > 0 || ok;
    }
    all->n += named; /* a wrong row still has a name that another must not have */
    return ok;
}

bool table_items(struct table_items *all, const struct table_text *text, struct err *e)
{
    bool ok = table_read(text, all->columns, on_row, all, e);
    all->at = arena_take(all->a, all->at, all->n * all->size);
    return ok;
}

void table_keep(const struct table_items *all, void *item, const void *was)
{
    for (int k = 0; all->columns[k].name; k++)
        if (table_lacks(all, k) && all->columns[k].keep)
            all->columns[k].keep(all, item, was);
}
