/* The field in cells, as the box sees it: side 1 left, the front below. Inner to the field's screen.
 *
 * A cell is drawn finer than it is: two by four points, which are about square on a screen. */
#ifndef SCREEN_FIELD_H
#define SCREEN_FIELD_H

#include "command/field.h"
#include "screen/draw.h"

/* The part of the field that is in sight. */
struct sight {
    const struct grid *grid;
    struct rect area;  /* cells; below it there is a row for the yard lines' numbers */
    double left, back; /* steps at its left and its upper edge */
    double points;     /* points a step, both ways */
};

/* What must be in sight; steps. */
struct extent {
    double left, right, front, back;
};

/* All of a place's cells for what must be seen, which stands in their middle. */
struct sight sight_of(const struct grid *grid, struct rect area, const struct extent *e);

/* The point of a place, from the area's upper left corner; may lie outside it. */
struct point {
    int row, col;
};
struct point sight_point(const struct sight *s, struct dot_place at);
/* The cell of a point; false outside the area. */
bool sight_cell(const struct sight *s, struct point p, struct point *cell);
/* The middle of a cell. */
struct dot_place sight_place(const struct sight *s, int row, int col);

/* Lines, hashes, numbers. */
void draw_ground(struct canvas *c, const struct sight *s);
/* Marks by place, shaded. */
void draw_patches(const struct desk *d, struct canvas *c, const struct sight *s);
/* Where the chosen performer is on each count that is left. */
void draw_way_ahead(const struct desk *d, struct canvas *c, const struct sight *s,
                    struct set_count when);
/* Marks of the move where they stand. */
void draw_standing_marks(const struct desk *d, struct canvas *c, const struct sight *s,
                         struct set_count when);
/* Everybody; the chosen with their labels. Returns how many are on the field. */
int draw_people(const struct desk *d, struct canvas *c, const struct sight *s,
                struct set_count when);

struct below {
    struct set_count when;
    enum field_time how;
    int people; /* on the field */
};
/* Four rows: the time, and who is chosen or how many marks each set has. */
void draw_below(const struct desk *d, struct canvas *c, int row, const struct below *b);
/* The set whose bar stands in a column; -1: none. */
int set_on_bar(const struct desk *d, const struct canvas *c, struct set_count when, int col);

#endif
