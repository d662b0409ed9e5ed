/* What is drawn over each picture, in CPU time: the field's lines and 240 dots with their labels, made
 * into shapes for the window, and into the pixels of a pane's picture. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "screen/over.h"

enum { DOTS = 240, PIECES = 25 * 16, FRAMES = 300, WIDTH = 1280, HEIGHT = 720 };

static struct over_line lines[PIECES];
static struct over_dot dots[DOTS];
static char labels[DOTS][8];

/* Yard lines and rows across the picture, in pieces as command/over.c makes them. */
static struct over grid_and_dots(void)
{
    for (int i = 0; i < PIECES; i++) {
        const int line = i / 16, piece = i % 16;
        const double from = piece / 16.0, to = (piece + 1) / 16.0, at = line / 25.0;
        lines[i] = line < 21 ? (struct over_line){OVER_LINE, at, from, at + 0.02, to}
                             : (struct over_line){OVER_STRONG, from, at, to, at};
    }
    for (int i = 0; i < DOTS; i++) {
        snprintf(labels[i], sizeof labels[i], "T%d", i);
        dots[i] =
            (struct over_dot){OVER_GHOST, (i % 20 + 0.5) / 20, (i / 20 + 0.5) / 12, labels[i]};
    }
    return (struct over){lines, dots, PIECES, DOTS, PIECES, DOTS, .x = 0.5, .y = 0.5, .times = 1};
}

int main(void)
{
    const struct over o = grid_and_dots();
    const struct over_frame whole = {0, 0, 1, 1};
    const size_t bytes = 4 * (size_t)WIDTH * HEIGHT;
    uint8_t *px = calloc(bytes, 1), *copy = calloc(bytes, 1);
    const struct pane_image f = {px, WIDTH, HEIGHT, 4 * (size_t)WIDTH};
    struct buf ass = {0}, memory = {0};
    double begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++) {
        buf_clear(&ass);
        over_shapes(&o, &whole, &ass);
    }
    const double shapes = (bench_cpu() - begun) / FRAMES;
    begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++)
        over_paint(&o, &whole, &f, &(struct over_room){WIDTH, HEIGHT, &memory});
    const double painted = (bench_cpu() - begun) / FRAMES;
    begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++) {
        px[i] = (uint8_t)i;
        memcpy(copy, px, bytes);
    }
    const double copied = (bench_cpu() - begun) / FRAMES;
    printf("a picture of %d x %d copied: %.2f ms of CPU\n", WIDTH, HEIGHT, copied * 1e3);
    bench_at_most("lines and 240 labelled dots as shapes", shapes * 1e3, 1, " ms");
    bench_at_most("the same into the picture's pixels, its copy included", painted * 1e3, 1, " ms");
    printf("  in copies of the picture: shapes %.2f, pixels %.2f (%u)\n", shapes / copied,
           painted / copied, copy[bytes - 1]);
    buf_free(&ass);
    buf_free(&memory);
    free(px);
    free(copy);
    return bench_end();
}
