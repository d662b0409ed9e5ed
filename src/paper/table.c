#include "paper/table.h"

#include <math.h>

#include "paper/json.h"
#include "paper/paper.h"

/* Columns end with a row without a name. */
static void csv_text(const struct column *c, const void *row, struct buf *out)
{
    double x = 0;
    if (c->cell)
        c->cell(row, out);
    else if (!c->number || !c->number(row, &x))
        return;
    else if (c->kind == COLUMN_TRUTH)
        buf_str(out, x != 0 ? "yes" : "");
    else
        buf_printf(out, c->kind == COLUMN_WHOLE ? "%.0f" : c->format ? c->format : "%.12g", x);
}

void table_csv_head(const struct column *columns, struct buf *out)
{
    bool first = true;
    for (const struct column *c = columns; c->name; c++)
        if (c->where & IN_CSV) {
            csv_cell(out, c->name, first);
            first = false;
        }
    csv_end(out);
}

void table_csv_row(const struct column *columns, const void *row, struct buf *out)
{
    struct buf text = {0};
    bool first = true;
    for (const struct column *c = columns; c->name; c++) {
        if (!(c->where & IN_CSV))
            continue;
        buf_clear(&text);
        csv_text(c, row, &text);
        csv_cell(out, buf_text(&text), first);
        first = false;
    }
    csv_end(out);
    buf_free(&text);
}

static json_t *value(const struct column *c, const void *row)
{
    double x = 0;
    if (!c->number) {
        struct buf text = {0};
        c->cell(row, &text);
        const bool none = c->kind == COLUMN_MAYBE && text.n == 0;
        json_t *v = none ? json_null() : json_text(buf_text(&text));
        buf_free(&text);
        return v;
    }
    bool known = c->number(row, &x);
    return c->kind == COLUMN_TRUTH   ? json_boolean(known && x != 0)
           : !known                  ? json_null()
           : c->kind == COLUMN_WHOLE ? json_integer((json_int_t)x)
                                     : json_real(c->unit > 0 ? round(x / c->unit) * c->unit : x);
}

json_t *table_json(const struct column *columns, const void *row)
{
    json_t *o = json_object();
    for (const struct column *c = columns; c->name; c++)
        if (!(c->where & IN_JSON))
            continue;
        else if (c->json)
            c->json(row, o);
        else
            json_object_set_new(o, c->key ? c->key : c->name, value(c, row));
    return o;
}
