/* What is painted on a football field, as samples to look for in a picture: short pieces of white
 * bars, each with the ground direction across it and its width.
 *
 * Lines are 4 in wide, hash marks and short yard lines 24 in long (NCAA football rules 1-2-1); the
 * sidelines begin at their inner edge and are as wide as the school paints them. Inches. */
#ifndef FIELD_PAINT_H
#define FIELD_PAINT_H

#include <stddef.h>

#include "field/camera.h"

enum paint_kind { PAINT_YARD_LINE, PAINT_SIDELINE, PAINT_HASH };

struct painted {
    struct field_place at; /* the middle of the bar */
    double width, length;  /* across it; along it, what it stands for */
    enum paint_kind kind;
    int line; /* yard lines: yards from the 50, side 2 positive; else 0 front, 1 back (hash 2, 3) */
};

/* Is the bar's width along X (a yard line) or along Y? */
static inline bool paint_across(const struct painted *p)
{
    return p->kind == PAINT_YARD_LINE;
}

struct paint_list {
    struct painted *at; /* heap memory */
    size_t n;
};

/* All of the ground's paint: yard lines every `apart` inches of depth, sidelines every `apart`
 * inches (none where their width is 0), hashes every yard between the yard lines. The pieces of one
 * line follow one another along it. Nothing for a floor. */
void paint_of(const struct grid *g, double apart, double sideline_width, struct paint_list *out);
void paint_free(struct paint_list *l);

#endif
