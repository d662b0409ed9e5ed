#include <math.h>
#include <string.h>

#include "demo/canvas.h"

enum { TILE = 16, NOW = 1, BEFORE = 2 };

struct block {
    int x0, y0, x1, y1;
};

static struct block block_of(const struct canvas *c, int column, int row)
{
    const int x0 = column * TILE, y0 = row * TILE;
    return (struct block){x0, y0, x0 + TILE < c->width ? x0 + TILE : c->width,
                          y0 + TILE < c->height ? y0 + TILE : c->height};
}

static uint32_t *pixels(cairo_surface_t *s, int x, int y)
{
    unsigned char *row =
        cairo_image_surface_get_data(s) + (ptrdiff_t)cairo_image_surface_get_stride(s) * y;
    return (uint32_t *)(void *)row + x;
}

/* ITU-R BT.709, limited range: Kr = 0.2126, Kb = 0.0722, in 1/65536. */
static uint8_t luma(int r, int g, int b)
{
    return (uint8_t)((11966 * r + 40254 * g + 4064 * b + (16 << 16) + 32768) >> 16);
}

static uint8_t blue(int r, int g, int b)
{
    return (uint8_t)((-6596 * r - 22189 * g + 28785 * b + (128 << 16) + 32768) >> 16);
}

static uint8_t red(int r, int g, int b)
{
    return (uint8_t)((28785 * r - 26145 * g - 2640 * b + (128 << 16) + 32768) >> 16);
}

/* Rows and columns apart, so that the compiler can take many pixels at a time. */
static void convert_luma(const uint32_t *restrict from, uint8_t *restrict to, int n)
{
    for (int i = 0; i < n; i++)
        to[i] = luma(from[i] >> 16 & 255, from[i] >> 8 & 255, from[i] & 255);
}

static void convert_chroma(const uint32_t *restrict top, const uint32_t *restrict low,
                           uint8_t *restrict u, uint8_t *restrict v, int n)
{
    for (int i = 0; i < n; i++) {
        /* Two channels of a pixel in one word: their sums of four stay below 2^16. */
        const uint32_t a = top[2 * i], b = top[2 * i + 1], c = low[2 * i], d = low[2 * i + 1];
        const uint32_t outer =
            (a & 0xff00ffu) + (b & 0xff00ffu) + (c & 0xff00ffu) + (d & 0xff00ffu);
        const uint32_t inner = (a >> 8 & 255) + (b >> 8 & 255) + (c >> 8 & 255) + (d >> 8 & 255);
        const int r = (int)(((outer >> 16) + 2) / 4), g = (int)((inner + 2) / 4),
                  bl = (int)(((outer & 0xffff) + 2) / 4);
        u[i] = blue(r, g, bl);
        v[i] = red(r, g, bl);
    }
}

static void convert(struct canvas *c, struct block k)
{
    const int n = k.x1 - k.x0;
    for (int y = k.y0; y < k.y1; y += 2) {
        const uint32_t *top = pixels(c->page, k.x0, y), *low = pixels(c->page, k.x0, y + 1);
        uint8_t *luma_row = c->planes.y + y * c->width + k.x0;
        const int at = y / 2 * (c->width / 2) + k.x0 / 2;
        convert_luma(top, luma_row, n);
        convert_luma(low, luma_row + c->width, n);
        convert_chroma(top, low, c->planes.u + at, c->planes.v + at, n / 2);
    }
}

static void restore(struct canvas *c, struct block k)
{
    for (int y = k.y0; y < k.y1; y++)
        memcpy(pixels(c->page, k.x0, y), pixels(c->ground, k.x0, y),
               (size_t)(k.x1 - k.x0) * sizeof(uint32_t));
}

static void each_tile(struct canvas *c, uint8_t bits, void (*fn)(struct canvas *, struct block))
{
    for (int row = 0; row < c->rows; row++)
        for (int column = 0; column < c->columns; column++)
            if (c->tile[row * c->columns + column] & bits)
                fn(c, block_of(c, column, row));
}

bool canvas_open(struct arena *a, struct canvas *c, cairo_surface_t *ground, int width, int height)
{
    const size_t area = (size_t)width * (size_t)height;
    *c = (struct canvas){.width = width,
                         .height = height,
                         .ground = ground,
                         .columns = (width + TILE - 1) / TILE,
                         .rows = (height + TILE - 1) / TILE};
    c->page = cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height);
    c->cr = cairo_create(c->page);
    if (cairo_status(c->cr) != CAIRO_STATUS_SUCCESS ||
        cairo_surface_status(ground) != CAIRO_STATUS_SUCCESS)
        return false;
    cairo_set_antialias(c->cr, CAIRO_ANTIALIAS_FAST);
    c->planes =
        (struct planes){arena_alloc(a, area), arena_alloc(a, area / 4), arena_alloc(a, area / 4)};
    const size_t tiles = (size_t)c->columns * (size_t)c->rows;
    c->tile = arena_alloc(a, tiles);
    memset(c->tile, NOW, tiles);
    return true;
}

void canvas_close(struct canvas *c)
{
    cairo_destroy(c->cr);
    cairo_surface_destroy(c->page);
    cairo_surface_destroy(c->ground);
}

void canvas_ground(struct canvas *c, cairo_surface_t *ground)
{
    cairo_surface_destroy(c->ground);
    c->ground = ground;
    memset(c->tile, NOW, (size_t)c->columns * (size_t)c->rows);
}

void canvas_clear(struct canvas *c)
{
    cairo_surface_flush(c->page);
    each_tile(c, NOW, restore);
    cairo_surface_mark_dirty(c->page);
    for (int i = 0; i < c->columns * c->rows; i++)
        c->tile[i] = c->tile[i] & NOW ? BEFORE : 0;
}

void canvas_touch(struct canvas *c, double left, double top, double right, double bottom)
{
    const int x0 = (int)fmax(0, floor(left / TILE)), y0 = (int)fmax(0, floor(top / TILE));
    const int x1 = (int)fmin(c->columns - 1, floor(right / TILE));
    const int y1 = (int)fmin(c->rows - 1, floor(bottom / TILE));
    for (int y = y0; y <= y1; y++)
        for (int x = x0; x <= x1; x++)
            c->tile[y * c->columns + x] |= NOW;
}

void canvas_finish(struct canvas *c)
{
    cairo_surface_flush(c->page);
    each_tile(c, NOW | BEFORE, convert);
}
