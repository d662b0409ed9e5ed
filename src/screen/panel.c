/* What each next key means, in the rail's place while a chord is open. */
#include <stdio.h>

#include "screen/screen.h"

static int draw_head(const struct desk *d, struct canvas *c, struct rect r)
{
    struct buf who = {0};
    int row = r.row;
    targets_text(&d->app->show, d->chord.targets, d->chord.n_targets, &who);
    canvas_printf(c, row++, r.col, r.cols, ST_STRONG, "%s%s",
                  d->chord.n_targets ? buf_text(&who) : "section", d->chord.n_targets ? "" : "?");
    if (d->chord.phase == CHORD_NUMBER) {
        canvas_text(c, row, r.col, 6, ST_KEY, d->chord.after_number ? ", - +" : "0-9 +");
        canvas_text(c, row++, r.col + 6, r.cols - 6, ST_NORMAL,
                    d->chord.after_number ? "more of them" : "who, and whom");
    }
    buf_free(&who);
    return row;
}

void draw_panel(const struct desk *d, struct canvas *c, struct rect r)
{
    struct chord_option options[120];
    int row = draw_head(d, c, r), room = r.row + r.rows - row;
    size_t n = chord_options(&d->app->show, &d->chord, options, (size_t)room);
    for (size_t i = 0; i < n; i++) {
        canvas_text(c, row + (int)i, r.col, 4, ST_KEY, options[i].keys);
        canvas_text(c, row + (int)i, r.col + 4, r.cols - 4, options[i].more ? ST_DIM : ST_NORMAL,
                    options[i].what);
    }
}
