/* Lines and dots as shapes of the window's overlay. */
#include <math.h>
#include <string.h>

#include "screen/over.h"

/* Blue, green, red as ASS writes colors. */
static const char *const inks[OVER_KINDS] = {
    [OVER_LINE] = "FFC85A", [OVER_STRONG] = "FFC85A", [OVER_SHAPE] = "3CD2FF",
    [OVER_MOVE] = "3C78FF", [OVER_GHOST] = "3CD2FF",  [OVER_CLICK] = "C850FF",
    [OVER_PICK] = "78FF5A", [OVER_CROSS] = "FFFFFF",
};
static const double wide[OVER_KINDS] = {
    [OVER_LINE] = 0.6,  [OVER_STRONG] = 1.1, [OVER_SHAPE] = 1.2, [OVER_MOVE] = 1.4,
    [OVER_GHOST] = 2.6, [OVER_CLICK] = 3.4,  [OVER_PICK] = 3.4,  [OVER_CROSS] = 1.4};
static const double width = 1280, height = 720;

static void begin(struct buf *ass, enum over_kind kind)
{
    /* the crosshair must be seen on white paint, too */
    buf_printf(ass, "%s{\\an7\\pos(0,0)\\bord%s\\shad0\\1c&H%s&%s\\p1}", ass->n ? "\n" : "",
               kind == OVER_CROSS ? "0.7\\3c&H000000&" : "0", inks[kind],
               kind == OVER_LINE ? "\\1a&H60&" : "");
}

/* Tenths of the space's unit, with a space behind; there are thousands of them in each picture, for
 * which printf() takes too long. */
static void put_number(struct buf *ass, double v)
{
    char text[24], *at = text + sizeof text;
    long tenths = lround(fabs(v) * 10);
    *--at = ' ';
    *--at = (char)('0' + tenths % 10);
    *--at = '.';
    tenths /= 10;
    do
        *--at = (char)('0' + tenths % 10);
    while (tenths /= 10);
    if (v < 0)
        *--at = '-';
    buf_add(ass, at, (size_t)(text + sizeof text - at));
}

/* A closed shape. */
static void put_corners(struct buf *ass, const double (*at)[2], size_t n)
{
    for (size_t i = 0; i < n; i++) {
        if (i < 2)
            buf_add(ass, i ? "l " : "m ", 2);
        put_number(ass, at[i][0]);
        put_number(ass, at[i][1]);
    }
}

static void put_line(struct buf *ass, const struct over_frame *at, const struct over_line *l)
{
    const double x0 = (at->x + at->w * l->x0) * width, y0 = (at->y + at->h * l->y0) * height;
    const double x1 = (at->x + at->w * l->x1) * width, y1 = (at->y + at->h * l->y1) * height;
    const double length = hypot(x1 - x0, y1 - y0);
    if (!(length > 0) || !(length < 4 * width) || !(fabs(x0) < 9 * width && fabs(y0) < 9 * width))
        return;
    const double nx = -(y1 - y0) / length * wide[l->kind] / 2,
                 ny = (x1 - x0) / length * wide[l->kind] / 2;
    const double corners[4][2] = {
        {x0 + nx, y0 + ny}, {x1 + nx, y1 + ny}, {x1 - nx, y1 - ny}, {x0 - nx, y0 - ny}};
    put_corners(ass, corners, 4);
}

static void put_dot(struct buf *ass, const struct over_frame *at, const struct over_dot *d)
{
    static const double h = 0.70710678118654752;
    static const double octagon[8][2] = {{1, 0},  {h, h},   {0, 1},  {-h, h},
                                         {-1, 0}, {-h, -h}, {0, -1}, {h, -h}};
    double corners[8][2];
    for (int i = 0; i < 8; i++) {
        corners[i][0] = (at->x + at->w * d->x) * width + wide[d->kind] * octagon[i][0];
        corners[i][1] = (at->y + at->h * d->y) * height + wide[d->kind] * octagon[i][1];
    }
    put_corners(ass, (const double(*)[2])corners, 8);
}

static void put_label(struct buf *ass, const struct over_frame *at, const struct over_dot *d)
{
    buf_printf(ass, "\n{\\an7\\pos(%ld,%ld)\\fs13\\bord1\\shad0\\q2\\1c&H%s&}",
               lround((at->x + at->w * d->x) * width) + 4,
               lround((at->y + at->h * d->y) * height) - 14, inks[d->kind]);
    for (const char *s = d->label; *s; s++)
        if (!strchr("{}\\", *s) && (unsigned char)*s >= ' ')
            buf_char(ass, *s);
}

static bool in_sight(const struct over_dot *d)
{
    return fabs(d->x) < 4 && fabs(d->y) < 4;
}

/* All of one kind are one event. */
static void put_kind(const struct over *o, const struct over_frame *at, enum over_kind kind,
                     struct buf *ass)
{
    struct buf drawn = {0};
    for (size_t i = 0; i < o->n_lines; i++)
        if (o->lines[i].kind == kind)
            put_line(&drawn, at, &o->lines[i]);
    for (size_t i = 0; i < o->n_dots; i++)
        if (o->dots[i].kind == kind && in_sight(&o->dots[i]))
            put_dot(&drawn, at, &o->dots[i]);
    if (drawn.n) {
        begin(ass, kind);
        buf_add(ass, drawn.p, drawn.n);
    }
    buf_free(&drawn);
}

void over_shapes(const struct over *o, const struct over_frame *at, struct buf *ass)
{
    for (int kind = 0; kind < OVER_KINDS; kind++)
        put_kind(o, at, (enum over_kind)kind, ass);
    for (size_t i = 0; i < o->n_dots; i++)
        if (*o->dots[i].label && in_sight(&o->dots[i]))
            put_label(ass, at, &o->dots[i]);
}
