/* The field of a chart: how steps become points, and what is painted on it. Inner to the room. */
#ifndef SHEET_FIELD_H
#define SHEET_FIELD_H

#include "sheet/labels.h"
#include "sheet/pen.h"

/* The field as it lies on a page, seen from the box. */
struct field {
    const struct grid *grid;
    double left, low; /* where the picture's left edge and its front one are; points */
    double step;      /* points a step */
    double from_x, to_x, from_y, to_y; /* steps that are in the picture */
    bool closer;                       /* a part of the field */
};

struct field_people {
    double from_x, to_x, from_y, to_y; /* where people stand; steps */
};

/* All of the field, and whoever stands off it. It uses what is left of the page below p->y. */
struct field field_whole(const struct pen *p, const struct grid *grid,
                         const struct field_people *people);
/* The part where people stand, from yard line to yard line, as large as the page lets it be. */
struct field field_near(const struct pen *p, const struct grid *grid,
                        const struct field_people *people);

double field_x(const struct field *f, double across);
double field_y(const struct field *f, double depth);

/* Lines and yard numbers. */
void field_draw(struct pen *p, const struct field *f);
/* What stands on it in words; where it stands is kept in `taken`. */
enum { FIELD_WORDS = GRID_LINES };
size_t field_words(struct pen *p, const struct field *f, struct rect taken[FIELD_WORDS]);
/* Side 1, side 2, the box: below it. */
void field_sides(struct pen *p, const struct field *f);
/* Where labels may stand. */
struct rect field_within(const struct pen *p, const struct field *f);

#endif
