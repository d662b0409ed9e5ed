/* The day of a rep plan as lines on a screen: one for each block, and for the sectional period a
 * table, time down and sections across. */
#ifndef SCREEN_PLAN_DAY_H
#define SCREEN_PLAN_DAY_H

#include "command/plan.h"
#include "screen/draw.h"

/* Draws it so that the chosen row is in sight. */
void plan_day_draw(const struct desk_plan *p, struct canvas *c, struct rect r);
/* The row of the plan that stands there; kept.n_blocks when none does. */
size_t plan_day_row_at(const struct desk_plan *p, struct rect r, int row, int col);
/* The row so many lines down (up: negative): down a section's own column, then what is behind the
 * period; from there up into the first section that is shown. */
size_t plan_day_moved(const struct desk_plan *p, long by);
/* The row of the section beside the chosen one (by 1 or -1), at about the same time; the chosen one
 * when there is none. */
size_t plan_day_beside(const struct desk_plan *p, int by);

#endif
