/* Lines and dots as shapes of the window's overlay. */
#include <math.h>

#include "screen/over.h"

/* Blue, green, red as ASS writes colors. */
static const char *const inks[OVER_KINDS] = {
    [OVER_LINE] = "FFC85A", [OVER_STRONG] = "FFC85A", [OVER_SHAPE] = "3CD2FF",
    [OVER_MOVE] = "3C78FF", [OVER_GHOST] = "3CD2FF",  [OVER_CLICK] = "C850FF",
    [OVER_PICK] = "78FF5A", [OVER_CROSS] = "FFFFFF",
};
static const double wide[OVER_KINDS] = {
    [OVER_LINE] = 0.6,  [OVER_STRONG] = 1.1, [OVER_SHAPE] = 1.2, [OVER_MOVE] = 1.4,
    [OVER_GHOST] = 2.6, [OVER_CLICK] = 3.4,  [OVER_PICK] = 3.4,  [OVER_CROSS] = 0.9};
static const double width = 1280, height = 720;

static void begin(struct buf *ass, enum over_kind kind)
{
    buf_printf(ass, "%s{\\an7\\pos(0,0)\\bord0\\shad0\\1c&H%s&%s\\p1}", ass->n ? "\n" : "",
               inks[kind], kind == OVER_LINE ? "\\1a&H60&" : "");
}

static void put_line(struct buf *ass, const struct over_frame *at, const struct over_line *l)
{
    const double x0 = (at->x + at->w * l->x0) * width, y0 = (at->y + at->h * l->y0) * height;
    const double x1 = (at->x + at->w * l->x1) * width, y1 = (at->y + at->h * l->y1) * height;
    const double length = hypot(x1 - x0, y1 - y0);
    if (!(length > 0) || !(length < 4 * width))
        return;
    const double nx = -(y1 - y0) / length * wide[l->kind] / 2,
                 ny = (x1 - x0) / length * wide[l->kind] / 2;
    buf_printf(ass, "m %.1f %.1f l %.1f %.1f %.1f %.1f %.1f %.1f ", x0 + nx, y0 + ny, x1 + nx,
               y1 + ny, x1 - nx, y1 - ny, x0 - nx, y0 - ny);
}

static void put_dot(struct buf *ass, const struct over_frame *at, const struct over_dot *d)
{
    enum { CORNERS = 8 };
    const double x = (at->x + at->w * d->x) * width, y = (at->y + at->h * d->y) * height;
    for (int i = 0; i < CORNERS; i++)
        buf_printf(ass, "%s%.1f %.1f ",
                   i == 0   ? "m "
                   : i == 1 ? "l "
                            : "",
                   x + wide[d->kind] * cos(i * 2 * M_PI / CORNERS),
                   y + wide[d->kind] * sin(i * 2 * M_PI / CORNERS));
}

static void put_label(struct buf *ass, const struct over_frame *at, const struct over_dot *d)
{
    buf_printf(ass, "\n{\\an7\\pos(%.1f,%.1f)\\fs13\\bord1\\shad0\\q2\\1c&H%s&}",
               (at->x + at->w * d->x) * width + 4, (at->y + at->h * d->y) * height - 14,
               inks[d->kind]);
    for (const char *s = d->label; *s; s++)
        if (*s != '{' && *s != '}' && *s != '\\')
            buf_char(ass, *s);
}

void over_shapes(const struct over *o, const struct over_frame *at, struct buf *ass)
{
    for (int kind = 0; kind < OVER_KINDS; kind++) {
        bool any = false;
        for (size_t i = 0; i < o->n_lines; i++)
            if ((int)o->lines[i].kind == kind) {
                if (!any)
                    begin(ass, (enum over_kind)kind);
                any = true;
                put_line(ass, at, &o->lines[i]);
            }
        for (size_t i = 0; i < o->n_dots; i++)
            if ((int)o->dots[i].kind == kind) {
                if (!any)
                    begin(ass, (enum over_kind)kind);
                any = true;
                put_dot(ass, at, &o->dots[i]);
            }
    }
    for (size_t i = 0; i < o->n_dots; i++)
        if (*o->dots[i].label)
            put_label(ass, at, &o->dots[i]);
}
