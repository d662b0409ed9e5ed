/* Places and moves that were measured, in the words of the drill. */
#include <math.h>
#include <stdio.h>

#include "field/solve.h"
#include "paper/field.h"

void field_place_said(const struct grid *g, const struct measured *m, size_t i,
                      struct field_place_row *out)
{
    *out = (struct field_place_row){.in = m->at[i], .error = measure_ellipse(m, i)};
    field_place_steps(g, m->at[i], &out->across, &out->depth);
    /* as dot sheets do; what is more exact stands in the numbers */
    spot_text(g, round(out->across * 4) / 4, round(out->depth * 4) / 4, out->spot);
}

void field_off_said(const struct grid *g, struct field_place at, struct field_place off,
                    struct field_off_row *out)
{
    const struct field_place should = {at.x - off.x, at.y - off.y};
    double x, y, to_x, to_y;
    field_place_steps(g, at, &x, &y);
    field_place_steps(g, should, &to_x, &to_y);
    out->across = x - to_x;
    out->depth = y - to_y;
    out->steps = hypot(off.x, off.y) / GRID_ACROSS_IN;
}

void field_pick_said(const struct grid *g, int kind, double x, double y, char out[2 * SPOT_TEXT])
{
    char text[SPOT_TEXT];
    if (kind == PICK_SPOT)
        spot_text(g, x, y, out);
    else {
        if (kind == PICK_YARD_LINE)
            across_text(g, x, text);
        else
            depth_text(g, y, text);
        snprintf(out, 2 * SPOT_TEXT, "%s", text);
    }
}
