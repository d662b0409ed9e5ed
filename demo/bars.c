#include <stdbool.h>

#include "demo/bars.h"

void bars_draw(cairo_t *cr, int width, int height, unsigned number)
{
    bool cell[BARS_CELLS] = {true, false};
    bool parity = false;
    for (int i = 0; i < 16; i++) {
        cell[2 + i] = (number >> (15 - i) & 1u) != 0;
        parity ^= cell[2 + i];
    }
    cell[18] = parity;
    cell[19] = !parity;
    const double wide = (double)width / BARS_CELLS;
    for (int i = 0; i < BARS_CELLS; i++) {
        const double level = cell[i] ? 1 : 0;
        cairo_set_source_rgb(cr, level, level, level);
        cairo_rectangle(cr, wide * i, 0, wide, bars_height(height));
        cairo_fill(cr);
    }
}
