/* The calls around now, like captions: what was just said, what is now, what is coming. */
#include <stdio.h>
#include <string.h>

#include "command/calls.h"
#include "count/timecode.h"
#include "screen/draw.h"

enum { NOW_US = 1500000 };

/* The places of the first and the behind-last of `rows` calls around the playhead or the chosen
 * one. */
static size_t around_now(const struct desk *d, int rows, size_t *end)
{
    size_t n = calls_shown(d), want = (size_t)(rows - 1) / 2, here = calls_here(d);
    const struct mark *chosen = desk_mark(d, d->selected);
    if (chosen && calls_place(d, &(struct call_at){chosen->at_us, chosen->id}) < n)
        here = calls_place(d, &(struct call_at){chosen->at_us, chosen->id});
    size_t from = here >= n ? 0 : here > want ? here - want : 0;
    if (from + (size_t)rows > n) /* near the end: fill up from above */
        from = n > (size_t)rows ? n - (size_t)rows : 0;
    *end = from + (size_t)rows < n ? from + (size_t)rows : n;
    return from;
}

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
    canvas_text(c, strip(row, r.col, 2), ST_STRONG,
                now || (chosen && off == 0) ? glyph(c, "▸ ", "> ") : "  ");
    int who_w = r.cols > 80 ? 24 : 14, fault_w = r.cols > 80 ? 26 : 20;
    int col = r.col + 2;
    canvas_text(c, strip(row, col, 8), s, time);
    canvas_text(c, strip(row, col + 8, who_w), s, buf_text(&who));
    canvas_text(c, strip(row, col + 9 + who_w, fault_w), s, f->name);
    canvas_text(c, strip(row, col + 10 + who_w + fault_w, 4), s, severity_sign(m));
    int rest = col + 15 + who_w + fault_w;
    canvas_printf(c, strip(row, rest, r.col + r.cols - rest), ST_DIM, "%s%s%s",
                  m->cause == CAUSE_DEFINE ? "define" : "",
                  m->cause == CAUSE_DEFINE && *m->note ? ", " : "", m->note);
    if (chosen)
        canvas_paint(c, (struct rect){row, r.col, 1, r.cols}, ST_CHOSEN);
    buf_free(&who);
}

void draw_calls(const struct desk *d, struct canvas *c, struct rect r)
{
    size_t end, from = around_now(d, r.rows, &end);
    for (size_t i = from; i < end; i++) {
        const struct mark *m = desk_mark(d, calls_nth(d, i).id);
        if (m)
            draw_call(d, c, r, r.row + (int)(i - from), m);
    }
    if (end == 0)
        canvas_text(c, strip(r.row, r.col + 2, r.cols - 2), ST_DIM,
                    *calls_words(d) ? "no call has these words"
                                    : "no calls yet: type a section's key, then a fault's key");
}

int64_t call_on_row(const struct desk *d, struct rect r, int row)
{
    size_t end, i = around_now(d, r.rows, &end) + (size_t)(row - r.row);
    return i < end ? calls_nth(d, i).id : 0;
}
