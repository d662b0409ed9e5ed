#include "plan/best.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/reps.h"

/* cells[t] of row k; k is 0 alone where no chunk of the line is hard. */
static size_t cell(size_t width, struct place at)
{
    return (size_t)at.row * width + (size_t)at.t;
}

/* row[] becomes the better of itself and beginning this chunk; tail is what follows it. */
static void try_chunk(const struct best *b, const struct line_chunk *c, double *row,
                      const double *tail)
{
    const size_t width = (size_t)b->horizon + 1;
    const struct reps p = plan_reps(b->line, c, b->track);
    for (int k = 0; k <= b->line->row_most; k++) {
        for (int t = 0; t <= b->horizon; t++) {
            struct place at = {t, k};
            double most = row[cell(width, at)];
            for (int r = 1; r <= c->most_reps; r++) {
                plan_next_rep(&p, r - 1, &at, NULL);
                if (at.t > b->horizon)
                    break;
                /* tail falls with the clock and the row, so no later rep can do better than this */
                if (c->gain[c->most_reps] + tail[at.t] <= most)
                    break;
                const double gain = c->gain[r] + tail[cell(width, at)];
                most = r >= c->least_reps && gain > most ? gain : most;
            }
            row[cell(width, (struct place){t, k})] = most;
        }
    }
}

void plan_best_solve(const struct line *line, struct track *track, int horizon, struct arena *a,
                     struct best *out)
{
    const size_t n = (size_t)line->n_sets;
    const size_t cells = ((size_t)line->row_most + 1) * ((size_t)horizon + 1);
    *out = (struct best){.line = line, .track = track, .horizon = horizon};
    out->rows = arena_alloc(a, (n + 1) * sizeof *out->rows);
    out->rows[n] = arena_alloc(a, cells * sizeof **out->rows);
    for (size_t s = n; s-- > 0;) {
        double *skip = out->rows[s + 1];
        if (line->at[s] == line->at[s + 1] && !line->forced[s]) {
            out->rows[s] = skip;
            continue;
        }
        double *row = out->rows[s] = arena_alloc(a, cells * sizeof *row);
        memcpy(row, skip, cells * sizeof *row);
        for (size_t i = 0; line->forced[s] && i < cells; i++)
            row[i] = -INFINITY;
        for (size_t i = line->at[s]; i < line->at[s + 1]; i++)
            try_chunk(out, &line->chunks[i], row, out->rows[line->chunks[i].last + 1]);
    }
}

/* The best thing to do at set s from this place; no chunk when it is to go on to the next set.
 * Moves the place on. */
static struct best_choice choose(const struct best *b, size_t s, struct place *from)
{
    const struct line *line = b->line;
    const size_t width = (size_t)b->horizon + 1;
    struct best_choice choice = {NULL, 0};
    struct place after = *from;
    double most = line->forced[s] ? -INFINITY : b->rows[s + 1][cell(width, *from)];
    for (size_t i = line->at[s]; i < line->at[s + 1]; i++) {
        const struct line_chunk *c = &line->chunks[i];
        const struct reps p = plan_reps(line, c, b->track);
        struct place at = *from;
        for (int r = 1; r <= c->most_reps; r++) {
            plan_next_rep(&p, r - 1, &at, NULL);
            if (at.t > b->horizon)
                break;
            const double gain = c->gain[r] + b->rows[c->last + 1][cell(width, at)];
            if (r < c->least_reps || gain <= most)
                continue;
            most = gain;
            after = at;
            choice = (struct best_choice){c, r};
        }
    }
    *from = after;
    return choice;
}

size_t plan_best_walk(const struct best *b, int from, struct best_choice *out)
{
    size_t n = 0, s = 0;
    struct place at = {from, 0};
    while (s < (size_t)b->line->n_sets) {
        const struct best_choice c = choose(b, s, &at);
        if (c.chunk)
            out[n++] = c;
        s = c.chunk ? (size_t)c.chunk->last + 1 : s + 1;
    }
    return n;
}

/* plan_best_solve() looks ahead from a clock; this looks back from one, for the length of a
 * sectional stretch. row[]: the chunks so far end exactly here. */
static void push_chunk(const struct reps *p, int steps, const double *row, double *tail)
{
    const size_t width = (size_t)steps + 1;
    const struct line_chunk *c = p->c;
    for (int k = 0; k <= p->row_most; k++) {
        for (int t = 0; t <= steps; t++) {
            struct place at = {t, k};
            const double before = row[cell(width, at)];
            for (int r = 1; before > -INFINITY && r <= c->most_reps; r++) {
                plan_next_rep(p, r - 1, &at, NULL);
                if (at.t > steps)
                    break;
                double *to = &tail[cell(width, at)];
                if (r >= c->least_reps && before + c->gain[r] > *to)
                    *to = before + c->gain[r];
            }
        }
    }
}

const double *plan_best_until(const struct line *line, struct track *track, struct arena *a)
{
    const size_t n = (size_t)line->n_sets, width = (size_t)track->steps + 1;
    const size_t cells = ((size_t)line->row_most + 1) * width;
    double *rows = xcalloc((n + 1) * cells, sizeof *rows);
    for (size_t i = 1; i < (n + 1) * cells; i++)
        rows[i] = -INFINITY;
    for (size_t s = 0; s < n; s++) {
        double *row = rows + s * cells, *next = row + cells;
        for (size_t i = 0; !line->forced[s] && i < cells; i++)
            next[i] = row[i] > next[i] ? row[i] : next[i];
        for (size_t i = line->at[s]; i < line->at[s + 1]; i++) {
            const struct reps p = plan_reps(line, &line->chunks[i], track);
            push_chunk(&p, track->steps, row, rows + ((size_t)p.c->last + 1) * cells);
        }
    }
    double *curve = arena_alloc(a, width * sizeof *curve);
    for (size_t t = 0; t < width; t++) {
        curve[t] = t > 0 ? curve[t - 1] : -INFINITY;
        for (size_t k = 0; k < cells / width; k++)
            curve[t] = fmax(curve[t], rows[n * cells + k * width + t]);
    }
    free(rows);
    return curve;
}
