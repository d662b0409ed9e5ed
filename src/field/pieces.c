#include "field/pieces.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/bar.h"

static const double narrowest = 1.2;  /* pixels: a thinner bar is looked for as one so wide */
static const double widest = 60;      /* nearer than that the box would stand on it */
static const double least_bright = 5; /* grey levels above both sides (measured on drawn clips) */
static const double least_sd = 0.1;   /* pixels: lines are not painted straighter than that */
static const double stretch_in = 720; /* inches of one line that are taken as one */

static bool in_picture(const struct luma *l, struct pixel p)
{
    return p.x > 0 && p.y > 0 && p.x < l->width && p.y < l->height;
}

/* How one piece lies in the picture. */
struct lie {
    double normal[2];    /* across the line */
    double direction[2]; /* that is searched: for a hash along itself, else the normal */
    double along[2];
    double length, width;
    double share; /* of a move along the direction that is across the line */
};

static bool lie_of(const struct painted *p, const struct camera_slope *s, struct lie *out)
{
    const int across = paint_across(p) ? 0 : 1;
    const double along[2] = {s->by_place[0][!across], s->by_place[1][!across]};
    const double over[2] = {s->by_place[0][across], s->by_place[1][across]};
    const double length = hypot(along[0], along[1]), far = hypot(over[0], over[1]);
    if (!(length > 0) || !(far > 0))
        return false;
    out->along[0] = along[0] / length;
    out->along[1] = along[1] / length;
    out->length = length * p->length;
    out->normal[0] = -out->along[1];
    out->normal[1] = out->along[0];
    if (p->kind == PAINT_HASH) {
        out->direction[0] = over[0] / far;
        out->direction[1] = over[1] / far;
    } else {
        memcpy(out->direction, out->normal, sizeof out->direction);
    }
    out->share = out->direction[0] * out->normal[0] + out->direction[1] * out->normal[1];
    const double thick = fabs(over[0] * out->normal[0] + over[1] * out->normal[1]) * p->width;
    out->width = fabs(out->share) > 0.05 ? thick / fabs(out->share) : INFINITY;
    return out->width < widest;
}

/* Where the middle of the bar is seen: of a broad one that is not where the middle of its paint is. */
static void to_middle(const struct camera *c, const struct painted *p, struct pixel *at)
{
    static const double broad = 12;
    struct field_place one = p->at, other = p->at;
    struct pixel a, b;
    double *from = paint_across(p) ? &one.x : &one.y, *to = paint_across(p) ? &other.x : &other.y;
    *from -= p->width / 2;
    *to += p->width / 2;
    if (p->width > broad && camera_sees(c, one, &a, NULL) && camera_sees(c, other, &b, NULL))
        *at = (struct pixel){(a.x + b.x) / 2, (a.y + b.y) / 2};
}

/* A piece of paint as the camera has it in the picture. */
struct expected {
    struct pixel at;
    struct camera_slope slope;
    struct lie lie;
};

static bool expect(const struct look *how, const struct camera *c, const struct painted *p,
                   struct expected *out)
{
    if (!camera_sees(c, p->at, &out->at, NULL) || !in_picture(how->picture, out->at) ||
        !camera_sees(c, p->at, &out->at, &out->slope) || !lie_of(p, &out->slope, &out->lie))
        return false;
    to_middle(c, p, &out->at);
    return true;
}

static bool find(const struct look *how, const struct expected *x, struct bar *out)
{
    const double longer = x->lie.share < 0.999 ? 1 : (double)how->step;
    const struct bar_ask bar = {.at = x->at,
                                .normal = {x->lie.direction[0], x->lie.direction[1]},
                                .along = {x->lie.along[0], x->lie.along[1]},
                                .length = x->lie.length * longer,
                                .width = fmax(x->lie.width, narrowest),
                                .reach = how->reach,
                                .least_bright = least_bright,
                                .noise = how->noise};
    return bar_find(how->picture, &bar, out);
}

static int line_of(const struct painted *p)
{
    return (int)p->kind * 128 + p->line + 64;
}

/* Neighbours on one line have one number. */
static int stretch_of(const struct painted *p)
{
    const double along = paint_across(p) ? p->at.y : p->at.x;
    return line_of(p) * 64 + (int)floor(along / stretch_in) + 32;
}

/* How far the middle of a sideline moves across it with an inch of its width. */
static double by_width(const struct painted *p, const struct expected *x)
{
    const double half = p->line == 0 ? -0.5 : 0.5; /* the front one is in front of its edge */
    return p->kind != PAINT_SIDELINE ? 0
                                     : half * (x->slope.by_place[0][1] * x->lie.normal[0] +
                                               x->slope.by_place[1][1] * x->lie.normal[1]);
}

void pieces_look(const struct look *how, const struct camera *c, struct pieces *out)
{
    out->n = out->expected = 0;
    for (size_t i = 0; i < how->paint->n; i += how->step) {
        const struct painted *p = &how->paint->at[i];
        struct expected x;
        struct bar bar;
        if (!expect(how, c, p, &x))
            continue;
        out->expected++;
        if (!find(how, &x, &bar))
            continue;
        out->at = array_grow(out->at, out->n, &out->cap, sizeof *out->at);
        struct piece *one = &out->at[out->n++];
        one->at = x.at;
        memcpy(one->normal, x.lie.normal, sizeof one->normal);
        one->miss = bar.offset * x.lie.share;
        one->sd = hypot(least_sd, bar.sd * x.lie.share);
        one->line = line_of(p);
        one->stretch = stretch_of(p);
        one->slope[PIECE_WIDTH] = by_width(p, &x);
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            one->slope[k] = x.slope.by_camera[0][k] * x.lie.normal[0] +
                            x.slope.by_camera[1][k] * x.lie.normal[1];
    }
}

size_t look_step(double noise)
{
    enum { MOST = 4 };
    static const double quiet = 8, each = 4; /* grey levels */
    return noise > quiet ? 1 + (size_t)fmin(MOST - 1, noise / each) : 1;
}

void pieces_free(struct pieces *p)
{
    free(p->at);
    *p = (struct pieces){0};
}

bool piece_find(const struct look *how, const struct camera *c, const struct painted *p,
                double *offset, double *pixels_an_inch)
{
    struct expected x;
    struct bar bar;
    const int across = paint_across(p) ? 0 : 1;
    if (!expect(how, c, p, &x) || !find(how, &x, &bar))
        return false;
    *offset = bar.offset * x.lie.share;
    *pixels_an_inch = fabs(x.slope.by_place[0][across] * x.lie.normal[0] +
                           x.slope.by_place[1][across] * x.lie.normal[1]);
    return true;
}
