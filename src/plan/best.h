/* The best choice of everyone's blocks on the day's clock, by dynamic programming over set,
 * minute, minutes since a rest and, where chunks are hard on the body, hard reps in a row. Exact for
 * the order of the show. Inner to the room.
 *
 * Cost: chunks x lengths x minutes x (minutes since a rest); 200 chunks of 5 lengths, 180 minutes in
 * a rhythm of 20: some 4 million look-ups. */
#ifndef PLAN_BEST_H
#define PLAN_BEST_H

#include "plan/line.h"
#include "plan/track.h"

struct best_choice {
    const struct line_chunk *chunk;
    int reps;
};

/* The block of so many reps from a place on: moves the place behind it; *begins is its first minute.
 * Where the row of hard reps would be too long they rest first; only a chunk that a person keeps goes
 * on. False when there is no room for it. */
bool plan_next_block(const struct line *line, const struct track *track,
                     const struct best_choice *c, struct place *at, int *begins);

/* rows[s]: for each place the most gain less price of the minutes until the last block is over, with
 * sets from s on; -INFINITY where kept chunks do not fit. */
struct best {
    const struct line *line;
    const struct track *track;
    double **rows;
};
/* Room for the rows: tens of megabytes for a long day with hard moves, so it is used again. Zero-
 * initialise; plan_best_free(). */
struct best_room {
    double *at, **rows;
    size_t n, used;
};
void plan_best_free(struct best_room *room);
/* Its rows stand until the room is used for the next question. */
void plan_best_solve(const struct line *line, const struct track *track, double worth,
                     struct best_room *room, struct best *out);
/* Of all sets, from this place on. */
double plan_best_from(const struct best *b, struct place at);

/* The choices behind plan_best_from(), in show order; room for one per set. Returns how many. */
size_t plan_best_walk(const struct best *b, struct place from, struct best_choice *out);

#endif
