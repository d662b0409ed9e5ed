/* Dot sheets: who stands where at which set. */
#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "show/show.h"
#include "show/table.h"

enum { PERFORMER, SET, ACROSS, DEPTH, X, Y };

const struct table_column dots_columns[] = {
    [PERFORMER] = {.name = "performer", .required = true, .help = "their label in the roster"},
    [SET] = {.name = "set", .required = true, .help = "its label in the sets"},
    [ACROSS] = {.name = "across", .help = "side 1 (left, as the audience sees it), 2.5 outside 35"},
    [DEPTH] = {.name = "depth", .help = "4 in front of front hash"},
    [X] = {.name = "x", .help = "or steps from the 50, side 2 positive"},
    [Y] = {.name = "y", .help = "and steps from the front sideline"},
    {.name = NULL},
};

struct reading {
    const struct show *show;
    struct dot *at;
    size_t n, cap;
    int *lines; /* [performer * n_sets + set] -> line of the row that gave it */
};

static bool find_performer(const struct reading *r, const struct table_row *row, struct dot *d,
                           struct err *e)
{
    struct near near = {.word = row->cell[PERFORMER]};
    d->performer = show_performer(r->show, row->cell[PERFORMER]);
    if (d->performer >= 0)
        return true;
    for (size_t i = 0; i < r->show->n_performers; i++)
        near_offer(&near, r->show->performers[i].label);
    return table_error(row, PERFORMER, e, "no performer '%s'%s", row->cell[PERFORMER],
                       near_said(&near, "; add the roster first").text);
}

static bool find_set(const struct reading *r, const struct table_row *row, struct dot *d,
                     struct err *e)
{
    d->set = show_set(r->show, row->cell[SET]);
    return d->set >= 0 || table_error(row, SET, e, "no set '%s'%s", row->cell[SET],
                                      r->show->n_sets ? "; its label must be in the sets table"
                                                      : "; add the sets first");
}

/* One dot for a performer and a set. */
static bool is_first(struct reading *r, const struct table_row *row, const struct dot *d,
                     struct err *e)
{
    int *line = &r->lines[(size_t)d->performer * r->show->n_sets + (size_t)d->set];
    if (*line)
        return table_error(row, PERFORMER, e, "'%s' has a dot for set %s already (line %d)",
                           row->cell[PERFORMER], row->cell[SET], *line);
    *line = row->line;
    return true;
}

/* A comma between digits is a decimal comma where the table has them, unless that makes no place. */
static bool read_across(const struct reading *r, const struct table_row *row, double *x,
                        struct err *e)
{
    const struct grid *g = &r->show->grid;
    struct table_points points;
    struct err why;
    const char *text = row->cell[ACROSS];
    return across_parse(g, table_points(row, text, &points), x, &why) ||
           across_parse(g, text, x, &why) || table_error(row, ACROSS, e, "%s", why.text);
}

static bool read_depth(const struct reading *r, const struct table_row *row, double *y,
                       struct err *e)
{
    struct table_points points;
    struct err why;
    const char *text = row->cell[DEPTH];
    return depth_parse(&r->show->grid, table_points(row, text, &points), y, &why) ||
           depth_parse(&r->show->grid, text, y, &why) || table_error(row, DEPTH, e, "%s", why.text);
}

/* In grid steps, on the ground. */
static bool read_steps(const struct reading *r, const struct table_row *row, struct dot *d,
                       struct err *e)
{
    const struct table_range range = {-10000, 10000, 0};
    struct err why;
    bool ok = table_number(row, X, range, &d->x, e);
    if (ok && !across_on(&r->show->grid, d->x, row->cell[X], &why))
        ok = table_error(row, X, e, "%s", why.text);
    if (!table_number(row, Y, range, &d->y, e))
        return false;
    return (depth_on(&r->show->grid, d->y, row->cell[Y], &why) ||
            table_error(row, Y, e, "%s", why.text)) &&
           ok;
}

static bool read_place(const struct reading *r, const struct table_row *row, struct dot *d,
                       struct err *e)
{
    bool ok;
    if (*row->cell[ACROSS] || *row->cell[DEPTH]) {
        ok = read_across(r, row, &d->x, e);
        return read_depth(r, row, &d->y, e) && ok;
    }
    if (!*row->cell[X] || !*row->cell[Y])
        return table_error(row, *row->cell[X] ? Y : X, e,
                           "no place; give across and depth, or x and y in steps");
    return read_steps(r, row, d, e);
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    struct dot d;
    bool ok = find_performer(r, row, &d, e);
    ok &= find_set(r, row, &d, e);
    ok = ok && is_first(r, row, &d, e);
    ok &= read_place(r, row, &d, e);
    if (!ok)
        return false;
    r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
    r->at[r->n++] = d;
    return true;
}

bool dots_read(struct arena *a, const struct show *show, const struct table_text *text,
               struct dot_list *out, struct err *e)
{
    struct reading r = {.show = show};
    r.lines = xcalloc(show->n_performers * show->n_sets + 1, sizeof *r.lines);
    bool ok = table_read(text, dots_columns, on_row, &r, e);
    *out = (struct dot_list){show, arena_take(a, r.at, r.n * sizeof *r.at), r.n};
    free(r.lines);
    return ok;
}
