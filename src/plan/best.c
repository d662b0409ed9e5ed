#include "plan/best.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* row[t] becomes the better of itself and beginning this chunk at t; tail is what follows it. */
static void try_chunk(const struct line_chunk *c, struct track *track, int horizon, double *row,
                      const double *tail)
{
    const int *lead = plan_track_ends(track, c->lead_steps);
    const int *ends = plan_track_ends(track, c->rep_steps);
    for (int t = 0; t <= horizon; t++) {
        int end = lead[t];
        for (int r = 1; r < c->least_reps && end <= horizon; r++)
            end = ends[end];
        double most = row[t];
        for (int r = c->least_reps; r <= c->most_reps && end <= horizon; r++) {
            /* tail falls with the clock, so no later rep can do better than this */
            if (c->gain[c->most_reps] + tail[end] <= most)
                break;
            const double gain = c->gain[r] + tail[end];
            most = gain > most ? gain : most;
            end = ends[end];
        }
        row[t] = most;
    }
}

void plan_best_solve(const struct line *line, struct track *track, int horizon, struct arena *a,
                     struct best *out)
{
    const size_t n = (size_t)line->n_sets, width = (size_t)horizon + 1;
    *out = (struct best){.line = line, .track = track, .horizon = horizon};
    out->rows = arena_alloc(a, (n + 1) * sizeof *out->rows);
    out->rows[n] = arena_alloc(a, width * sizeof **out->rows);
    for (size_t s = n; s-- > 0;) {
        double *skip = out->rows[s + 1];
        if (line->at[s] == line->at[s + 1] && !line->forced[s]) {
            out->rows[s] = skip;
            continue;
        }
        double *row = out->rows[s] = arena_alloc(a, width * sizeof *row);
        memcpy(row, skip, width * sizeof *row);
        for (size_t t = 0; line->forced[s] && t < width; t++)
            row[t] = -INFINITY;
        for (size_t i = line->at[s]; i < line->at[s + 1]; i++)
            try_chunk(&line->chunks[i], track, horizon, row, out->rows[line->chunks[i].last + 1]);
    }
}

/* The best thing to do at set s and clock t; no chunk when it is to go on to the next set. Moves
 * the clock on. */
static struct best_choice choose(const struct best *b, size_t s, int *t)
{
    const struct line *line = b->line;
    struct best_choice choice = {NULL, 0};
    double most = line->forced[s] ? -INFINITY : b->rows[s + 1][*t];
    int after = *t;
    for (size_t i = line->at[s]; i < line->at[s + 1]; i++) {
        const struct line_chunk *c = &line->chunks[i];
        const int *ends = plan_track_ends(b->track, c->rep_steps);
        int end = plan_track_ends(b->track, c->lead_steps)[*t];
        for (int r = 1; r <= c->most_reps && end <= b->horizon; r++, end = ends[end]) {
            const double gain = c->gain[r] + b->rows[c->last + 1][end];
            if (r < c->least_reps || gain <= most)
                continue;
            most = gain;
            after = end;
            choice = (struct best_choice){c, r};
        }
    }
    *t = after;
    return choice;
}

size_t plan_best_walk(const struct best *b, int from, struct best_choice *out)
{
    size_t n = 0, s = 0;
    int t = from;
    while (s < (size_t)b->line->n_sets) {
        const struct best_choice c = choose(b, s, &t);
        if (c.chunk)
            out[n++] = c;
        s = c.chunk ? (size_t)c.chunk->last + 1 : s + 1;
    }
    return n;
}

/* plan_best_solve() looks ahead from a clock; this looks back from one, for the length of a
 * sectional stretch. row[t]: the chunks so far end exactly at t. */
static void push_chunk(const struct line_chunk *c, struct track *track, const double *row,
                       double *tail)
{
    const int *lead = plan_track_ends(track, c->lead_steps);
    const int *ends = plan_track_ends(track, c->rep_steps);
    for (int t = 0; t <= track->steps; t++) {
        if (row[t] == -INFINITY)
            continue;
        int end = lead[t];
        for (int r = 1; r <= c->most_reps && end <= track->steps; r++) {
            if (r >= c->least_reps && row[t] + c->gain[r] > tail[end])
                tail[end] = row[t] + c->gain[r];
            end = ends[end];
        }
    }
}

const double *plan_best_until(const struct line *line, struct track *track, struct arena *a)
{
    const size_t n = (size_t)line->n_sets, width = (size_t)track->steps + 1;
    double *rows = arena_alloc(a, (n + 1) * width * sizeof *rows);
    for (size_t i = 1; i < (n + 1) * width; i++)
        rows[i] = -INFINITY;
    for (size_t s = 0; s < n; s++) {
        double *row = rows + s * width, *next = row + width;
        for (size_t t = 0; !line->forced[s] && t < width; t++)
            next[t] = row[t] > next[t] ? row[t] : next[t];
        for (size_t i = line->at[s]; i < line->at[s + 1]; i++)
            push_chunk(&line->chunks[i], track, row,
                       rows + ((size_t)line->chunks[i].last + 1) * width);
    }
    double *curve = rows + n * width;
    for (size_t t = 1; t < width; t++)
        curve[t] = curve[t] > curve[t - 1] ? curve[t] : curve[t - 1];
    return curve;
}
