/* What one body of people can rehearse: the open parts on the line of sets, and the chunks that
 * could be cut from it. Inner to the room. */
#ifndef PLAN_LINE_H
#define PLAN_LINE_H

#include "plan/plan.h"

/* One item at one set. */
struct line_part {
    int item, set;
    double weight, learn;
};

struct line_chunk {
    int first, last; /* sets */
    /* in steps of PLAN_STEP_S */
    int rep_steps;  /* a rep */
    int lead_steps; /* the first rep, with set-up */
    int walk_steps; /* the first rep, walked, without set-up; 0 = it is run */
    int least_reps, most_reps;
    bool kept;
    bool hard;          /* a move in it is hard on the body */
    double share;       /* of a rep's benefit that each of its items gets, 0 < share <= 1 */
    const double *gain; /* gain[r] of r reps, r = 0 .. most_reps */
};

struct line {
    int group;               /* PLAN_EVERYONE or who */
    struct line_part *parts; /* by set */
    size_t n_parts;
    struct line_chunk *chunks; /* by first set */
    size_t n_chunks;
    int n_sets;
    int row_most; /* most hard reps in a row; 0 when no chunk is hard */
    int least;    /* minutes of a block */
    size_t *at;   /* chunks at[s] .. at[s+1]-1 begin at set s; n_sets + 1 entries */
    bool *forced; /* a kept chunk begins at set s */
};

/* Which line is an item worked on, in a plan with or without sectionals? Tells PLAN_LEFT_ABSENT
 * and PLAN_LEFT_CLOSED apart from the rest; PLAN_WORKED means it is on the line *group. */
enum plan_left plan_line_of(const struct plan_input *in, size_t item, bool apart, int *group);

/* Does a wish keep this item from being worked at this set, on the line of `group`? A section that
 * leaves sets out does so in a plan without sectionals as well, but for fixes that need all. */
bool plan_line_left_out(const struct plan_input *in, const struct plan_item *item, int group,
                        int set);

/* Weight of an item at its k-th set. */
double plan_line_weight(const struct plan_item *item, size_t k);

/* Only wishes for this group count. PLAN_LEAVE closes its sets to chunks, PLAN_KEEP leaves one
 * chunk only. Sets whose seconds are not known are in no chunk, and no chunk has reps that are not
 * worth their time, or more hard ones than may stand in a row; but for a kept one. */
void plan_line_build(const struct plan_input *in, int group, bool apart, struct arena *a,
                     struct line *out);

/* Expected gain of a part after so many reps: w (1 - (1 - share p)^r). */
double plan_line_part_gain(const struct line_part *part, double share, int reps);

/* Steps of PLAN_STEP_S that so many reps take, with set-up; minutes of the block they make. */
int plan_line_steps(const struct line_chunk *c, int reps);
int plan_line_minutes(const struct line *l, const struct line_chunk *c, int reps);

/* Hard reps in a row after so many reps of the chunk, by people who did `row` of them before: more
 * than row_most when they are too many. */
int plan_line_row(const struct line_chunk *c, int row, int reps);

#endif
