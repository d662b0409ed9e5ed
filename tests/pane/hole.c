#include "pane/hole.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>

#include <cmocka.h>

struct term_caps caps_of(enum term_colors colors, bool utf8)
{
    return (struct term_caps){.dsr = true,
                              .utf8 = utf8,
                              .colors = colors,
                              .still = TERM_PANE_CELLS,
                              .moving = TERM_PANE_CELLS};
}

void hole_open(struct hole *h, struct term_caps caps)
{
    struct err e = {0};
    sink_open(&h->sink, ROWS, COLS);
    assert_true(pane_open(&h->pane, h->sink.write_fd, &caps, &e));
    pane_hole(h->pane, AT_ROW, AT_COL, TALL, WIDE);
}

void hole_close(struct hole *h)
{
    pane_close(h->pane);
    sink_close(&h->sink);
}

void hole_noise(struct hole *h, unsigned *seed, int range)
{
    for (size_t i = 0; i < sizeof h->px; i++)
        h->px[i] = i % 4 == 3 ? 255 : (uint8_t)(rand_r(seed) % range);
}

void hole_fill(struct hole *h, uint32_t rgb)
{
    for (size_t i = 0; i < sizeof h->px; i++)
        h->px[i] = i % 4 == 3 ? 255 : (uint8_t)(rgb >> (16 - 8 * (i % 4)));
}

uint32_t hole_pixel(const struct hole *h, int x, int y)
{
    const uint8_t *p = h->px + (y * WIDE + x) * 4;
    return (uint32_t)p[0] << 16 | (uint32_t)p[1] << 8 | p[2];
}

void hole_show(struct hole *h, enum pane_pace pace)
{
    assert_true(pane_picture(h->pane, &(struct pane_image){h->px, WIDE, 2 * TALL, WIDE * 4}, pace));
    sink_settle(&h->sink, h->pane);
}

static int apart(uint32_t a, uint32_t b)
{
    int worst = 0;
    for (int shift = 0; shift < 24; shift += 8) {
        const int d = abs((int)(a >> shift & 255) - (int)(b >> shift & 255));
        worst = d > worst ? d : worst;
    }
    return worst;
}

int hole_worst(struct hole *h)
{
    int worst = 0;
    for (int i = 0; i < TALL * WIDE; i++) {
        const int x = i % WIDE, y = i / WIDE;
        uint32_t top, bottom;
        sink_halves(&h->sink, AT_ROW + y, AT_COL + x, &top, &bottom);
        const int t = apart(top, hole_pixel(h, x, 2 * y)),
                  l = apart(bottom, hole_pixel(h, x, 2 * y + 1));
        worst = t > worst ? t : worst;
        worst = l > worst ? l : worst;
    }
    return worst;
}
