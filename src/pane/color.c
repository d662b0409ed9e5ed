#include "pane/color.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

enum { FIRST_OF_256 = 16, BITS = 6 };
#define MIX_STRENGTH 0.35f /* more gives truer means and more grain */

static int channel(rgb c, int shift)
{
    return (int)(c >> shift & 0xff);
}

int rgb_apart(rgb a, rgb b)
{
    const int r = abs(channel(a, 16) - channel(b, 16));
    const int g = abs(channel(a, 8) - channel(b, 8));
    const int l = abs(channel(a, 0) - channel(b, 0));
    const int rg = r > g ? r : g;
    return rg > l ? rg : l;
}

int rgb_luma(rgb c)
{
    return (channel(c, 16) * 54 + channel(c, 8) * 183 + channel(c, 0) * 19) >> 8;
}

rgb rgb_mean(const rgb *px, int width, int height, int pitch)
{
    unsigned r = 0, g = 0, b = 0;
    const unsigned n = (unsigned)(width * height);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            const rgb c = px[y * pitch + x];
            r += c >> 16 & 0xff;
            g += c >> 8 & 0xff;
            b += c & 0xff;
        }
    return n ? (r + n / 2) / n << 16 | (g + n / 2) / n << 8 | (b + n / 2) / n : 0;
}

void rgb_pack(uint8_t *out, const rgb *px, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        *out++ = (uint8_t)(px[i] >> 16);
        *out++ = (uint8_t)(px[i] >> 8);
        *out++ = (uint8_t)px[i];
    }
}

rgb palette_rgb(int index)
{
    static const rgb system[16] = {0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd,
                                   0x00cdcd, 0xe5e5e5, 0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00,
                                   0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff};
    static const rgb level[6] = {0, 95, 135, 175, 215, 255};
    if (index < 16)
        return system[index];
    if (index < 232) {
        const int i = index - 16;
        return level[i / 36] << 16 | level[i / 6 % 6] << 8 | level[i % 6];
    }
    const rgb grey = (rgb)(8 + 10 * (index - 232));
    return grey << 16 | grey << 8 | grey;
}

static float linear(int c8)
{
    const float c = (float)c8 / 255.0f;
    return c <= 0.04045f ? c / 12.92f : powf((c + 0.055f) / 1.055f, 2.4f);
}

static void oklab(const float c[3], float lab[3])
{
    const float l = cbrtf(0.4122214708f * c[0] + 0.5363325363f * c[1] + 0.0514459929f * c[2]);
    const float m = cbrtf(0.2119034982f * c[0] + 0.6806995451f * c[1] + 0.1073969566f * c[2]);
    const float s = cbrtf(0.0883024619f * c[0] + 0.2817188376f * c[1] + 0.6299787005f * c[2]);
    lab[0] = 0.2104542553f * l + 0.7936177850f * m - 0.0040720468f * s;
    lab[1] = 1.9779984951f * l - 2.4285922050f * m + 0.4505937099f * s;
    lab[2] = 0.0259040371f * l + 0.7827717662f * m - 0.8086757660f * s;
}

static int first_of(const struct palette *p)
{
    return p->colors == TERM_256 ? FIRST_OF_256 : 0;
}

static int count_of(const struct palette *p)
{
    return p->colors == TERM_256 ? 256 - FIRST_OF_256 : 16;
}

void palette_open(struct palette *p, enum term_colors colors)
{
    *p = (struct palette){.colors = colors};
    if (colors != TERM_256 && colors != TERM_16)
        return;
    p->mix = xcalloc((size_t)1 << (3 * BITS), sizeof *p->mix);
    p->lab = xcalloc((size_t)count_of(p), sizeof *p->lab);
    p->linear = xcalloc((size_t)count_of(p), sizeof *p->linear);
    for (int i = 0; i < count_of(p); i++) {
        for (int k = 0; k < 3; k++)
            p->linear[i][k] = linear(channel(palette_rgb(first_of(p) + i), 16 - 8 * k));
        oklab(p->linear[i], p->lab[i]);
    }
}

void palette_close(struct palette *p)
{
    free(p->mix);
    free(p->lab);
    free(p->linear);
    *p = (struct palette){0};
}

static int nearest(const struct palette *p, const float want[3])
{
    float lab[3];
    oklab(want, lab);
    int best = 0;
    float least = 1e9f;
    for (int i = 0; i < count_of(p); i++) {
        const float dl = p->lab[i][0] - lab[0], da = p->lab[i][1] - lab[1],
                    db = p->lab[i][2] - lab[2];
        const float d = dl * dl + da * da + db * db;
        if (d < least) {
            least = d;
            best = i;
        }
    }
    return best;
}

static int by_lightness(const void *a, const void *b, void *palette)
{
    const struct palette *p = palette;
    const float x = p->lab[*(const uint8_t *)a - 1][0], y = p->lab[*(const uint8_t *)b - 1][0];
    return (x > y) - (x < y);
}

static void mix(const struct palette *p, rgb c, uint8_t four[4])
{
    float left[3] = {0, 0, 0};
    for (int n = 0; n < 4; n++) {
        float want[3];
        for (int k = 0; k < 3; k++) {
            const float w = linear(channel(c, 16 - 8 * k)) + left[k] * MIX_STRENGTH;
            want[k] = w < 0 ? 0 : w > 1 ? 1 : w;
        }
        const int i = nearest(p, want);
        for (int k = 0; k < 3; k++)
            left[k] += linear(channel(c, 16 - 8 * k)) - p->linear[i][k];
        four[n] = (uint8_t)(1 + i);
    }
    qsort_r(four, 4, 1, by_lightness, (void *)(uintptr_t)p);
}

int palette_at(struct palette *p, rgb c, int x, int y)
{
    static const uint8_t order[2][2] = {{0, 2}, {3, 1}};
    const unsigned drop = 8 - BITS, mask = (1u << BITS) - 1;
    const unsigned r = c >> (16 + drop) & mask, g = c >> (8 + drop) & mask, b = c >> drop & mask;
    uint8_t *four = p->mix[(r << BITS | g) << BITS | b];
    if (!four[0]) {
        /* the bin's own colour: top bits repeated below, so that black and white are exact */
        const rgb kept = (r << 16 | g << 8 | b) << drop;
        mix(p, kept | (kept >> BITS & 0x030303u), four);
    }
    return first_of(p) + four[order[y & 1][x & 1]] - 1;
}
