#include <math.h>

#include "demo/lines.h"
#include "demo/roller.h"
#include "demo/soccer.h"

static const double WIDTH_FT = 160, GOAL_FT = 150, LINE_FT = 1.0 / 3, INCHES = 12;

static double hash_ft(const struct paint *p)
{
    return p->grid ? p->grid->front_hash_in / INCHES : 160.0 / 3;
}

/* Hashes and sideline ticks: 24 in long, every yard (longer where they cross a yard line). */
static void ticks(const struct roller *r, double hash)
{
    for (int yard = -50; yard <= 50; yard++) {
        const double x = yard * 3, half = LINE_FT / 2;
        const bool on_line = yard % 5 == 0;
        const double rows[] = {hash, WIDTH_FT - hash};
        for (int i = 0; i < 2; i++) {
            if (on_line) /* the hash itself lies along the field across the yard line */
                roller_slab(r, (struct slab){x - 1, rows[i] - half, x + 1, rows[i] + half});
            else
                roller_slab(r, (struct slab){x - half, rows[i] - 1, x + half, rows[i] + 1});
        }
        if (!on_line) {
            roller_slab(r, (struct slab){x - half, 0.5, x + half, 2.5});
            roller_slab(r, (struct slab){x - half, WIDTH_FT - 2.5, x + half, WIDTH_FT - 0.5});
        }
    }
}

static void football(const struct roller *r, const struct paint *p)
{
    const double half = LINE_FT / 2, end = GOAL_FT + 30;
    for (int yard = -50; yard <= 50; yard += 5)
        if (!p->missing[(yard + 50) / 5])
            roller_slab(r, (struct slab){yard * 3 - half, 0, yard * 3 + half, WIDTH_FT});
    roller_slab(r, (struct slab){-end, -1.5, end, 0});
    roller_slab(r, (struct slab){-end, WIDTH_FT, end, WIDTH_FT + 1.5});
    ticks(r, hash_ft(p));
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
static void digit(const struct roller *r, int n, double x, double y, int way)
{
    static const double WIDE_FT = 2.8, HIGH_FT = 6;
    const struct sight p = view_sees(r->view, (struct vec){x, y, 0});
    bool seen = true;
    for (int i = 0; digit_pen[n][i][0] != -1; i++) {
        if (digit_pen[n][i][0] == 9)
            cairo_new_sub_path(r->cr);
        else
            seen &= roller_to(r, x + way * WIDE_FT * (digit_pen[n][i][0] / 4.0 - 0.5),
                              y + way * HIGH_FT * (digit_pen[n][i][1] / 4.0));
    }
    cairo_set_line_width(r->cr, 0.75 * p.scale);
    if (seen && p.scale > 0)
        cairo_stroke(r->cr);
    cairo_new_path(r->cr);
}

static void numbers(const struct roller *r, const struct paint *p)
{
    const bool high = p->grid && p->grid == grid_named("professional");
    const double bottom = high ? 36 : 21;
    cairo_set_source_rgba(r->cr, r->r, r->g, r->b, r->a * (1 - r->faded));
    cairo_set_line_join(r->cr, CAIRO_LINE_JOIN_MITER);
    for (int ten = -4; ten <= 4; ten++) {
        const int tens = 5 - (ten < 0 ? -ten : ten);
        for (int way = 1; way >= -1; way -= 2) {
            const double y = way > 0 ? bottom : WIDTH_FT - bottom;
            digit(r, tens, ten * 30 - way * 2.6, y, way);
            digit(r, 0, ten * 30 + way * 2.6, y, way);
        }
    }
}

void lines_draw(cairo_t *cr, const struct view *w, const struct paint *p)
{
    struct roller r = {cr, w, 0.97, 0.98, 0.95, 0.92, p->faded};
    double rgb[3];
    if (p->soccer && soccer_color(p->soccer, rgb))
        soccer_draw(&(struct roller){cr, w, rgb[0], rgb[1], rgb[2], 0.85, p->faded});
    football(&r, p);
    r.a = 0.85;
    if (!p->no_numbers)
        numbers(&r, p);
}
