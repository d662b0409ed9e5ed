#include "pane/cells.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

enum { SPACE = ' ', UPPER = 0x2580, LOWER = 0x2584, FULL = 0x2588 };

void cells_open(struct cells *c, enum term_colors colors, bool utf8)
{
    *c = (struct cells){.colors = colors, .utf8 = utf8};
    palette_open(&c->palette, colors);
}

void cells_close(struct cells *c)
{
    free(c->shown);
    free(c->source);
    palette_close(&c->palette);
    *c = (struct cells){0};
}

void cells_hole(struct cells *c, int row, int col, int rows, int cols)
{
    c->row = row;
    c->col = col;
    c->rows = rows;
    c->cols = cols;
    const size_t n = (size_t)rows * (size_t)cols;
    c->shown = xrealloc(c->shown, n * sizeof *c->shown);
    c->source = xrealloc(c->source, 2 * n * sizeof *c->source);
    cells_forget(c);
}

void cells_forget(struct cells *c)
{
    if (c->shown)
        memset(c->shown, 0, (size_t)c->rows * (size_t)c->cols * sizeof *c->shown);
}

void cells_unknown(struct cells *c, int first, int rows)
{
    const size_t cols = (size_t)c->cols;
    memset(c->shown + (size_t)first * cols, 0, (size_t)rows * cols * sizeof *c->shown);
}

struct patch patch_of(uint32_t glyph, ink fg, ink bg)
{
    return (struct patch){glyph, glyph == SPACE ? INK_UNKNOWN : fg,
                          glyph == FULL ? INK_UNKNOWN : bg};
}

static void split(const struct patch *shown, ink *top, ink *bottom)
{
    const bool upper = shown->glyph == UPPER || shown->glyph == FULL;
    const bool lower = shown->glyph == LOWER || shown->glyph == FULL;
    if (!upper && !lower && shown->glyph != SPACE) {
        *top = *bottom = INK_UNKNOWN;
        return;
    }
    *top = upper ? shown->fg : shown->bg;
    *bottom = lower ? shown->fg : shown->bg;
}

/* One of the two pixels that a cell is to show. */
struct half {
    rgb px;
    ink own; /* the colour to send for it */
};

static struct half half_of(struct cells *c, rgb px, size_t x, size_t y)
{
    if (c->colors == TERM_TRUECOLOR)
        return (struct half){px, px};
    return (struct half){px, INK_INDEX | (ink)palette_at(&c->palette, px, (int)x, (int)y)};
}

/* How far cell number i is from showing these pixels; 256 when that is not known. */
static int off(const struct cells *c, size_t i, rgb top, rgb bottom)
{
    const struct patch *shown = &c->shown[i];
    ink t, b;
    split(shown, &t, &b);
    if (t & (INK_OWN | INK_UNKNOWN) || b & (INK_OWN | INK_UNKNOWN))
        return 256;
    if (c->colors != TERM_TRUECOLOR) {
        t = c->source[2 * i];
        b = c->source[2 * i + 1];
    }
    const int upper = rgb_apart(t, top), lower = rgb_apart(b, bottom);
    return upper > lower ? upper : lower;
}

static bool fits(const struct cells *c, ink have, const struct half *h, int near)
{
    if (c->colors != TERM_TRUECOLOR)
        return have == h->own;
    return !(have & (INK_OWN | INK_UNKNOWN)) && rgb_apart(have, h->px) <= near;
}

struct option {
    int cost; /* bytes */
    struct patch cell;
};

static void offer(struct option *best, int cost, uint32_t glyph, ink fg, ink bg)
{
    if (cost < best->cost)
        *best = (struct option){cost, {glyph, fg, bg}};
}

/* The cheapest way to show two pixels with the pen as it is. Always the upper half: the lower one
 * would save 2 % of the bytes, but in many fonts the two do not meet at the same line, and the full
 * block leaves a line of the cell bare. */
static struct patch cheapest(const struct cells *c, const struct brush *b, const struct half *top,
                             const struct half *bottom, int near)
{
    const int change = c->colors == TERM_TRUECOLOR ? 17 : c->colors == TERM_256 ? 10 : 4;
    const bool fg_top = fits(c, b->fg, top, near);
    const bool bg_top = fits(c, b->bg, top, near), bg_bottom = fits(c, b->bg, bottom, near);
    struct option best = {.cost = 1 << 20};
    if (bg_top && bg_bottom)
        offer(&best, 1, SPACE, INK_UNKNOWN, b->bg);
    if (fits(c, top->own, bottom, near))
        offer(&best, 1 + change, SPACE, INK_UNKNOWN, top->own);
    if (!c->utf8)
        return best.cell;
    offer(&best, 3 + (fg_top ? 0 : change) + (bg_bottom ? 0 : change), UPPER,
          fg_top ? b->fg : top->own, bg_bottom ? b->bg : bottom->own);
    return best.cell;
}

static rgb mean(rgb a, rgb b)
{
    return (a & b) + (((a ^ b) & 0xfefefeu) >> 1);
}

/* Does a cell show just these inks already? */
static bool shows(const struct patch *shown, ink top, ink bottom)
{
    ink t, b;
    split(shown, &t, &b);
    return t == top && b == bottom;
}

bool cells_halves(struct cells *c, const rgb *px, struct cells_care care, size_t *at,
                  struct brush *b)
{
    const size_t cols = (size_t)c->cols, all = cols * (size_t)c->rows;
    for (; *at < all; ++*at) {
        const size_t y = *at / cols, x = *at % cols;
        rgb up = px[2 * y * cols + x], low = px[(2 * y + 1) * cols + x];
        if (!c->utf8)
            up = low = mean(up, low);
        if (off(c, *at, up, low) <= care.skip)
            continue;
        if (b->out->n + BRUSH_PUT_MOST + BRUSH_END_MOST > b->room)
            return false;
        const struct half top = half_of(c, up, x, c->utf8 ? 2 * y : y),
                          bottom = c->utf8 ? half_of(c, low, x, 2 * y + 1) : top;
        c->source[2 * *at] = up;
        c->source[2 * *at + 1] = low;
        if (shows(&c->shown[*at], top.own, bottom.own))
            continue;
        const struct patch cell = cheapest(c, b, &top, &bottom, care.near);
        brush_put(b, c->row + (int)y, c->col + (int)x, &cell);
        c->shown[*at] = cell;
    }
    return true;
}

bool cells_grid(struct cells *c, const struct patch *want, size_t *at, struct brush *b)
{
    const size_t cols = (size_t)c->cols, all = cols * (size_t)c->rows;
    for (; *at < all; ++*at) {
        const struct patch *w = &want[*at], *s = &c->shown[*at];
        if (w->glyph == s->glyph && w->fg == s->fg && w->bg == s->bg)
            continue;
        if (b->out->n + BRUSH_PUT_MOST + BRUSH_END_MOST > b->room)
            return false;
        brush_put(b, c->row + (int)(*at / cols), c->col + (int)(*at % cols), w);
        c->shown[*at] = *w;
    }
    return true;
}

int cells_skip_for(const struct cells *c, const rgb *px, int care, int worst, size_t bytes)
{
    enum { PER_CELL = 24 };
    size_t by_error[257] = {0};
    const size_t cols = (size_t)c->cols;
    for (size_t i = 0; i < cols * (size_t)c->rows; i++) {
        const rgb *top = px + 2 * (i / cols) * cols + i % cols;
        by_error[off(c, i, top[0], top[cols])]++;
    }
    size_t cells = 0;
    int skip = 256;
    while (skip > care && (cells + by_error[skip]) * PER_CELL <= bytes)
        cells += by_error[skip--];
    return skip < worst ? skip : worst;
}

void cells_shades(const struct cells *c, const rgb *px, struct patch *want)
{
    static const uint32_t shade[5] = {SPACE, 0x2591, 0x2592, 0x2593, FULL};
    static const char ramp[] = " .:-=+*#%@";
    const size_t cols = (size_t)c->cols;
    for (size_t i = 0; i < cols * (size_t)c->rows; i++) {
        const rgb *p = px + 2 * (i / cols) * cols + i % cols;
        const int flip = c->light ? 255 : 0; /* more ink is darker on light paper */
        const int top = rgb_luma(p[0]) ^ flip, bottom = rgb_luma(p[cols]) ^ flip;
        const int middle = (top + bottom) / 2;
        uint32_t glyph = (uint32_t)ramp[middle * 10 / 256];
        if (c->utf8 && abs(top - bottom) >= 64)
            glyph = top > bottom ? UPPER : LOWER;
        else if (c->utf8)
            glyph = shade[middle * 5 / 256];
        want[i] = patch_of(glyph, INK_OWN, INK_OWN);
    }
}
