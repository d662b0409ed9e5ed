#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "show/show.h"
#include "show/table.h"

enum { SET, COUNTS, TEMPO, TEMPO_END, HOLD, MEASURES, NAME };

static const struct table_column columns[] = {
    [SET] = {"set", true},      [COUNTS] = {"counts", true},
    [TEMPO] = {"tempo", false}, [TEMPO_END] = {"tempo_end", false},
    [HOLD] = {"hold", false},   [MEASURES] = {"measures", false},
    [NAME] = {"name", false},   {NULL, false},
};

struct reading {
    struct arena *a;
    struct set *at;
    size_t n, cap;
    unsigned absent;
};

static bool whole(const struct table_row *row, int column, double x, struct err *e)
{
    return x == floor(x) ||
           table_error(row, column, e, "%s is not a whole number", row->cell[column]);
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    const char *label = row->cell[SET];
    double counts, tempo, tempo_end, hold, measures;
    if (!*label)
        return table_error(row, SET, e, "the cell is empty; label the set (12, 12A)");
    for (size_t i = 0; i < r->n; i++)
        if (utf8_casecmp(r->at[i].label, label) == 0)
            return table_error(row, SET, e, "set '%s' is there already (line %d); keep one", label,
                               r->at[i].line);
    if (!*row->cell[COUNTS])
        return table_error(row, COUNTS, e, "the cell is empty; how many counts lead to set '%s'?",
                           label);
    if (!table_number(row, COUNTS, 0, 999, 0, &counts, e) || !whole(row, COUNTS, counts, e) ||
        !table_number(row, TEMPO, 20, 400, 0, &tempo, e) ||
        !table_number(row, TEMPO_END, 20, 400, tempo, &tempo_end, e) ||
        !table_number(row, HOLD, 0, 600, 0, &hold, e) ||
        !table_number(row, MEASURES, 0, 999, 0, &measures, e))
        return false;
    if (tempo_end > 0 && tempo <= 0)
        return table_error(row, TEMPO, e, "the cell is empty, but tempo_end is given; give both");
    r->absent = table_absent(row);
    r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
    r->at[r->n++] = (struct set){
        .label = arena_strdup(r->a, label),
        .counts = (int)counts,
        .tempo = tempo,
        .tempo_end = tempo_end,
        .hold = hold,
        .measures = (int)measures,
        .name = arena_strdup(r->a, row->cell[NAME]),
        .line = row->cell_line[SET],
    };
    return true;
}

bool sets_read(struct arena *a, const char *bytes, size_t n, const char *source,
               struct set_list *out, struct err *e)
{
    struct reading r = {.a = a};
    bool ok = table_read(bytes, n, source, columns, on_row, &r, e);
    out->at = arena_take(a, r.at, r.n * sizeof *r.at);
    out->n = r.n;
    out->absent = r.absent;
    return ok;
}

static bool lacks(const struct set_list *l, int column)
{
    return l->absent >> column & 1;
}

static void stay(const struct set_list *l, struct set *x, const struct set *was)
{
    if (lacks(l, TEMPO))
        x->tempo = was->tempo;
    if (lacks(l, TEMPO_END))
        x->tempo_end = lacks(l, TEMPO) || was->tempo_end != was->tempo ? was->tempo_end : x->tempo;
    if (lacks(l, HOLD))
        x->hold = was->hold;
    if (lacks(l, MEASURES))
        x->measures = was->measures;
    if (lacks(l, NAME))
        x->name = was->name;
}

void sets_stay(struct set_list *l, const struct show *show)
{
    for (size_t i = 0; i < l->n; i++)
        for (size_t k = 0; k < show->n_sets; k++)
            if (table_same(show->sets[k].label, &l->at[i].label))
                stay(l, &l->at[i], &show->sets[k]);
}
