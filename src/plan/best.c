#include "plan/best.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

bool plan_next_block(const struct line *line, const struct track *track,
                     const struct best_choice *c, struct place *at, int *begins)
{
    const int row = plan_line_row(c->chunk, at->row, c->reps), before = at->t;
    struct track_block b = {.minutes = plan_line_minutes(line, c->chunk, c->reps),
                            .rest_first = row > line->row_most && at->row > 0 && !c->chunk->kept,
                            .however_long = c->chunk->kept};
    int from;
    if (!plan_track_put(track, b, at, &from))
        return false;
    const int new_row = from > before ? plan_line_row(c->chunk, 0, c->reps) : row;
    at->row = new_row < line->row_most ? new_row : line->row_most;
    if (begins)
        *begins = from;
    return true;
}

static size_t width_of(const struct best *b)
{
    return (size_t)b->track->minutes + 2;
}

/* Places: the clock runs fastest, then the work since a rest, then the row. */
static size_t cell(const struct best *b, struct place at)
{
    return ((size_t)at.row * ((size_t)b->track->work + 1) + (size_t)at.w) * width_of(b) +
           (size_t)at.t;
}

static size_t cells_of(const struct best *b)
{
    return ((size_t)b->line->row_most + 1) * ((size_t)b->track->work + 1) * width_of(b);
}

/* Fewer reps that make a block of the same length are worth less, and only shorten a row. */
static bool in_vain(const struct best *b, const struct line_chunk *c, int reps)
{
    return !c->hard && reps < c->most_reps &&
           plan_line_minutes(b->line, c, reps) == plan_line_minutes(b->line, c, reps + 1);
}

/* A block begun by people who differ in the clock alone. */
struct attempt {
    const struct best *b;
    const struct best_choice *c;
    int w, row;
    int takes;          /* minutes, where there is room at once, with the rest before it */
    struct place after; /* then; its clock is 0 */
    double *most;       /* by the clock: becomes the better of itself and this block */
    const double *tail; /* what follows it, by place */
};

static struct attempt attempt_of(const struct best *b, const struct best_choice *c, int w, int row)
{
    struct attempt a = {.b = b, .c = c, .w = w, .row = row};
    const int length = plan_line_minutes(b->line, c->chunk, c->reps), most = b->line->row_most;
    const bool tired = w > 0 && w + length > b->track->work;
    const bool too_long = plan_line_row(c->chunk, row, c->reps) > most && row > 0;
    const bool rests = b->track->work > 0 && (tired || (too_long && !c->chunk->kept));
    const int worked = (rests ? 0 : w) + length;
    a.takes = length + (rests ? b->track->pause : 0);
    a.after.w = worked < b->track->work ? worked : b->track->work;
    a.after.row = plan_line_row(c->chunk, rests ? 0 : row, c->reps);
    a.after.row = a.after.row < most ? a.after.row : most;
    if (b->track->work == 0 && too_long && !c->chunk->kept)
        a.takes = b->track->minutes + 1; /* only a window is a rest: never at once */
    return a;
}

/* From here to the end of the stretch, or of the minute that a window has: at once, as long as there
 * is room; then behind the next window. Returns that end. The first loop is the plan's whole time,
 * so it is plain. */
static int try_stretch(const struct attempt *a, int from)
{
    const int free = a->b->track->free[from], to = from + (free > 0 ? free : 1);
    const double gain = a->c->chunk->gain[a->c->reps];
    const double *after = a->tail + cell(a->b, a->after) + a->takes;
    const int fits = from + free - a->takes + 1;
    int t = from;
    for (; t < fits; t++)
        a->most[t] = a->most[t] > gain + after[t] ? a->most[t] : gain + after[t];
    if (a->b->track->next[from] == (int)a->b->track->n_windows)
        return to;
    for (; t < to; t++) {
        struct place at = {t, a->w, a->row};
        if (plan_next_block(a->b->line, a->b->track, a->c, &at, NULL))
            a->most[t] = fmax(a->most[t], gain + a->tail[cell(a->b, at)]);
    }
    return to;
}

/* row[] becomes the better of itself and this block; tail is what follows it. */
static void try_block(const struct best *b, const struct best_choice *c, double *row,
                      const double *tail)
{
    const struct track *track = b->track;
    const int length = plan_line_minutes(b->line, c->chunk, c->reps);
    if (length > track->minutes || (track->work > 0 && length > track->work && !c->chunk->kept))
        return;
    for (int k = 0; k <= b->line->row_most; k++) {
        for (int w = 0; w <= track->work; w++) {
            struct attempt a = attempt_of(b, c, w, k);
            a.most = row + cell(b, (struct place){0, w, k});
            a.tail = tail;
            for (int t = 0; t < track->minutes;)
                t = try_stretch(&a, t);
        }
    }
}

static void try_chunk(const struct best *b, const struct line_chunk *c, double *row)
{
    for (int r = c->least_reps; r <= c->most_reps; r++)
        if (!in_vain(b, c, r))
            try_block(b, &(struct best_choice){c, r}, row, b->rows[c->last + 1]);
}

/* Nothing more is done: what the time so far costs. */
static void fill_last(const struct best *b, double worth, double *row)
{
    const size_t width = width_of(b), works = (size_t)b->track->work + 1;
    for (size_t i = 0; i < cells_of(b); i++) {
        const struct place at = {(int)(i % width), (int)(i / width % works), 0};
        row[i] = plan_track_ends_well(b->track, &at) ? -worth * b->track->spent[at.t] : -INFINITY;
    }
}

void plan_best_free(struct best_room *room)
{
    free(room->at);
    free(room->rows);
    *room = (struct best_room){0};
}

static double *take_row(struct best_room *room, size_t cells)
{
    room->used += cells;
    return room->at + room->used - cells;
}

static void begin_rows(struct best *b, struct best_room *room)
{
    const size_t n = (size_t)b->line->n_sets + 1, all = n * cells_of(b);
    if (room->n < all) {
        plan_best_free(room);
        room->n = all;
        room->at = xcalloc(all, sizeof *room->at);
    }
    free(room->rows);
    b->rows = room->rows = xcalloc(n, sizeof *room->rows);
    room->used = 0;
}

void plan_best_solve(const struct line *line, const struct track *track, double worth,
                     struct best_room *room, struct best *out)
{
    const size_t n = (size_t)line->n_sets;
    *out = (struct best){.line = line, .track = track};
    const size_t cells = cells_of(out);
    begin_rows(out, room);
    out->rows[n] = take_row(room, cells);
    fill_last(out, worth, out->rows[n]);
    for (size_t s = n; s-- > 0;) {
        double *skip = out->rows[s + 1];
        if (line->at[s] == line->at[s + 1] && !line->forced[s]) {
            out->rows[s] = skip;
            continue;
        }
        double *row = out->rows[s] = take_row(room, cells);
        memcpy(row, skip, cells * sizeof *row);
        for (size_t i = 0; line->forced[s] && i < cells; i++)
            row[i] = -INFINITY;
        for (size_t i = line->at[s]; i < line->at[s + 1]; i++)
            try_chunk(out, &line->chunks[i], row);
    }
}

double plan_best_from(const struct best *b, struct place at)
{
    return b->rows[0][cell(b, at)];
}

/* The best thing to do at set s from this place; no chunk when it is to go on to the next set.
 * Moves the place on. */
static struct best_choice choose(const struct best *b, size_t s, struct place *from)
{
    const struct line *line = b->line;
    struct best_choice choice = {NULL, 0};
    struct place after = *from;
    double most = line->forced[s] ? -INFINITY : b->rows[s + 1][cell(b, *from)];
    for (size_t i = line->at[s]; i < line->at[s + 1]; i++) {
        const struct line_chunk *c = &line->chunks[i];
        for (int r = c->least_reps; r <= c->most_reps; r++) {
            struct place at = *from;
            if (in_vain(b, c, r) ||
                !plan_next_block(line, b->track, &(struct best_choice){c, r}, &at, NULL))
                continue;
            const double value = c->gain[r] + b->rows[c->last + 1][cell(b, at)];
            if (value <= most)
                continue;
            most = value;
            after = at;
            choice = (struct best_choice){c, r};
        }
    }
    *from = after;
    return choice;
}

size_t plan_best_walk(const struct best *b, struct place at, struct best_choice *out)
{
    size_t n = 0, s = 0;
    while (s < (size_t)b->line->n_sets) {
        const struct best_choice c = choose(b, s, &at);
        if (c.chunk)
            out[n++] = c;
        s = c.chunk ? (size_t)c.chunk->last + 1 : s + 1;
    }
    return n;
}
