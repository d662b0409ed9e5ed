#include "field/assign.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/arena.h"

/* Behind the real columns each row has one of its own, in which it is alone. */
struct work {
    const double *cost;
    size_t rows, columns, all; /* all: columns and those of being alone */
    double alone;
    double *u, *v; /* prices of rows and columns */
    int *row_of;   /* of each column, -1 free */
    double *far;   /* shortest path to each column */
    int *before;   /* the column before it on that path, -1 the row itself */
    bool *done;
};

static double cost_of(const struct work *w, size_t row, size_t column)
{
    if (column < w->columns)
        return w->cost[row * w->columns + column];
    return column - w->columns == row ? w->alone : INFINITY;
}

/* The nearest column that is not done; its distance is final. */
static size_t nearest(const struct work *w)
{
    size_t best = w->all;
    for (size_t k = 0; k < w->all; k++)
        if (!w->done[k] && (best == w->all || w->far[k] < w->far[best]))
            best = k;
    return best;
}

static void reach(struct work *w, size_t row, int through, double so_far)
{
    for (size_t k = 0; k < w->all; k++) {
        const double far = so_far + cost_of(w, row, k) - w->u[row] - w->v[k];
        if (!w->done[k] && far < w->far[k]) {
            w->far[k] = far;
            w->before[k] = through;
        }
    }
}

/* Gives one more row a column: the shortest way to a free one, along which the others move up. */
static void add_row(struct work *w, size_t row)
{
    for (size_t k = 0; k < w->all; k++) {
        w->far[k] = INFINITY;
        w->before[k] = -1;
        w->done[k] = false;
    }
    reach(w, row, -1, 0);
    size_t end;
    for (;;) {
        end = nearest(w);
        w->done[end] = true;
        if (w->row_of[end] < 0)
            break;
        reach(w, (size_t)w->row_of[end], (int)end, w->far[end]);
    }
    for (size_t k = 0; k < w->all; k++)
        if (w->done[k] && k != end) {
            w->v[k] += w->far[k] - w->far[end];
            w->u[w->row_of[k]] += w->far[end] - w->far[k];
        }
    w->u[row] += w->far[end];
    for (int k = (int)end; k >= 0;) {
        const int from = w->before[k];
        w->row_of[k] = from >= 0 ? w->row_of[from] : (int)row;
        k = from;
    }
}

void assign(const double *cost, size_t rows, size_t columns, double alone, int *to)
{
    struct work w = {
        .cost = cost, .rows = rows, .columns = columns, .all = columns + rows, .alone = alone};
    w.u = xcalloc(rows + 1, sizeof *w.u);
    w.v = xcalloc(w.all + 1, sizeof *w.v);
    w.row_of = xcalloc(w.all + 1, sizeof *w.row_of);
    w.far = xcalloc(w.all + 1, sizeof *w.far);
    w.before = xcalloc(w.all + 1, sizeof *w.before);
    w.done = xcalloc(w.all + 1, sizeof *w.done);
    for (size_t k = 0; k < w.all; k++)
        w.row_of[k] = -1;
    for (size_t r = 0; r < rows; r++)
        add_row(&w, r);
    for (size_t r = 0; r < rows; r++)
        to[r] = -1;
    for (size_t k = 0; k < columns; k++)
        if (w.row_of[k] >= 0)
            to[w.row_of[k]] = (int)k;
    free(w.u);
    free(w.v);
    free(w.row_of);
    free(w.far);
    free(w.before);
    free(w.done);
}
