#include <math.h>

#include "demo/spoil.h"
#include "demo/stance.h"

enum { GRAINS = 1 << 16, MOST_REACH = 64 };

struct spoiler {
    struct spoil how;
    int width, height;
    int reach;                    /* of the blur */
    float weight[MOST_REACH + 1]; /* of a pixel so far off */
    float *grain;                 /* normal, sd 1 */
    float *veil;                  /* share of white, per pixel */
    float *line, *page;           /* a padded row; a plane blurred along its rows */
    struct planes out;
};

bool spoil_does(const struct spoil *s)
{
    return s->blur_px > 0 || s->contrast != 1 || s->noise > 0 || s->glare > 0;
}

/* The sum is 1 over both sides. */
static void set_weights(struct spoiler *sp)
{
    const double sd = sp->how.blur_px;
    double sum = 0;
    sp->reach = sd > 0 ? (int)fmin(MOST_REACH, ceil(3 * sd)) : 0;
    for (int i = 0; i <= sp->reach; i++) {
        sp->weight[i] = sd > 0 ? (float)exp(-i * i / (2 * sd * sd)) : 1;
        sum += (double)sp->weight[i] * (i == 0 ? 1 : 2);
    }
    for (int i = 0; i <= sp->reach; i++)
        sp->weight[i] = (float)((double)sp->weight[i] / sum);
}

/* Brightest where the sun comes in, up at the left, with a wide skirt. */
static void set_veil(struct spoiler *sp)
{
    for (int v = 0; v < sp->height; v++) {
        for (int u = 0; u < sp->width; u++) {
            const double x = (double)u / sp->width - 0.18, y = (double)v / sp->width + 0.05;
            const double far2 = x * x + y * y;
            const double share = 0.6 * exp(-far2 / 0.05) + 0.4 * exp(-far2 / 0.4);
            sp->veil[v * sp->width + u] = (float)(sp->how.glare * share);
        }
    }
}

/* Box and Muller. */
static void set_grain(struct spoiler *sp)
{
    for (uint64_t i = 0; i < GRAINS; i += 2) {
        const double r = sqrt(-2 * log(1 - scatter_unit(sp->how.seed, 31, i)));
        const double turn = 2 * M_PI * scatter_unit(sp->how.seed, 32, i);
        sp->grain[i] = (float)(r * cos(turn));
        sp->grain[i + 1] = (float)(r * sin(turn));
    }
}

struct spoiler *spoiler_make(struct arena *a, const struct spoil *s, int width, int height)
{
    const size_t area = (size_t)width * (size_t)height;
    struct spoiler *sp = arena_alloc(a, sizeof *sp);
    *sp = (struct spoiler){.how = *s, .width = width, .height = height};
    sp->grain = arena_alloc(a, GRAINS * sizeof *sp->grain);
    sp->veil = arena_alloc(a, area * sizeof *sp->veil);
    sp->line = arena_alloc(a, ((size_t)width + 2 * MOST_REACH) * sizeof *sp->line);
    sp->page = arena_alloc(a, area * sizeof *sp->page);
    sp->out =
        (struct planes){arena_alloc(a, area), arena_alloc(a, area / 4), arena_alloc(a, area / 4)};
    set_weights(sp);
    set_grain(sp);
    set_veil(sp);
    return sp;
}

/* --- blur ------------------------------------------------------------------------------------- */

static int within(int i, int n)
{
    return i < 0 ? 0 : i < n ? i : n - 1;
}

static void blur_row(struct spoiler *sp, const uint8_t *restrict from, float *restrict to,
                     int width)
{
    const int reach = sp->reach;
    float *restrict line = sp->line;
    for (int x = -reach; x < width + reach; x++)
        line[x + reach] = from[within(x, width)];
    for (int x = 0; x < width; x++)
        to[x] = sp->weight[0] * line[x + reach];
    for (int i = 1; i <= reach; i++)
        for (int x = 0; x < width; x++)
            to[x] += sp->weight[i] * (line[x + reach - i] + line[x + reach + i]);
}

/* One row of the plane, blurred down its columns, into the line. */
static void blur_down(struct spoiler *sp, int y, int width, int height)
{
    float *restrict line = sp->line;
    const float *middle = sp->page + y * width;
    for (int x = 0; x < width; x++)
        line[x] = sp->weight[0] * middle[x];
    for (int i = 1; i <= sp->reach; i++) {
        const float *up = sp->page + within(y - i, height) * width;
        const float *down = sp->page + within(y + i, height) * width;
        for (int x = 0; x < width; x++)
            line[x] += sp->weight[i] * (up[x] + down[x]);
    }
}

/* --- light and sensor ------------------------------------------------------------------------- */

static uint8_t level(float v)
{
    return (uint8_t)(v < 16 ? 16 : v > 240 ? 240 : v + 0.5f);
}

static void luma_row(struct spoiler *sp, int y, const float *grain, uint8_t *to)
{
    const float contrast = (float)sp->how.contrast, noise = (float)sp->how.noise;
    const float *veil = sp->veil + y * sp->width;
    for (int x = 0; x < sp->width; x++) {
        const float v = 118 + (sp->line[x] - 118) * contrast;
        to[x] = level(v + (235 - v) * veil[x] + noise * grain[x]);
    }
}

static void color_row(struct spoiler *sp, int y, const float *grain, uint8_t *to)
{
    const float contrast = (float)sp->how.contrast, noise = (float)sp->how.noise / 2;
    const float *veil = sp->veil + 2 * y * sp->width;
    for (int x = 0; x < sp->width / 2; x++) {
        const float v = (sp->line[x] - 128) * contrast * (1 - veil[2 * x]);
        to[x] = level(128 + v + noise * grain[x]);
    }
}

static void plane(struct spoiler *sp, const uint8_t *from, uint8_t *to, int which, uint64_t frame)
{
    const int part = which == 0 ? 1 : 2, width = sp->width / part, height = sp->height / part;
    for (int y = 0; y < height; y++)
        blur_row(sp, from + y * width, sp->page + y * width, width);
    for (int y = 0; y < height; y++) {
        const double start =
            scatter_unit(sp->how.seed + 33, 4 * frame + (uint64_t)which, (uint64_t)y);
        const float *grain = sp->grain + (size_t)(start * (GRAINS - width));
        blur_down(sp, y, width, height);
        if (which == 0)
            luma_row(sp, y, grain, to + y * width);
        else
            color_row(sp, y, grain, to + y * width);
    }
}

const struct planes *spoil(struct spoiler *sp, const struct planes *clean, uint64_t frame)
{
    plane(sp, clean->y, sp->out.y, 0, frame);
    plane(sp, clean->u, sp->out.u, 1, frame);
    plane(sp, clean->v, sp->out.v, 2, frame);
    return &sp->out;
}
