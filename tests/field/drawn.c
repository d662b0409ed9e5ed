#include "field/drawn.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

static double unit(unsigned long long *x)
{
    *x ^= *x << 13;
    *x ^= *x >> 7;
    *x ^= *x << 17;
    return (double)(*x >> 11) / 9007199254740992.0;
}

static bool near(double at, double line, double half)
{
    return fabs(at - line) <= half;
}

/* Is the ground white there? Rule 1-2-1: 4 in lines, hashes 24 in. */
static bool white(const struct drawing *d, struct field_place p)
{
    const struct grid *g = d->grid;
    const double depth = g->back_sideline_in;
    if (fabs(p.x) > 2160)
        return false;
    if ((p.y < 0 && p.y > -d->sideline_width) || (p.y > depth && p.y < depth + d->sideline_width))
        return true;
    if (p.y < 0 || p.y > depth || fabs(p.x) > 1802)
        return false;
    const double line = round(p.x / 180) * 180, yard = round(p.x / 36) * 36;
    if (near(p.x, line, 2))
        return true;
    const double hash = fabs(p.y - g->front_hash_in) < fabs(p.y - g->back_hash_in)
                            ? g->front_hash_in
                            : g->back_hash_in;
    if (yard == line) /* the hash on a yard line lies along the field */
        return near(p.x, line, 12) && near(p.y, hash, 2);
    if (near(p.x, yard, 2) && near(p.y, hash, 12))
        return true;
    /* numbers: two blocks beside every ten yards, 6 ft high, tops 9 yd from the sideline */
    const double ten = round(p.x / 360) * 360, from = fmin(p.y, depth - p.y);
    return fabs(ten) < 1700 && from > 252 && from < 324 && fabs(p.x - ten) > 14 &&
           fabs(p.x - ten) < 48 && ((int)(p.x / 9) + (int)(p.y / 12)) % 2;
}

static double shade(const struct camera *c, const struct drawing *d, double x, double y)
{
    struct field_place p;
    if (!camera_place(c, (struct pixel){x, y}, &p))
        return 200;
    return white(d, p) ? d->white : d->turf;
}

static void hide(const struct drawing *how, struct drawn *out, unsigned long long *chance)
{
    const int boxes = (int)(how->people * out->luma.width * out->luma.height / (12 * 40));
    for (int i = 0; i < boxes; i++) {
        const int x0 = (int)(unit(chance) * (out->luma.width - 12));
        const int y0 = (int)(unit(chance) * (out->luma.height - 40));
        const uint8_t ink = (uint8_t)(unit(chance) * 255);
        for (int y = y0; y < y0 + 40; y++)
            for (int x = x0; x < x0 + 12; x++)
                out->pixels[y * out->luma.width + x] = ink;
    }
}

void draw(const struct camera *c, const struct drawing *how, struct drawn *out)
{
    enum { FINE = 2 };
    const int w = (int)c->width, h = (int)c->height;
    unsigned long long chance = how->seed * 2654435761u + 88172645463325252ULL;
    out->pixels = xcalloc((size_t)w * (size_t)h, 1);
    out->luma = (struct luma){out->pixels, w, h, (size_t)w};
    for (int y = 0; y < h; y++)
        for (int x = 0; x < w; x++) {
            double sum = 0;
            for (int i = 0; i < FINE * FINE; i++)
                sum += shade(c, how, x + (i % FINE + 0.5) / FINE, y + (i / FINE + 0.5) / FINE);
            sum /= FINE * FINE;
            sum +=
                how->noise * sqrt(-2 * log(unit(&chance) + 1e-12)) * cos(2 * M_PI * unit(&chance));
            out->pixels[y * w + x] = (uint8_t)fmax(0, fmin(255, round(sum)));
        }
    hide(how, out, &chance);
}

void drawn_free(struct drawn *d)
{
    free(d->pixels);
}
