/* Lines and dots into the pixels of a picture. */
#include <math.h>
#include <string.h>

#include "command/measuring.h"
#include "screen/over.h"

/* R G B A, and how much of them, of 256; the crosshair and clicks must be seen on any ground. */
static const struct ink {
    uint8_t rgba[4];
    uint32_t cover;
} inks[OVER_KINDS] = {
    [OVER_LINE] = {{90, 200, 255, 255}, 140},  [OVER_STRONG] = {{90, 200, 255, 255}, 230},
    [OVER_SHAPE] = {{255, 210, 60, 255}, 230}, [OVER_MOVE] = {{255, 120, 60, 255}, 256},
    [OVER_GHOST] = {{255, 210, 60, 255}, 218}, [OVER_CLICK] = {{255, 80, 200, 255}, 256},
    [OVER_PICK] = {{90, 255, 120, 255}, 256},  [OVER_CROSS] = {{255, 255, 255, 255}, 256},
};

static const struct ink shadow = {{0, 0, 0, 255}, 256};

/* Pixels from the picture's corner from which on nothing is drawn. */
static const double too_far = 20000;

struct sheet {
    uint8_t *px;
    int width, height;
    int left, top, right, bottom; /* where the clip's picture is: nothing is drawn beside it */
};

/* The pixel that a place lies in; floor() is a call for each of many thousands. */
static int below(double v)
{
    return (int)(v + too_far) - (int)too_far;
}

/* Two bytes of a pixel at once, and the two between them. */
static uint32_t mixed(uint32_t under, uint32_t ink, uint32_t cover)
{
    static const uint32_t half = 0x00ff00ff, round = 0x00800080;
    const uint32_t a = (under & half) * (256 - cover) + (ink & half) * cover + round,
                   b = (under >> 8 & half) * (256 - cover) + (ink >> 8 & half) * cover + round;
    return (a >> 8 & half) | (b & ~half);
}

static void blend(const struct sheet *s, int x, int y, const struct ink *ink, double part)
{
    uint32_t under, color;
    if (x < s->left || y < s->top || x >= s->right || y >= s->bottom || part <= 0)
        return;
    uint8_t *p = s->px + 4 * ((size_t)y * (size_t)s->width + (size_t)x);
    memcpy(&under, p, sizeof under);
    memcpy(&color, ink->rgba, sizeof color);
    const uint32_t now = mixed(under, color, (uint32_t)(ink->cover * (part < 1 ? part : 1)));
    memcpy(p, &now, sizeof now);
}

/* A line one pixel wide, its edge shared between two pixels. */
static void line(const struct sheet *s, const double a[2], const double b[2], const struct ink *ink)
{
    const double dx = b[0] - a[0], dy = b[1] - a[1], length = fmax(fabs(dx), fabs(dy));
    if (!(length < too_far && fabs(a[0]) < too_far / 2 && fabs(a[1]) < too_far / 2))
        return;
    const int steps = (int)ceil(length);
    const bool flat = fabs(dx) >= fabs(dy);
    for (int i = 0; i <= steps; i++) {
        const double t = steps ? (double)i / steps : 0, x = a[0] + t * dx, y = a[1] + t * dy;
        const double edge = (flat ? y : x) - 0.5;
        const int low = below(edge), along = below(flat ? x : y);
        const double share = edge - low;
        blend(s, flat ? along : low, flat ? low : along, ink, 1 - share);
        blend(s, flat ? along : low + 1, flat ? low + 1 : along, ink, share);
    }
}

static void dot(const struct sheet *s, double x, double y, double radius, const struct ink *ink)
{
    if (!(fabs(x) < too_far / 2 && fabs(y) < too_far / 2))
        return;
    for (int j = below(y - radius - 1); j <= below(y + radius + 1); j++)
        for (int i = below(x - radius - 1); i <= below(x + radius + 1); i++) {
            const double across = i + 0.5 - x, down = j + 0.5 - y;
            blend(s, i, j, ink, radius + 0.5 - sqrt(across * across + down * down));
        }
}

/* --- labels ---------------------------------------------------------------------------------------- */

/* Three by five dots of the letters and digits that labels are made of, a row in each octal digit. */
static unsigned glyph_of(char c)
{
    static const unsigned digits[] = {075557, 026227, 071747, 071717, 055711,
                                      074717, 074757, 071222, 075757, 075717};
    static const unsigned letters[] = {025755, 065656, 034443, 065556, 074647, 074644, 034553,
                                       055755, 072227, 011152, 055655, 044447, 057755, 065555,
                                       025552, 065644, 025563, 065655, 034216, 072222, 055557,
                                       055552, 055775, 055255, 055222, 071247};
    return c >= '0' && c <= '9'   ? digits[c - '0']
           : c >= 'A' && c <= 'Z' ? letters[c - 'A']
           : c >= 'a' && c <= 'z' ? letters[c - 'a']
           : c == '-'             ? 000700
                                  : 0;
}

/* Some dots next to each other, each `size` pixels wide and high. */
static void bar(const struct sheet *s, const int at[2], int n, int size, const struct ink *ink)
{
    const int left = at[0] > s->left ? at[0] : s->left, end = at[0] + n * size,
              right = end < s->right ? end : s->right;
    for (int y = at[1]; y < at[1] + size; y++) {
        if (y < s->top || y >= s->bottom)
            continue;
        uint8_t *row = s->px + 4 * (size_t)y * (size_t)s->width;
        for (int x = left; x < right; x++)
            memcpy(row + 4 * x, ink->rgba, sizeof ink->rgba);
    }
}

static void glyph(const struct sheet *s, const int at[2], int size, unsigned dots,
                  const struct ink *ink)
{
    for (int row = 0; row < 5; row++) {
        const unsigned three = dots >> (3 * (4 - row)) & 7;
        for (int i = 0, n; i < 3; i += n) {
            const unsigned on = three >> (2 - i) & 1;
            for (n = 1; i + n < 3 && (three >> (2 - i - n) & 1) == on; n++)
                ;
            if (on)
                bar(s, (int[]){at[0] + i * size, at[1] + row * size}, n, size, ink);
        }
    }
}

/* Beside what it names, over its own shadow; in a picture of few pixels no letter could be read. */
static void label(const struct sheet *s, double x, double y, const char *text,
                  const struct ink *ink)
{
    enum { LEAST_WIDTH = 360, DOT_EVERY = 560 };
    const int size = 1 + s->width / DOT_EVERY;
    if (s->width < LEAST_WIDTH || !(fabs(x) < too_far / 2 && fabs(y) < too_far / 2))
        return;
    int at[2] = {(int)x + 2 * size, (int)y - 6 * size};
    for (; *text; text++) {
        if (((unsigned char)*text & 0xC0) == 0x80) /* one gap for a character, however long */
            continue;
        glyph(s, (int[]){at[0] + 1, at[1] + 1}, size, glyph_of(*text), &shadow);
        glyph(s, at, size, glyph_of(*text), ink);
        at[0] += 4 * size;
    }
}

/* --- the picture ----------------------------------------------------------------------------------- */

struct over_frame over_fitted(int width, int height, int pane_width, int pane_height)
{
    const double across = (double)pane_width / width, down = (double)pane_height / height;
    const double scale = across < down ? across : down;
    const double w = width * scale / pane_width, h = height * scale / pane_height;
    return (struct over_frame){(1 - w) / 2, (1 - h) / 2, w, h};
}

/* Where the part that is shown begins, of a picture `size` wide or high in a room for less. */
static double begins(double at, double room, double size)
{
    return fmin(fmax(at * size - room / 2, 0), size - room);
}

/* The part of a picture that is larger than the room for it. */
static void cut(const struct over *o, const struct over_frame *at, const struct pane_image *f,
                const struct sheet *s, double origin[2])
{
    origin[0] = floor(begins(at->x + at->w * o->x, s->width, f->width));
    origin[1] = floor(begins(at->y + at->h * o->y, s->height, f->height));
    for (int row = 0; row < s->height; row++)
        memcpy(s->px + 4 * (size_t)row * (size_t)s->width,
               f->rgba + ((size_t)origin[1] + (size_t)row) * f->stride + 4 * (size_t)origin[0],
               4 * (size_t)s->width);
}

struct pane_spot over_place(const struct measuring *m, const struct over_frame *fit, int times,
                            double u, double v)
{
    const double cx = m && m->clip_width > 0 ? m->cross.x / m->clip_width : 0.5;
    const double cy = m && m->clip_height > 0 ? m->cross.y / m->clip_height : 0.5;
    const double x = begins(fit->x + fit->w * cx, 1, times) + u,
                 y = begins(fit->y + fit->h * cy, 1, times) + v;
    return (struct pane_spot){(x / times - fit->x) / fit->w, (y / times - fit->y) / fit->h};
}

static void room_for(struct buf *memory, size_t n)
{
    static const char none[1 << 16];
    while (memory->n < n) /* it keeps what it has: this is done once for a size */
        buf_add(memory, none, n - memory->n < sizeof none ? n - memory->n : sizeof none);
}

struct pane_image over_paint(const struct over *o, const struct over_frame *at,
                             const struct pane_image *f, const struct over_room *room)
{
    double origin[2];
    const int width = room->width, height = room->height;
    room_for(room->memory, 4 * (size_t)width * (size_t)height);
    struct sheet s = {.px = (uint8_t *)room->memory->p, .width = width, .height = height};
    cut(o, at, f, &s, origin);
    s.left = (int)fmax(0, floor(at->x * f->width - origin[0]));
    s.top = (int)fmax(0, floor(at->y * f->height - origin[1]));
    s.right = (int)fmin(width, ceil((at->x + at->w) * f->width - origin[0]));
    s.bottom = (int)fmin(height, ceil((at->y + at->h) * f->height - origin[1]));
    const double w = at->w * f->width, h = at->h * f->height, size = fmax(1, width / 400.0),
                 left = at->x * f->width - origin[0], top = at->y * f->height - origin[1];
    for (size_t i = 0; i < o->n_lines; i++) {
        const struct over_line *l = &o->lines[i];
        const double a[2] = {left + w * l->x0, top + h * l->y0},
                     b[2] = {left + w * l->x1, top + h * l->y1};
        if (l->kind == OVER_CROSS) /* seen on white paint, too */
            line(&s, (double[]){a[0] + 1, a[1] + 1}, (double[]){b[0] + 1, b[1] + 1}, &shadow);
        line(&s, a, b, &inks[l->kind]);
    }
    for (size_t i = 0; i < o->n_dots; i++) {
        const struct over_dot *d = &o->dots[i];
        const double x = left + w * d->x, y = top + h * d->y;
        dot(&s, x, y, size * (d->kind == OVER_GHOST ? 0.8 : 1.2), &inks[d->kind]);
        label(&s, x, y, d->label, &inks[d->kind]);
    }
    return (struct pane_image){s.px, width, height, 4 * (size_t)width};
}
