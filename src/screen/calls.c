/* The calls around now, like captions: what was just said, what is now, what is coming. */
#include <stdio.h>
#include <string.h>

#include "count/timecode.h"
#include "screen/screen.h"

enum { NOW_US = 1500000 };

/* Positions of the calls that the filter lets through, `rows` of them around the playhead. */
static size_t around_now(const struct desk *d, int rows, size_t *out)
{
    size_t here = desk_here(d), n = 0, above = 0, want = (size_t)(rows - 1) / 2;
    const struct mark *chosen = desk_mark(d, d->selected);
    if (chosen)
        here = (size_t)(chosen - d->marks);
    size_t from = here < d->n_marks ? here : 0;
    while (from > 0 && above < want) {
        from--;
        above += desk_shows(d, &d->marks[from]);
    }
    for (size_t i = from; i < d->n_marks && n < (size_t)rows; i++)
        if (desk_shows(d, &d->marks[i]))
            out[n++] = i;
    /* Near the end: fill up from above. */
    while (n < (size_t)rows && from > 0) {
        from--;
        if (!desk_shows(d, &d->marks[from]))
            continue;
        memmove(out + 1, out, n * sizeof *out);
        out[0] = from;
        n++;
    }
    return n;
}

enum { MOST_ROWS = 400 };

static const char *severity_sign(const struct mark *m)
{
    static const char *const signs[] = {"", "!", "!!", "!!!"};
    return m->praise ? "keep" : signs[m->severity];
}

static void draw_call(const struct desk *d, struct canvas *c, struct rect r, int row,
                      const struct mark *m)
{
    int64_t off = m->at_us - d->play.at_us;
    bool now = off <= 0 && off > -NOW_US, chosen = m->id == d->selected;
    char time[24];
    struct buf who = {0};
    time_format_short(m->at_us, time);
    targets_text(&d->app->show, m->targets, m->n_targets, &who);
    const struct fault *f = &d->app->show.faults[m->fault];
    enum style s = m->praise ? ST_PRAISE : m->severity == 3 ? ST_SERIOUS : ST_NORMAL;
    if (off < -NOW_US && s == ST_NORMAL)
        s = ST_SAID;
    canvas_text(c, row, r.col, 2, ST_STRONG,
                now || (chosen && off == 0) ? glyph(c, "▸ ", "> ") : "  ");
    int who_w = r.cols > 80 ? 24 : 14, fault_w = r.cols > 80 ? 26 : 20;
    int col = r.col + 2;
    canvas_text(c, row, col, 8, s, time);
    canvas_text(c, row, col + 8, who_w, s, buf_text(&who));
    canvas_text(c, row, col + 9 + who_w, fault_w, s, f->name);
    canvas_text(c, row, col + 10 + who_w + fault_w, 4, s, severity_sign(m));
    int rest = col + 15 + who_w + fault_w;
    canvas_printf(c, row, rest, r.col + r.cols - rest, ST_DIM, "%s%s%s",
                  m->cause == CAUSE_DEFINE ? "define" : "",
                  m->cause == CAUSE_DEFINE && *m->note ? ", " : "", m->note);
    if (chosen)
        canvas_paint(c, (struct rect){row, r.col, 1, r.cols}, ST_CHOSEN);
    buf_free(&who);
}

void draw_calls(const struct desk *d, struct canvas *c, struct rect r)
{
    size_t at[MOST_ROWS];
    size_t n = around_now(d, r.rows < MOST_ROWS ? r.rows : MOST_ROWS, at);
    for (size_t i = 0; i < n; i++)
        draw_call(d, c, r, r.row + (int)i, &d->marks[at[i]]);
    if (n == 0)
        canvas_text(c, r.row, r.col + 2, r.cols - 2, ST_DIM,
                    *d->filter ? "no call has these words"
                               : "no calls yet: type a section's key, then a fault's key");
}

int64_t call_at(const struct desk *d, struct rect r, int row)
{
    size_t at[MOST_ROWS];
    size_t n = around_now(d, r.rows < MOST_ROWS ? r.rows : MOST_ROWS, at);
    size_t i = (size_t)(row - r.row);
    return i < n ? d->marks[at[i]].id : 0;
}
