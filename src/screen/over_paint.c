/* Lines and dots into the pixels of a picture. */
#include <math.h>
#include <string.h>

#include "command/measuring.h"
#include "screen/over.h"

/* R G B, and how much of them; the crosshair and clicks must be seen on any ground. */
static const struct ink {
    uint8_t rgb[3];
    double cover;
} inks[OVER_KINDS] = {
    [OVER_LINE] = {{90, 200, 255}, 0.55},  [OVER_STRONG] = {{90, 200, 255}, 0.9},
    [OVER_SHAPE] = {{255, 210, 60}, 0.9},  [OVER_MOVE] = {{255, 120, 60}, 1},
    [OVER_GHOST] = {{255, 210, 60}, 0.85}, [OVER_CLICK] = {{255, 80, 200}, 1},
    [OVER_PICK] = {{90, 255, 120}, 1},     [OVER_CROSS] = {{255, 255, 255}, 1},
};

struct sheet {
    uint8_t *px;
    int width, height;
    int left, top, right, bottom; /* where the clip's picture is: nothing is drawn beside it */
};

static void blend(const struct sheet *s, int x, int y, const struct ink *ink, double part)
{
    if (x < s->left || y < s->top || x >= s->right || y >= s->bottom || part <= 0)
        return;
    uint8_t *p = s->px + 4 * ((size_t)y * (size_t)s->width + (size_t)x);
    const double cover = ink->cover * fmin(part, 1);
    for (int k = 0; k < 3; k++)
        p[k] = (uint8_t)(p[k] + cover * (ink->rgb[k] - p[k]) + 0.5);
}

/* A line one pixel wide, its edge shared between two pixels. */
static void line(const struct sheet *s, const double a[2], const double b[2], const struct ink *ink)
{
    const double dx = b[0] - a[0], dy = b[1] - a[1], length = fmax(fabs(dx), fabs(dy));
    if (!(length < 20000))
        return;
    const int steps = (int)ceil(length);
    for (int i = 0; i <= steps; i++) {
        const double t = steps ? (double)i / steps : 0, x = a[0] + t * dx, y = a[1] + t * dy;
        if (fabs(dx) >= fabs(dy)) {
            const double low = floor(y - 0.5), share = y - 0.5 - low;
            blend(s, (int)floor(x), (int)low, ink, 1 - share);
            blend(s, (int)floor(x), (int)low + 1, ink, share);
        } else {
            const double low = floor(x - 0.5), share = x - 0.5 - low;
            blend(s, (int)low, (int)floor(y), ink, 1 - share);
            blend(s, (int)low + 1, (int)floor(y), ink, share);
        }
    }
}

static void dot(const struct sheet *s, double x, double y, double radius, const struct ink *ink)
{
    for (int j = (int)floor(y - radius - 1); j <= (int)ceil(y + radius + 1); j++)
        for (int i = (int)floor(x - radius - 1); i <= (int)ceil(x + radius + 1); i++)
            blend(s, i, j, ink, radius + 0.5 - hypot(i + 0.5 - x, j + 0.5 - y));
}

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

struct pane_image over_paint(const struct over *o, const struct over_frame *at,
                             const struct pane_image *f, const struct over_room *room)
{
    double origin[2];
    static const char none[4];
    const int width = room->width, height = room->height;
    buf_clear(room->memory);
    for (size_t n = (size_t)width * (size_t)height; room->memory->n < 4 * n;)
        buf_add(room->memory, none, sizeof none);
    struct sheet s = {.px = (uint8_t *)room->memory->p, .width = width, .height = height};
    cut(o, at, f, &s, origin);
    s.left = (int)fmax(0, floor(at->x * f->width - origin[0]));
    s.top = (int)fmax(0, floor(at->y * f->height - origin[1]));
    s.right = (int)fmin(width, ceil((at->x + at->w) * f->width - origin[0]));
    s.bottom = (int)fmin(height, ceil((at->y + at->h) * f->height - origin[1]));
    const double size = fmax(1, width / 400.0);
    for (size_t i = 0; i < o->n_lines; i++) {
        const struct over_line *l = &o->lines[i];
        const double a[2] = {(at->x + at->w * l->x0) * f->width - origin[0],
                             (at->y + at->h * l->y0) * f->height - origin[1]};
        const double b[2] = {(at->x + at->w * l->x1) * f->width - origin[0],
                             (at->y + at->h * l->y1) * f->height - origin[1]};
        line(&s, a, b, &inks[l->kind]);
    }
    for (size_t i = 0; i < o->n_dots; i++) {
        const struct over_dot *d = &o->dots[i];
        dot(&s, (at->x + at->w * d->x) * f->width - origin[0],
            (at->y + at->h * d->y) * f->height - origin[1],
            size * (d->kind == OVER_GHOST ? 0.8 : 1.2), &inks[d->kind]);
    }
    return (struct pane_image){s.px, width, height, 4 * (size_t)width};
}
