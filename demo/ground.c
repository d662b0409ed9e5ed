#include <math.h>
#include <stdint.h>
#include <stdlib.h>

#include "demo/ground.h"
#include "demo/roller.h"
#include "demo/stance.h"

struct tint {
    double r, g, b;
};

static const double WIDTH_FT = 160;

/* What lies at a spot of ground, seen from above. */
static struct tint turf(double x, double y, bool stripes)
{
    const bool dark = stripes && ((long)floor(x / 15 + 100) & 1) != 0; /* mown every five yards */
    if (y < -16 && y > -38)
        return (struct tint){0.56, 0.30, 0.24};
    if (y > WIDTH_FT + 16 && y < WIDTH_FT + 40)
        return (struct tint){0.54, 0.30, 0.25};
    if (fabs(x) < 181 && y > -4 && y < WIDTH_FT + 4)
        return dark ? (struct tint){0.27, 0.46, 0.22} : (struct tint){0.32, 0.52, 0.25};
    return y > 250 ? (struct tint){0.36, 0.44, 0.27} : (struct tint){0.35, 0.49, 0.26};
}

static uint32_t pack(struct tint t)
{
    const uint32_t r = (uint32_t)fmax(0, fmin(255, t.r * 255 + 0.5));
    const uint32_t g = (uint32_t)fmax(0, fmin(255, t.g * 255 + 0.5));
    const uint32_t b = (uint32_t)fmax(0, fmin(255, t.b * 255 + 0.5));
    return r << 16 | g << 8 | b;
}

/* The ground below every pixel. A view that is not plain knows it for the corners of small cells and
 * between them evenly, far nearer than a mown stripe's edge shows; only the paint must be exact. */
enum { CELL = 8 };

struct node {
    struct vec at;
    bool hit;
};

struct cells {
    struct node *at; /* heap memory; NULL for a plain view */
    int columns;
};

static struct cells cells_make(const struct view *w)
{
    struct cells m = {.columns = w->width / CELL + 2};
    const int rows = w->height / CELL + 2;
    if (w->plain)
        return m;
    m.at = xcalloc((size_t)m.columns * (size_t)rows, sizeof *m.at);
    for (int i = 0; i < m.columns * rows; i++) {
        const double u = i % m.columns * CELL, v = i / m.columns * CELL;
        m.at[i].hit = view_ground(w, u, v, &m.at[i].at);
    }
    return m;
}

static bool below(const struct view *w, const struct cells *m, int u, int v, struct vec *out)
{
    if (!m->at)
        return view_ground(w, u, v, out);
    const struct node *top = &m->at[v / CELL * m->columns + u / CELL], *low = top + m->columns;
    const int hits = top[0].hit + top[1].hit + low[0].hit + low[1].hit;
    if (hits == 0)
        return false;
    if (hits < 4)
        return view_ground(w, u, v, out);
    const double x = (double)(u % CELL) / CELL, y = (double)(v % CELL) / CELL;
    const double part[4] = {(1 - x) * (1 - y), x * (1 - y), (1 - x) * y, x * y};
    *out = (struct vec){part[0] * top[0].at.x + part[1] * top[1].at.x + part[2] * low[0].at.x +
                            part[3] * low[1].at.x,
                        part[0] * top[0].at.y + part[1] * top[1].at.y + part[2] * low[0].at.y +
                            part[3] * low[1].at.y,
                        0};
    return true;
}

/* Between 0 and 1. Grass stays on the ground when the view moves. */
static double grain_of(const struct view *w, int u, int v, struct vec g)
{
    if (w->plain)
        return scatter_unit(9, (uint64_t)u, (uint64_t)v);
    return scatter_unit(9, (uint64_t)(int64_t)floor(4 * g.x), (uint64_t)(int64_t)floor(2 * g.y));
}

static void shade(const struct view *w, const struct paint *p, cairo_surface_t *s)
{
    const int stride = cairo_image_surface_get_stride(s) / 4;
    uint32_t *px = (uint32_t *)(void *)cairo_image_surface_get_data(s);
    const struct cells m = cells_make(w);
    for (int v = 0; v < w->height; v++) {
        for (int u = 0; u < w->width; u++) {
            struct vec g;
            struct tint t = {0.72, 0.80, 0.88};
            if (below(w, &m, u, v, &g)) {
                t = turf(g.x, g.y, !p->no_stripes);
                const double grain = (grain_of(w, u, v, g) - 0.5) * 0.035;
                const double haze = fmin(0.35, g.y > 0 ? g.y / 1400 : 0);
                t = (struct tint){(t.r + grain) * (1 - haze) + 0.72 * haze,
                                  (t.g + grain) * (1 - haze) + 0.78 * haze,
                                  (t.b + grain) * (1 - haze) + 0.82 * haze};
            }
            px[v * stride + u] = pack(t);
        }
    }
    free(m.at);
    cairo_surface_mark_dirty(s);
}

static bool corner(cairo_t *cr, const struct view *w, double x, double y, double z)
{
    const struct sight p = view_sees(w, (struct vec){x, y, z});
    cairo_line_to(cr, p.u + 0.5, p.v + 0.5); /* cairo counts from the pixel's corner */
    return p.scale > 0;
}

static const double STANDS_FT = 95, STANDS_Y = 210, STANDS_ROW_FT = 3, STANDS_RISE_FT = 1.6;
enum { STANDS_ROWS = 9 };

static void stands(cairo_t *cr, const struct view *w)
{
    for (int row = 0; row < STANDS_ROWS; row++) {
        const double y = STANDS_Y + STANDS_ROW_FT * row, z = 3 + STANDS_RISE_FT * row;
        const double shade = 0.52 + 0.03 * (row % 2) + 0.01 * row;
        cairo_set_source_rgb(cr, shade, shade + 0.01, shade + 0.03);
        bool seen = corner(cr, w, -STANDS_FT, y, z - STANDS_RISE_FT);
        seen &= corner(cr, w, STANDS_FT, y, z - STANDS_RISE_FT);
        seen &= corner(cr, w, STANDS_FT, y + STANDS_ROW_FT, z);
        seen &= corner(cr, w, -STANDS_FT, y + STANDS_ROW_FT, z);
        cairo_close_path(cr);
        if (seen || w->plain)
            cairo_fill(cr);
        cairo_new_path(cr);
    }
}

static void trees(cairo_t *cr, const struct view *w)
{
    for (int i = 0; i < 170; i++) {
        const double x = -420 + 5 * i + 4 * scatter_unit(3, (uint64_t)i, 0);
        const double y = 330 + 40 * scatter_unit(3, (uint64_t)i, 1);
        const double r = 9 + 9 * scatter_unit(3, (uint64_t)i, 2);
        const double light = 0.8 + 0.3 * scatter_unit(3, (uint64_t)i, 3);
        const struct sight p = view_sees(w, (struct vec){x, y, r});
        if (p.scale <= 0)
            continue;
        cairo_set_source_rgb(cr, 0.30 * light, 0.40 * light, 0.26 * light);
        cairo_arc(cr, p.u, p.v, r * p.scale, 0, 2 * M_PI);
        cairo_fill(cr);
    }
}

/* A low sun behind the far stands throws their shadow onto the field. */
static void stands_shadow(cairo_t *cr, const struct view *w)
{
    const double high = 3 + STANDS_RISE_FT * (STANDS_ROWS - 1);
    const double back = STANDS_Y + STANDS_ROW_FT * STANDS_ROWS;
    const double x = high * w->shade_x, y = back + high * w->shade_y;
    const struct spot corner[] = {{-STANDS_FT, STANDS_Y},
                                  {x - STANDS_FT, y},
                                  {x + STANDS_FT, y},
                                  {STANDS_FT, back},
                                  {STANDS_FT, STANDS_Y}};
    if (view_low_sun(w))
        roller_shape(&(struct roller){cr, w, 0.03, 0.06, 0.08, 0.45, 0}, corner, 5);
}

cairo_surface_t *ground_draw(const struct view *w, const struct paint *p)
{
    cairo_surface_t *s = cairo_image_surface_create(CAIRO_FORMAT_RGB24, w->width, w->height);
    if (cairo_surface_status(s) != CAIRO_STATUS_SUCCESS)
        return s;
    shade(w, p, s);
    cairo_t *cr = cairo_create(s);
    trees(cr, w);
    stands(cr, w);
    lines_draw(cr, w, p);
    stands_shadow(cr, w);
    cairo_destroy(cr);
    return s;
}
