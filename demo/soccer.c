#include <math.h>
#include <string.h>

#include "demo/soccer.h"

enum { YARD = 3 };
static const double LINE_FT = 1.0 / 3, HALF_LONG = 55 * YARD, HALF_WIDE = 30 * YARD, MIDDLE_Y = 80;

bool soccer_color(const char *name, double rgb[3])
{
    static const struct {
        const char *name;
        double rgb[3];
    } colors[] = {{"white", {0.97, 0.98, 0.95}},
                  {"yellow", {0.95, 0.83, 0.20}},
                  {"blue", {0.20, 0.36, 0.78}},
                  {"red", {0.80, 0.22, 0.20}}};
    for (size_t i = 0; i < sizeof colors / sizeof *colors; i++) {
        if (strcmp(colors[i].name, name) != 0)
            continue;
        memcpy(rgb, colors[i].rgb, sizeof colors[i].rgb);
        return true;
    }
    return false;
}

static void along(const struct roller *r, double x0, double x1, double y)
{
    roller_slab(r, (struct slab){x0, y - LINE_FT / 2, x1, y + LINE_FT / 2});
}

static void across(const struct roller *r, double x, double y0, double y1)
{
    roller_slab(r, (struct slab){x - LINE_FT / 2, y0, x + LINE_FT / 2, y1});
}

/* Three sides of a box before a goal; way: 1 at side 2's. */
static void box(const struct roller *r, int way, double deep, double wide)
{
    const double x0 = way * HALF_LONG, x1 = way * (HALF_LONG - deep);
    across(r, x1, MIDDLE_Y - wide / 2, MIDDLE_Y + wide / 2);
    along(r, x0, x1, MIDDLE_Y - wide / 2);
    along(r, x0, x1, MIDDLE_Y + wide / 2);
}

static void end(const struct roller *r, int way)
{
    static const double MARK = 12 * YARD, RADIUS = 10 * YARD, AREA = 18 * YARD;
    const double mark_x = way * (HALF_LONG - MARK), middle = way > 0 ? M_PI : 0;
    const double half = acos((AREA - MARK) / RADIUS); /* the arc outside of the area */
    across(r, way * HALF_LONG, MIDDLE_Y - HALF_WIDE, MIDDLE_Y + HALF_WIDE);
    box(r, way, AREA, 44 * YARD);
    box(r, way, 6 * YARD, 20 * YARD);
    roller_slab(r, (struct slab){mark_x - 0.37, MIDDLE_Y - 0.37, mark_x + 0.37, MIDDLE_Y + 0.37});
    roller_ring(r, &(struct ring){mark_x, MIDDLE_Y, RADIUS, LINE_FT, middle - half, middle + half});
    for (int back = 0; back < 2; back++) {
        const double from = back ? (way > 0 ? M_PI : 1.5 * M_PI) : (way > 0 ? M_PI / 2 : 0);
        roller_ring(r, &(struct ring){way * HALF_LONG, MIDDLE_Y + (back ? HALF_WIDE : -HALF_WIDE),
                                      YARD, LINE_FT, from, from + M_PI / 2});
    }
}

void soccer_draw(const struct roller *r)
{
    along(r, -HALF_LONG, HALF_LONG, MIDDLE_Y - HALF_WIDE);
    along(r, -HALF_LONG, HALF_LONG, MIDDLE_Y + HALF_WIDE);
    across(r, 0, MIDDLE_Y - HALF_WIDE, MIDDLE_Y + HALF_WIDE);
    roller_ring(r, &(struct ring){0, MIDDLE_Y, 10 * YARD, LINE_FT, 0, 2 * M_PI});
    end(r, -1);
    end(r, 1);
}
