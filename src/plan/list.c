#include "plan/list.h"

#include <math.h>

/* rows[s * cells + k * width + t]: the most that sets before s gain when their last rep is over
 * exactly at t after k hard reps in a row; -INFINITY where nothing is. */
static size_t width_of(const struct list *l)
{
    return (size_t)l->steps + 1;
}

static size_t cells_of(const struct list *l)
{
    return ((size_t)l->line->row_most + 1) * width_of(l);
}

/* Where so many reps of the chunk end, begun from a place; false when they do not fit or the row
 * would be too long. */
static bool next_place(const struct list *l, const struct best_choice *c, struct place *at)
{
    const int row = plan_line_row(c->chunk, at->row, c->reps);
    at->t += plan_line_steps(c->chunk, c->reps);
    at->row = row < l->line->row_most ? row : l->line->row_most;
    return at->t <= l->steps && (row <= l->line->row_most || c->chunk->kept);
}

/* row[]: the chunks so far end exactly here. */
static void push_chunk(const struct list *l, const struct line_chunk *c, const double *row,
                       double *tail)
{
    const size_t width = width_of(l);
    for (int k = 0; k <= l->line->row_most; k++) {
        for (int t = 0; t <= l->steps; t++) {
            const double before = row[(size_t)k * width + (size_t)t];
            for (int r = c->least_reps; before > -INFINITY && r <= c->most_reps; r++) {
                struct place at = {t, 0, k};
                if (!next_place(l, &(struct best_choice){c, r}, &at))
                    break;
                double *to = &tail[(size_t)at.row * width + (size_t)at.t];
                *to = fmax(*to, before + c->gain[r]);
            }
        }
    }
}

static const double *curve_of(const struct list *l, const double *end, struct arena *a)
{
    const size_t width = width_of(l);
    double *curve = arena_alloc(a, width * sizeof *curve);
    for (size_t t = 0; t < width; t++) {
        curve[t] = t > 0 ? curve[t - 1] : -INFINITY;
        for (size_t i = t; i < cells_of(l); i += width)
            curve[t] = fmax(curve[t], end[i]);
    }
    return curve;
}

void plan_list_solve(const struct line *line, int steps, struct arena *a, struct list *out)
{
    *out = (struct list){.line = line, .steps = steps};
    const size_t n = (size_t)line->n_sets, cells = cells_of(out);
    double *rows = arena_alloc(a, (n + 1) * cells * sizeof *rows);
    for (size_t i = 1; i < (n + 1) * cells; i++)
        rows[i] = -INFINITY;
    for (size_t s = 0; s < n; s++) {
        double *row = rows + s * cells, *next = row + cells;
        for (size_t i = 0; !line->forced[s] && i < cells; i++)
            next[i] = fmax(next[i], row[i]);
        for (size_t i = line->at[s]; i < line->at[s + 1]; i++) {
            const struct line_chunk *c = &line->chunks[i];
            push_chunk(out, c, row, rows + ((size_t)c->last + 1) * cells);
        }
    }
    out->rows = rows;
    out->curve = curve_of(out, rows + n * cells, a);
}

/* The earliest clock and the row at which the list's whole gain is reached. */
static struct place end_of(const struct list *l, int steps)
{
    const double *end = l->rows + (size_t)l->line->n_sets * cells_of(l);
    for (int t = 0; t <= steps; t++)
        for (int k = 0; k <= l->line->row_most; k++)
            if (end[(size_t)k * width_of(l) + (size_t)t] >= l->curve[steps])
                return (struct place){t, 0, k};
    return (struct place){0, 0, 0};
}

/* What was done last before set s to be at this place: nothing, or the chunk that ends there. Moves
 * the place back. */
static struct best_choice step_back(const struct list *l, size_t s, struct place *at)
{
    const size_t width = width_of(l), cells = cells_of(l);
    const double here = l->rows[s * cells + (size_t)at->row * width + (size_t)at->t];
    for (size_t i = 0; i < l->line->n_chunks; i++) {
        const struct line_chunk *c = &l->line->chunks[i];
        if ((size_t)c->last + 1 != s)
            continue;
        for (int r = c->least_reps; r <= c->most_reps; r++) {
            for (int k = 0; k <= l->line->row_most; k++) {
                const struct place from = {at->t - plan_line_steps(c, r), 0, k};
                const double *row = l->rows + (size_t)c->first * cells + (size_t)k * width;
                struct place to = from;
                if (from.t < 0 || !next_place(l, &(struct best_choice){c, r}, &to) ||
                    to.row != at->row || row[from.t] + c->gain[r] < here)
                    continue;
                *at = from;
                return (struct best_choice){c, r};
            }
        }
    }
    return (struct best_choice){NULL, 0};
}

size_t plan_list_walk(const struct list *l, int steps, struct best_choice *out)
{
    const size_t width = width_of(l), cells = cells_of(l);
    struct place at = end_of(l, steps);
    size_t n = 0;
    for (size_t s = (size_t)l->line->n_sets; s > 0;) {
        const size_t here = (size_t)at.row * width + (size_t)at.t;
        const bool idle =
            !l->line->forced[s - 1] && l->rows[(s - 1) * cells + here] >= l->rows[s * cells + here];
        const struct best_choice c = idle ? (struct best_choice){NULL, 0} : step_back(l, s, &at);
        if (c.chunk)
            out[n++] = c;
        s = c.chunk ? (size_t)c.chunk->first : s - 1;
    }
    for (size_t i = 0; i < n / 2; i++) {
        const struct best_choice swap = out[i];
        out[i] = out[n - 1 - i];
        out[n - 1 - i] = swap;
    }
    return n;
}
