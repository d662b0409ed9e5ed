/* The ground that a show is drilled on: where its lines are, and the words for places on it.
 *
 * Drill language counts grid steps. Across, eight steps are five yards: 22.5 in a step. In depth
 * the steps between two painted lines are whole, so a step there is their distance by their steps,
 * and what feet walk is reckoned in inches. Origin: where the front sideline (a floor's front edge)
 * meets the 50 (its middle); x to side 2, the right as the audience sees it; y to the back. */
#ifndef SHOW_GRID_H
#define SHOW_GRID_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

enum surface {
    SURFACE_FOOTBALL, /* yard lines every five yards, two rows of hash marks */
    SURFACE_FLOOR     /* nothing is painted but its edges; both hashes stand for its middle */
};

struct grid {
    enum surface surface;
    double front_hash, back_hash, back_sideline; /* steps from the front sideline */
    double front_hash_in, back_hash_in, back_sideline_in;
    double side_in; /* from the 50 to the goal line; from a floor's middle to its edge */
};

/* "high-school": hashes 53 ft 4 in from each sideline, 28 28 28 steps. "college": 60 ft, 32 20 32.
 * "professional": 70 ft 9 in, 38 10 38. All on a field of 300 by 160 ft between the goal lines.
 * Distances: rule 1 of the rule books of the three games. Steps: trade convention for drill paper,
 * common practice, no source; for the professional one the whole numbers of 22.5-in steps that are
 * nearest. NULL for another name. */
const struct grid *grid_named(const char *name);
/* The same names, or a floor by numbers, across by depth: "floor 90x60 ft", "floor 27.5 x 18 m". A
 * step on it is 22.5 in both ways. False with ERR_INPUT: what may be written. */
bool grid_read(const char *text, struct grid *out, struct err *e);
/* "high school (28 28 28 steps)": what is said wherever the ground matters. */
void grid_said(const struct grid *g, char out[80]);
bool grid_same(const struct grid *a, const struct grid *b);

/* The lines that run along the ground, from the front to the back; returns how many. */
enum { GRID_LINES = 4 };
struct grid_line {
    double depth;     /* steps */
    const char *name; /* "front hash" */
    enum { LINE_EDGE, LINE_HASH, LINE_MIDDLE } kind;
};
size_t grid_lines(const struct grid *g, struct grid_line out[GRID_LINES]);
/* Steps from the 50 to the goal line; from a floor's middle to its edge. */
double grid_half(const struct grid *g);
/* What stands at a line so many steps (a multiple of eight) from the middle: "35"; on a floor the
 * steps themselves. */
void grid_number(const struct grid *g, int x, char out[16]);

/* Inches of a grid step across. */
#define GRID_ACROSS_IN 22.5
/* Inches from the front sideline of a depth in grid steps, and the other way; outside the field the
 * nearest part's steps go on. */
double grid_depth_in(const struct grid *grid, double y);
double grid_depth_steps(const struct grid *grid, double inches);

/* --- words for places ---------------------------------------------------------------------- */

/* "side 1, 2.5 outside 35", "on 50", on a floor "side 1, 12 off center" -> x; "4 in front of front
 * hash", "on front sideline", on a floor "6 behind front edge" -> y. Places off the ground are
 * refused: behind an end line (10 yd behind the goal line), more than 60 ft off a sideline (where a
 * front ensemble may still stand), off a floor. */
bool across_parse(const struct grid *grid, const char *text, double *x, struct err *e);
bool depth_parse(const struct grid *grid, const char *text, double *y, struct err *e);
/* Both, with a comma, a semicolon or a slash between: "side 1, 2.5 outside 35; on front hash". */
bool spot_parse(const struct grid *grid, const char *text, double *x, double *y, struct err *e);
/* Is it on the ground, as above? Else with what is wrong; `text` is how it was written. */
bool across_on(const struct grid *grid, double x, const char *text, struct err *e);
bool depth_on(const struct grid *grid, double y, const char *text, struct err *e);

enum { SPOT_TEXT = 64 };
/* As staff write them, from the line that gives quarter steps, the nearest of those; else from the
 * nearest line, to a hundredth of a step. What was written in quarter steps reads back exactly. */
void across_text(const struct grid *grid, double x, char out[SPOT_TEXT]);
void depth_text(const struct grid *grid, double y, char out[SPOT_TEXT]);
/* "side 1, 2.5 outside 35; 4 behind front hash" */
void spot_text(const struct grid *grid, double x, double y, char out[2 * SPOT_TEXT]);

#endif
