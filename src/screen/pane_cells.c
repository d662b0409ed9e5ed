#include "screen/pane_cells.h"

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
    palette_close(&c->palette);
    *c = (struct cells){0};
}

void cells_place(struct cells *c, int row, int col, int rows, int cols)
{
    c->row = row;
    c->col = col;
    c->rows = rows;
    c->cols = cols;
    c->shown = xrealloc(c->shown, (size_t)rows * (size_t)cols * sizeof *c->shown);
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

struct cell cell_of(uint32_t glyph, ink fg, ink bg)
{
    return (struct cell){glyph, glyph == SPACE ? INK_UNKNOWN : fg,
                         glyph == FULL ? INK_UNKNOWN : bg};
}

static void split(const struct cell *shown, ink *top, ink *bottom)
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

static rgb seen(ink c)
{
    return c & INK_INDEX ? palette_rgb((int)(c & 0xff)) : c;
}

/* How far a colour on the screen is from a pixel; in a palette, how much farther than need be. */
static int off(struct cells *c, ink have, rgb px)
{
    if (have & (INK_OWN | INK_UNKNOWN))
        return 256;
    if (c->colors == TERM_TRUECOLOR)
        return rgb_apart(seen(have), px);
    const ink best = INK_INDEX | (ink)palette_nearest(&c->palette, px);
    if (have == best)
        return 0;
    const int more = rgb_apart(seen(have), px) - rgb_apart(seen(best), px);
    return more > 1 ? more : 1;
}

static ink pick(struct cells *c, rgb px)
{
    if (c->colors == TERM_TRUECOLOR)
        return px;
    return INK_INDEX | (ink)palette_nearest(&c->palette, px);
}

struct option {
    int cost; /* bytes */
    struct cell cell;
};

static void offer(struct option *best, int cost, uint32_t glyph, ink fg, ink bg)
{
    if (cost < best->cost)
        *best = (struct option){cost, {glyph, fg, bg}};
}

/* The cheapest way to show two pixels with the pen as it is. No full block: in many fonts it leaves
 * a line of the cell bare, in whatever paper colour is there. */
static struct cell cheapest(struct cells *c, const struct brush *b, rgb top, rgb bottom, int near)
{
    const int change = c->colors == TERM_TRUECOLOR ? 17 : c->colors == TERM_256 ? 10 : 4;
    const bool same = c->colors == TERM_TRUECOLOR ? rgb_apart(top, bottom) <= near
                                                  : pick(c, top) == pick(c, bottom);
    const bool fg_top = off(c, b->fg, top) <= near, fg_bottom = off(c, b->fg, bottom) <= near;
    const bool bg_top = off(c, b->bg, top) <= near, bg_bottom = off(c, b->bg, bottom) <= near;
    struct option best = {.cost = 1 << 20};
    if (bg_top && bg_bottom)
        offer(&best, 1, SPACE, INK_UNKNOWN, b->bg);
    if (same || !c->utf8)
        offer(&best, 1 + change, SPACE, INK_UNKNOWN, pick(c, top));
    if (c->utf8) {
        offer(&best, 3 + (fg_top ? 0 : change) + (bg_bottom ? 0 : change), UPPER,
              fg_top ? b->fg : pick(c, top), bg_bottom ? b->bg : pick(c, bottom));
        offer(&best, 3 + (fg_bottom ? 0 : change) + (bg_top ? 0 : change), LOWER,
              fg_bottom ? b->fg : pick(c, bottom), bg_top ? b->bg : pick(c, top));
    }
    return best.cell;
}

static rgb mean(rgb a, rgb b)
{
    return (a & b) + (((a ^ b) & 0xfefefeu) >> 1);
}

bool cells_halves(struct cells *c, const rgb *px, struct cells_care care, size_t *at,
                  struct brush *b, size_t limit)
{
    const size_t cols = (size_t)c->cols, all = cols * (size_t)c->rows;
    for (; *at < all; ++*at) {
        const size_t row = *at / cols, col = *at % cols;
        rgb top = px[2 * row * cols + col], bottom = px[(2 * row + 1) * cols + col];
        if (!c->utf8)
            top = bottom = mean(top, bottom);
        ink shown_top, shown_bottom;
        split(&c->shown[*at], &shown_top, &shown_bottom);
        if (off(c, shown_top, top) <= care.skip && off(c, shown_bottom, bottom) <= care.skip)
            continue;
        if (b->out->n + BRUSH_PUT_MOST + BRUSH_END_MOST > limit)
            return false;
        const struct cell cell = cheapest(c, b, top, bottom, care.near);
        brush_put(b, c->row + (int)row, c->col + (int)col, cell.glyph, cell.fg, cell.bg);
        c->shown[*at] = cell;
    }
    return true;
}

bool cells_grid(struct cells *c, const struct cell *want, size_t *at, struct brush *b, size_t limit)
{
    const size_t cols = (size_t)c->cols, all = cols * (size_t)c->rows;
    for (; *at < all; ++*at) {
        const struct cell *w = &want[*at], *s = &c->shown[*at];
        if (w->glyph == s->glyph && w->fg == s->fg && w->bg == s->bg)
            continue;
        if (b->out->n + BRUSH_PUT_MOST + BRUSH_END_MOST > limit)
            return false;
        brush_put(b, c->row + (int)(*at / cols), c->col + (int)(*at % cols), w->glyph, w->fg,
                  w->bg);
        c->shown[*at] = *w;
    }
    return true;
}

int cells_skip_for(struct cells *c, const rgb *px, int care, int worst, size_t bytes)
{
    enum { PER_CELL = 24 };
    size_t by_error[257] = {0};
    const size_t cols = (size_t)c->cols;
    for (size_t i = 0; i < cols * (size_t)c->rows; i++) {
        const rgb *top = px + 2 * (i / cols) * cols + i % cols;
        ink shown_top, shown_bottom;
        split(&c->shown[i], &shown_top, &shown_bottom);
        const int t = off(c, shown_top, top[0]), l = off(c, shown_bottom, top[cols]);
        by_error[t > l ? t : l]++;
    }
    size_t cells = 0;
    int skip = 256;
    while (skip > care && (cells + by_error[skip]) * PER_CELL <= bytes)
        cells += by_error[skip--];
    return skip < worst ? skip : worst;
}

void cells_shades(const struct cells *c, const rgb *px, struct cell *want)
{
    static const uint32_t shade[5] = {SPACE, 0x2591, 0x2592, 0x2593, FULL};
    static const char ramp[] = " .:-=+*#%@";
    const size_t cols = (size_t)c->cols;
    for (size_t i = 0; i < cols * (size_t)c->rows; i++) {
        const rgb *p = px + 2 * (i / cols) * cols + i % cols;
        const int top = rgb_luma(p[0]), bottom = rgb_luma(p[cols]), middle = (top + bottom) / 2;
        uint32_t glyph = (uint32_t)ramp[middle * 10 / 256];
        if (c->utf8 && abs(top - bottom) >= 64)
            glyph = top > bottom ? UPPER : LOWER;
        else if (c->utf8)
            glyph = shade[middle * 5 / 256];
        want[i] = cell_of(glyph, INK_OWN, INK_OWN);
    }
}
