#include <math.h>
#include <stdint.h>

#include "demo/ground.h"
#include "demo/stance.h"

struct tint {
    double r, g, b;
};

static const double WIDTH_FT = 160, HASH_FT = 160.0 / 3, GOAL_FT = 150, LINE_FT = 1.0 / 3;

/* What lies at a spot of ground, seen from above. */
static struct tint turf(double x, double y)
{
    const bool dark = ((long)floor(x / 15 + 100) & 1) != 0; /* mown every five yards */
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

static void shade(const struct camera *c, cairo_surface_t *s)
{
    const int stride = cairo_image_surface_get_stride(s) / 4;
    uint32_t *px = (uint32_t *)(void *)cairo_image_surface_get_data(s);
    for (int v = 0; v < c->height; v++) {
        for (int u = 0; u < c->width; u++) {
            struct vec g;
            struct tint t = {0.72, 0.80, 0.88};
            if (camera_ground(c, u, v, &g)) {
                t = turf(g.x, g.y);
                const double grain = (scatter_unit(9, (uint64_t)u, (uint64_t)v) - 0.5) * 0.035;
                const double haze = fmin(0.35, g.y > 0 ? g.y / 1400 : 0);
                t = (struct tint){(t.r + grain) * (1 - haze) + 0.72 * haze,
                                  (t.g + grain) * (1 - haze) + 0.78 * haze,
                                  (t.b + grain) * (1 - haze) + 0.82 * haze};
            }
            px[v * stride + u] = pack(t);
        }
    }
    cairo_surface_mark_dirty(s);
}

static void corner(cairo_t *cr, const struct camera *c, double x, double y, double z)
{
    const struct pixel p = camera_project(c, (struct vec){x, y, z});
    cairo_line_to(cr, p.u + 0.5, p.v + 0.5); /* cairo counts from the pixel's corner */
}

static void slab(cairo_t *cr, const struct camera *c, double x0, double y0, double x1, double y1)
{
    corner(cr, c, x0, y0, 0);
    corner(cr, c, x1, y0, 0);
    corner(cr, c, x1, y1, 0);
    corner(cr, c, x0, y1, 0);
    cairo_close_path(cr);
    cairo_fill(cr);
}

/* Hashes and sideline ticks: 24 in long, every yard (longer where they cross a yard line). */
static void ticks(cairo_t *cr, const struct camera *c)
{
    for (int yard = -50; yard <= 50; yard++) {
        const double x = yard * 3, half = LINE_FT / 2;
        const bool on_line = yard % 5 == 0;
        const double rows[] = {HASH_FT, WIDTH_FT - HASH_FT};
        for (int i = 0; i < 2; i++) {
            if (on_line) /* the hash itself lies along the field across the yard line */
                slab(cr, c, x - 1, rows[i] - half, x + 1, rows[i] + half);
            else
                slab(cr, c, x - half, rows[i] - 1, x + half, rows[i] + 1);
        }
        if (!on_line) {
            slab(cr, c, x - half, 0.5, x + half, 2.5);
            slab(cr, c, x - half, WIDTH_FT - 2.5, x + half, WIDTH_FT - 0.5);
        }
    }
}

static void lines(cairo_t *cr, const struct camera *c)
{
    const double half = LINE_FT / 2;
    cairo_set_source_rgba(cr, 0.97, 0.98, 0.95, 0.92);
    for (int yard = -50; yard <= 50; yard += 5)
        slab(cr, c, yard * 3 - half, 0, yard * 3 + half, WIDTH_FT);
    slab(cr, c, -GOAL_FT - 30, -1.5, GOAL_FT + 30, 0);
    slab(cr, c, -GOAL_FT - 30, WIDTH_FT, GOAL_FT + 30, WIDTH_FT + 1.5);
    ticks(cr, c);
}

/* Digits as pen strokes in a box 1 wide and 1 high; 9 lifts the pen. */
static const signed char digit_pen[6][14][2] = {
    {{0, 0}, {4, 0}, {4, 4}, {0, 4}, {0, 0}, {-1, 0}},
    {{1, 3}, {2, 4}, {2, 0}, {-1, 0}},
    {{0, 4}, {4, 4}, {4, 2}, {0, 2}, {0, 0}, {4, 0}, {-1, 0}},
    {{0, 4}, {4, 4}, {4, 0}, {0, 0}, {9, 9}, {1, 2}, {4, 2}, {-1, 0}},
    {{0, 4}, {0, 2}, {4, 2}, {9, 9}, {4, 4}, {4, 0}, {-1, 0}},
    {{4, 4}, {0, 4}, {0, 2}, {4, 2}, {4, 0}, {0, 0}, {-1, 0}},
};

/* A digit whose top is toward the middle of the field; way is 1 at the front, -1 at the back. */
static void digit(cairo_t *cr, const struct camera *c, int n, double x, double y, int way)
{
    static const double WIDE_FT = 2.8, HIGH_FT = 6;
    for (int i = 0; digit_pen[n][i][0] != -1; i++) {
        if (digit_pen[n][i][0] == 9)
            cairo_new_sub_path(cr);
        else
            corner(cr, c, x + way * WIDE_FT * (digit_pen[n][i][0] / 4.0 - 0.5),
                   y + way * HIGH_FT * (digit_pen[n][i][1] / 4.0), 0);
    }
    const struct pixel p = camera_project(c, (struct vec){x, y, 0});
    cairo_set_line_width(cr, 0.75 * p.scale);
    cairo_stroke(cr);
}

static void numbers(cairo_t *cr, const struct camera *c)
{
    cairo_set_source_rgba(cr, 0.97, 0.98, 0.95, 0.85);
    cairo_set_line_join(cr, CAIRO_LINE_JOIN_MITER);
    for (int ten = -4; ten <= 4; ten++) {
        const int tens = 5 - (ten < 0 ? -ten : ten);
        for (int way = 1; way >= -1; way -= 2) {
            const double y = way > 0 ? 21 : WIDTH_FT - 21;
            digit(cr, c, tens, ten * 30 - way * 2.6, y, way);
            digit(cr, c, 0, ten * 30 + way * 2.6, y, way);
        }
    }
}

static void stands(cairo_t *cr, const struct camera *c)
{
    for (int row = 0; row < 9; row++) {
        const double y = WIDTH_FT + 50 + 3 * row, z = 3 + 1.6 * row;
        const double shade = 0.52 + 0.03 * (row % 2) + 0.01 * row;
        cairo_set_source_rgb(cr, shade, shade + 0.01, shade + 0.03);
        corner(cr, c, -95, y, z - 1.6);
        corner(cr, c, 95, y, z - 1.6);
        corner(cr, c, 95, y + 3, z);
        corner(cr, c, -95, y + 3, z);
        cairo_close_path(cr);
        cairo_fill(cr);
    }
}

static void trees(cairo_t *cr, const struct camera *c)
{
    for (int i = 0; i < 170; i++) {
        const double x = -420 + 5 * i + 4 * scatter_unit(3, (uint64_t)i, 0);
        const double y = 330 + 40 * scatter_unit(3, (uint64_t)i, 1);
        const double r = 9 + 9 * scatter_unit(3, (uint64_t)i, 2);
        const double light = 0.8 + 0.3 * scatter_unit(3, (uint64_t)i, 3);
        const struct pixel p = camera_project(c, (struct vec){x, y, r});
        cairo_set_source_rgb(cr, 0.30 * light, 0.40 * light, 0.26 * light);
        cairo_arc(cr, p.u, p.v, r * p.scale, 0, 2 * M_PI);
        cairo_fill(cr);
    }
}

cairo_surface_t *ground_draw(const struct camera *c)
{
    cairo_surface_t *s = cairo_image_surface_create(CAIRO_FORMAT_RGB24, c->width, c->height);
    if (cairo_surface_status(s) != CAIRO_STATUS_SUCCESS)
        return s;
    shade(c, s);
    cairo_t *cr = cairo_create(s);
    trees(cr, c);
    stands(cr, c);
    lines(cr, c);
    numbers(cr, c);
    cairo_destroy(cr);
    return s;
}
