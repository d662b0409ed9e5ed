/* The hole in cells and in square pixels. */
#include <math.h>
#include <stdlib.h>

#include "pane/inside.h"

int shape_cell_width(const struct pane *p)
{
    return p->caps.cell_width > 0 && p->caps.cell_height > 0 ? p->caps.cell_width : 8;
}

int shape_cell_height(const struct pane *p)
{
    return p->caps.cell_width > 0 && p->caps.cell_height > 0 ? p->caps.cell_height : 16;
}

void shape_pixels(const struct pane *p, int64_t most, int *width, int *height)
{
    const int64_t w = (int64_t)p->cells.cols * shape_cell_width(p),
                  h = (int64_t)p->cells.rows * shape_cell_height(p);
    const double by = w * h > most ? sqrt((double)most / (double)(w * h)) : 1;
    *width = (int)((double)w * by);
    *height = (int)((double)h * by);
}

bool shape_square_halves(const struct pane *p)
{
    return abs(shape_cell_height(p) - 2 * shape_cell_width(p)) * 25 <= 2 * shape_cell_width(p);
}

void shape_coarse(struct pane *p)
{
    const struct picture *c = &p->cur;
    const int cols = p->cells.cols, rows = 2 * p->cells.rows;
    for (int i = 0; i < cols * rows; i++) {
        const int x0 = i % cols * c->width / cols, x1 = (i % cols + 1) * c->width / cols;
        const int y0 = i / cols * c->height / rows, y1 = (i / cols + 1) * c->height / rows;
        p->coarse[i] =
            rgb_mean(c->px + (size_t)y0 * (size_t)c->width + x0, x1 - x0, y1 - y0, c->width);
    }
}
