#include "paper/fixes.h"
#include "paper/table.h"

static void put_items(const struct fix_report *r, const struct report_part *part,
                      const struct rank_item *items, size_t n, struct buf *out)
{
    for (size_t i = 0; i < n; i++)
        table_csv_row(fixes_columns, &(struct fixes_line){r, NULL, part, &items[i]}, out);
}

void fixes_csv(const struct fix_report *r, struct buf *out)
{
    table_csv_head(fixes_columns, out);
    put_items(r, &r->own, r->own.list.items, r->own.list.n_items, out);
    put_items(r, &r->own, r->own.list.keep, r->own.list.n_keep, out);
    for (size_t i = 0; i < r->n_with; i++) {
        const struct report_part *p = &r->with[i];
        put_items(r, p, p->list.items, p->list.n_items, out);
        put_items(r, p, p->list.keep, p->list.n_keep, out);
    }
}
