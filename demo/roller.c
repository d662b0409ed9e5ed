#include <math.h>

#include "demo/roller.h"
#include "demo/stance.h"

static const double PIECE_FT = 3; /* an edge is straight for so long */

bool roller_to(const struct roller *r, double x, double y)
{
    const struct sight p = view_sees(r->view, (struct vec){x, y, 0});
    cairo_line_to(r->cr, p.u + 0.5, p.v + 0.5); /* cairo counts from the pixel's corner */
    return p.scale > 0;
}

/* From one corner up to, but without, the next. */
static bool edge(const struct roller *r, struct spot from, struct spot to)
{
    const double long_ft = fmax(fabs(to.x - from.x), fabs(to.y - from.y));
    const int n = r->view->plain ? 1 : (int)fmax(1, ceil(long_ft / PIECE_FT));
    bool seen = true;
    for (int i = 0; i < n; i++)
        seen &= roller_to(r, from.x + (to.x - from.x) * i / n, from.y + (to.y - from.y) * i / n);
    return seen;
}

/* Fills what is on the path when all of it is seen. */
static bool fill(const struct roller *r, double a, bool seen)
{
    if (!seen) {
        cairo_new_path(r->cr);
        return false;
    }
    cairo_set_source_rgba(r->cr, r->r, r->g, r->b, a);
    cairo_close_path(r->cr);
    cairo_fill(r->cr);
    return true;
}

static bool shape(const struct roller *r, const struct spot *corner, size_t n, double a)
{
    bool seen = true;
    for (size_t i = 0; i < n; i++)
        seen &= edge(r, corner[i], corner[(i + 1) % n]);
    return fill(r, a, seen || r->view->plain);
}

void roller_shape(const struct roller *r, const struct spot *corner, size_t n)
{
    shape(r, corner, n, r->a);
}

static bool four(const struct roller *r, struct slab s, double a)
{
    const struct spot corner[] = {{s.x0, s.y0}, {s.x1, s.y0}, {s.x1, s.y1}, {s.x0, s.y1}};
    return shape(r, corner, 4, a);
}

static struct slab part(struct slab s, double from, double to)
{
    struct slab p = s;
    if (fabs(s.x1 - s.x0) > fabs(s.y1 - s.y0)) {
        p.x0 = s.x0 + (s.x1 - s.x0) * from;
        p.x1 = s.x0 + (s.x1 - s.x0) * to;
    } else {
        p.y0 = s.y0 + (s.y1 - s.y0) * from;
        p.y1 = s.y0 + (s.y1 - s.y0) * to;
    }
    return p;
}

static double length(struct slab s)
{
    return fmax(fabs(s.x1 - s.x0), fabs(s.y1 - s.y0));
}

/* What is left of the paint there. */
static double left(const struct roller *r, struct slab s)
{
    const uint64_t x = (uint64_t)(int64_t)floor(4 * s.x0), y = (uint64_t)(int64_t)floor(4 * s.y0);
    return fmax(0, 1 - r->faded * (0.6 + 0.8 * scatter_unit(21, x, y)));
}

/* Halves of a slab that reaches behind the camera, down to what is seen. */
static void halves(const struct roller *r, struct slab s)
{
    if (four(r, s, r->a) || length(s) < PIECE_FT)
        return;
    halves(r, part(s, 0, 0.5));
    halves(r, part(s, 0.5, 1));
}

void roller_slab(const struct roller *r, struct slab s)
{
    if (r->faded <= 0) {
        halves(r, s);
        return;
    }
    const int n = (int)fmax(1, ceil(length(s) / PIECE_FT));
    for (int i = 0; i < n; i++) {
        const struct slab p = part(s, (double)i / n, (i + 1.0) / n);
        four(r, p, r->a * left(r, p));
    }
}

void roller_ring(const struct roller *r, const struct ring *g)
{
    const int n = (int)fmax(4, ceil(fabs(g->to - g->from) * g->radius));
    bool seen = true;
    for (int i = 0; i <= 2 * n + 1; i++) {
        const double t = (double)(i <= n ? i : 2 * n + 1 - i) / n;
        const double angle = g->from + (g->to - g->from) * t;
        const double out = g->radius + (i <= n ? g->width : -g->width) / 2;
        seen &= roller_to(r, g->x + out * cos(angle), g->y + out * sin(angle));
    }
    fill(r, r->a * (1 - r->faded), seen);
}
