/* Colours as a terminal takes them, and the nearest of its palette to a pixel. */
#ifndef PANE_COLOR_H
#define PANE_COLOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pane/termcaps.h"

/* A colour as it is sent: 0x00RRGGBB, a palette index, the terminal's own, or not known. */
typedef uint32_t ink;
#define INK_INDEX   0x01000000u
#define INK_OWN     0x02000000u
#define INK_UNKNOWN 0x04000000u

/* A pixel, 0x00RRGGBB. */
typedef uint32_t rgb;

static inline rgb rgb_of(const uint8_t *p)
{
    return (rgb)p[0] << 16 | (rgb)p[1] << 8 | p[2];
}

/* The largest difference of any channel, 0..255. */
int rgb_apart(rgb a, rgb b);
/* Brightness 0..255 by the weights of ITU-R BT.709. */
int rgb_luma(rgb c);

/* The mean of a field of width x height pixels, `pitch` pixels from row to row (0 for an empty). */
rgb rgb_mean(const rgb *px, int width, int height, int pitch);
/* n pixels as 3 bytes each. */
void rgb_pack(uint8_t *out, const rgb *px, size_t n);

/* The indexed colours of xterm's default palette: 0-15 as in its app-defaults, 16-231 the 6x6x6
 * cube (0 95 135 175 215 255), 232-255 the greys 8 18 .. 238. */
rgb palette_rgb(int index);

/* A palette is too coarse for one colour a pixel, so a pixel's colour is mixed from four of the
 * palette, laid out over 2 x 2 pixels: each the nearest to what the ones before left over (pattern
 * dithering after T. Knoll), nearest by distance in OKLab (B. Ottosson, 2020), mixed as light.
 * The table fills as it is used. 256 colours: 16-255, since 0-15 are the person's own. */
struct palette {
    enum term_colors colors;
    uint8_t (*mix)[4]; /* 64x64x64; [0] is 0 when not yet looked up; else 1 + index - first */
    float (*lab)[3];   /* of the palette's colours */
    float (*linear)[3];
};
void palette_open(struct palette *p, enum term_colors colors);
void palette_close(struct palette *p);
/* The palette's index for colour c at place x, y. */
int palette_at(struct palette *p, rgb c, int x, int y);

#endif
