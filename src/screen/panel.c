/* What each next key means, in the rail's place while a chord is open. */
#include <stdio.h>

#include <math.h>

#include "app/app.h"
#include "command/tap.h"
#include "screen/draw.h"

static int draw_head(const struct desk *d, struct canvas *c, struct rect r)
{
    struct buf who = {0};
    int row = r.row;
    targets_text(&d->app->show, chord_hand(d)->chord.targets, chord_hand(d)->chord.n_targets, &who);
    canvas_printf(c, strip(row++, r.col, r.cols), ST_STRONG, "%s%s",
                  chord_hand(d)->chord.n_targets ? buf_text(&who) : "section",
                  chord_hand(d)->chord.n_targets ? "" : "?");
    if (chord_hand(d)->chord.phase == CHORD_NUMBER) {
        bool digit = chord_takes_digit(&d->app->show, &chord_hand(d)->chord);
        const char *keys = chord_hand(d)->chord.digit_due      ? "0-9"
                           : chord_hand(d)->chord.after_number ? ", - +"
                           : digit                             ? "0-9 +"
                                                               : "+";
        const char *mean = chord_hand(d)->chord.digit_due      ? "who"
                           : chord_hand(d)->chord.after_number ? "more of them"
                           : digit                             ? "who, and whom"
                                                               : "and whom";
        canvas_text(c, strip(row, r.col, 6), ST_KEY, keys);
        canvas_text(c, strip(row++, r.col + 6, r.cols - 6), ST_NORMAL, mean);
        if (chord_hand(d)->whom && !chord_hand(d)->chord.digit_due) {
            canvas_text(c, strip(row, r.col, 6), ST_KEY, "Enter");
            canvas_text(c, strip(row++, r.col + 6, r.cols - 6), ST_NORMAL, "only whom");
        }
    }
    buf_free(&who);
    return row;
}

static void draw_option(struct canvas *c, int row, int col, int cols, const struct chord_option *o)
{
    canvas_text(c, strip(row, col, 4), ST_KEY, o->keys);
    canvas_text(c, strip(row, col + 4, cols - 4), o->more ? ST_DIM : ST_NORMAL, o->what);
}

bool draw_panel(const struct desk *d, struct canvas *c, const struct review_layout *l)
{
    enum { LETTERS = 26 };
    struct chord_option options[120];
    const struct rect *r = &l->rail, *more = &l->calls;
    int top = draw_head(d, c, *r), room = r->row + r->rows - top;
    int n = (int)chord_options(&d->app->show, &chord_hand(d)->chord, options, (size_t)room);
    /* Perhaps there are more; one for each letter at most, as names fold by their next letter. */
    if (n == room && room < LETTERS)
        n = (int)chord_options(&d->app->show, &chord_hand(d)->chord, options, LETTERS);
    int columns = (n - room + more->rows - 1) / more->rows;
    for (int i = 0; i < n; i++) {
        int rest = i - room, width = columns ? more->cols / columns : 0;
        if (rest < 0)
            draw_option(c, top + i, r->col, r->cols, &options[i]);
        else
            draw_option(c, more->row + rest % more->rows, more->col + 1 + rest / more->rows * width,
                        width - 1, &options[i]);
    }
    return n > room;
}

/* How far each tap is from the line through them: a mark left or right of the middle, 10 ms a
 * column, and the figure. */
void draw_taps(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct taps *t = taps_open(d);
    int room = r.rows - 2, middle = r.col + (r.cols - 6) / 2;
    size_t first = t->n > (size_t)room ? t->n - (size_t)room : 0;
    canvas_printf(c, strip(r.row, r.col, r.cols), ST_STRONG, "%zu taps", t->n);
    canvas_text(c, strip(r.row + 1, r.col, r.cols), ST_DIM, "early     late   ms");
    for (size_t i = first; i < t->n; i++) {
        int row = r.row + 2 + (int)(i - first);
        canvas_text(c, strip(row, middle, 1), ST_DIM, glyph(c, "│", "|"));
        if (!t->fitted)
            continue;
        if (t->fit.beat[i] < 0) {
            canvas_text(c, strip(row, middle + 1, r.cols), ST_DIM, " set aside");
            continue;
        }
        double ms = t->fit.off_us[i] / 1000;
        int off = (int)lround(ms / 10), most = (r.cols - 6) / 2 - 1;
        off = off > most ? most : off < -most ? -most : off;
        canvas_text(c, strip(row, middle + off, 1), ST_STRONG, glyph(c, "●", "o"));
        canvas_printf(c, strip(row, r.col + r.cols - 5, 5), ST_NORMAL, "%+4.0f", ms);
    }
}
