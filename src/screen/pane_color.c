#include "screen/pane_color.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

enum { FIRST_OF_256 = 16, BITS = 6, SIDE = 1 << BITS };

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

static void oklab(rgb c, float lab[3])
{
    const float r = linear(channel(c, 16)), g = linear(channel(c, 8)), b = linear(channel(c, 0));
    const float l = cbrtf(0.4122214708f * r + 0.5363325363f * g + 0.0514459929f * b);
    const float m = cbrtf(0.2119034982f * r + 0.6806995451f * g + 0.1073969566f * b);
    const float s = cbrtf(0.0883024619f * r + 0.2817188376f * g + 0.6299787005f * b);
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
    p->nearest = xcalloc((size_t)SIDE * SIDE * SIDE, 1);
    p->lab = xcalloc((size_t)count_of(p), sizeof *p->lab);
    for (int i = 0; i < count_of(p); i++)
        oklab(palette_rgb(first_of(p) + i), p->lab[i]);
}

void palette_close(struct palette *p)
{
    free(p->nearest);
    free(p->lab);
    *p = (struct palette){0};
}

static int search(const struct palette *p, rgb c)
{
    float lab[3];
    oklab(c, lab);
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

int palette_nearest(struct palette *p, rgb c)
{
    const unsigned drop = 8 - BITS;
    const size_t at = (size_t)(c >> (16 + drop) & (SIDE - 1)) << (2 * BITS) |
                      (size_t)(c >> (8 + drop) & (SIDE - 1)) << BITS | (c >> drop & (SIDE - 1));
    if (!p->nearest[at]) {
        /* the bin's own colour: top bits repeated below, so that black and white are exact */
        const rgb kept = c & 0xfcfcfcu;
        p->nearest[at] = (uint8_t)(1 + search(p, kept | (kept >> BITS & 0x030303u)));
    }
    return first_of(p) + p->nearest[at] - 1;
}
