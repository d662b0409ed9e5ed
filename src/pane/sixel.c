#include "pane/graphics.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

enum { LEVELS = 6, BAND = 6 };

/* One colour of a band: where it begins and ends, and its bits, one byte a column. */
struct plane {
    int color, from, to;
    uint8_t *bits;
};

static int level(uint32_t value, int threshold)
{
    /* value / 255 of (LEVELS - 1) steps, rounded up where the rest exceeds the threshold / 64 */
    return ((int)value * (LEVELS - 1) * 64 / 255 + threshold) >> 6;
}

static int color_at(uint32_t px, int x, int y)
{
    static const uint8_t bayer[4][4] = {
        {0, 8, 2, 10}, {12, 4, 14, 6}, {3, 11, 1, 9}, {15, 7, 13, 5}};
    /* not the whole step: less grain, shorter runs, and the mean is still near */
    const int t = 9 + bayer[y & 3][x & 3] * 3;
    const int r = level(px >> 16 & 255, t), g = level(px >> 8 & 255, t), b = level(px & 255, t);
    return (r * LEVELS + g) * LEVELS + b;
}

/* Sixel colours are in percent. */
static void define(struct buf *out, int color)
{
    const int step = 100 / (LEVELS - 1);
    buf_printf(out, "#%d;2;%d;%d;%d", color, color / (LEVELS * LEVELS) * step,
               color / LEVELS % LEVELS * step, color % LEVELS * step);
}

static void run(struct buf *out, int n, uint8_t bits)
{
    const char c = (char)('?' + bits);
    if (n > 3) {
        buf_printf(out, "!%d%c", n, c);
        return;
    }
    while (n-- > 0)
        buf_char(out, c);
}

static void plane_add(struct buf *out, const struct plane *p, int *x)
{
    buf_printf(out, "#%d", p->color);
    run(out, p->from - *x, 0);
    for (int i = p->from; i <= p->to;) {
        int n = 1;
        while (i + n <= p->to && p->bits[i + n] == p->bits[i])
            n++;
        run(out, n, p->bits[i]);
        i += n;
    }
    *x = p->to + 1;
}

static int by_start(const void *a, const void *b)
{
    const struct plane *p = a, *q = b;
    return p->from != q->from ? p->from - q->from : p->to - q->to;
}

/* Writes the planes of one band. Colours that do not overlap share one pass over the line. */
static void band_add(struct buf *out, struct plane *planes, int n)
{
    qsort(planes, (size_t)n, sizeof *planes, by_start);
    for (int left = n, first = 1; left > 0; first = 0) {
        int x = 0;
        if (!first)
            buf_char(out, '$');
        for (int i = 0; i < n; i++) {
            if (planes[i].color < 0 || planes[i].from < x)
                continue;
            plane_add(out, &planes[i], &x);
            planes[i].color = -1;
            left--;
        }
    }
}

/* Sorts the pixels of a band into planes; returns how many there are. */
static int band_split(struct sixel *s, const uint32_t *px, int width, int rows, int y,
                      struct plane *planes)
{
    int16_t slot[SIXEL_COLORS];
    memset(slot, -1, sizeof slot);
    int n = 0;
    for (int r = 0; r < rows; r++)
        for (int x = 0; x < width; x++) {
            const int color = color_at(px[r * width + x], x, y + r);
            if (slot[color] < 0) {
                slot[color] = (int16_t)n;
                planes[n] = (struct plane){color, x, x, s->bits + (size_t)n * (size_t)width};
                memset(planes[n++].bits, 0, (size_t)width);
            }
            struct plane *p = &planes[slot[color]];
            p->bits[x] |= (uint8_t)(1 << r);
            p->from = x < p->from ? x : p->from;
            p->to = x > p->to ? x : p->to;
        }
    return n;
}

static void define_used(struct buf *out, const uint32_t *px, int width, int height, int y0)
{
    bool used[SIXEL_COLORS] = {false};
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++)
            used[color_at(px[y * width + x], x, y0 + y)] = true;
    for (int i = 0; i < SIXEL_COLORS; i++)
        if (used[i])
            define(out, i);
}

void sixel_add(struct sixel *s, struct buf *out, const struct sixel_strip *strip)
{
    const int width = strip->width, height = strip->height, y0 = strip->y0;
    const size_t need = (size_t)width * SIXEL_COLORS;
    if (s->room < need) {
        s->bits = xrealloc(s->bits, need);
        s->room = need;
    }
    buf_printf(out, "\033P0;1q\"1;1;%d;%d", width, height);
    define_used(out, strip->px, width, height, y0);
    struct plane planes[SIXEL_COLORS];
    for (int y = 0; y < height; y += BAND) {
        const int rows = height - y < BAND ? height - y : BAND;
        const int n =
            band_split(s, strip->px + (size_t)y * (size_t)width, width, rows, y0 + y, planes);
        if (y > 0)
            buf_char(out, '-');
        band_add(out, planes, n);
    }
    buf_str(out, "\033\\");
}

void sixel_free(struct sixel *s)
{
    free(s->bits);
    *s = (struct sixel){0};
}
