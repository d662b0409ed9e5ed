/* The calls around now, like captions: what was just said, what is now, what is coming. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "command/calls.h"
#include "command/drafts.h"
#include "count/timecode.h"
#include "paper/paper.h"
#include "screen/draw.h"

enum { NOW_US = 1500000 };

/* The calls shown in so many rows: from .. end - 1, around the playhead or the chosen one; above them
 * the newest mark when it is not among them, since 1 2 3 speak of it. */
struct shown {
    size_t from, end;
    int64_t newest; /* row of the mark above them, 0: none */
};

static struct shown around(const struct desk *d, int rows)
{
    size_t n = calls_shown(d), want = (size_t)(rows - 1) / 2, here = calls_here(d);
    const struct mark *chosen = desk_mark(d, d->selected);
    if (chosen && calls_place(d, &(struct call_at){chosen->at_us, chosen->id}) < n)
        here = calls_place(d, &(struct call_at){chosen->at_us, chosen->id});
    size_t from = here >= n ? 0 : here > want ? here - want : 0;
    if (from + (size_t)rows > n) /* near the end: fill up from above */
        from = n > (size_t)rows ? n - (size_t)rows : 0;
    return (struct shown){from, from + (size_t)rows < n ? from + (size_t)rows : n, 0};
}

static struct shown shown_in(const struct desk *d, int rows)
{
    struct shown s = around(d, rows);
    const struct mark *newest = d->selected ? NULL : desk_mark(d, d->newest);
    if (!newest || rows < 3)
        return s;
    const size_t at = calls_place(d, &(struct call_at){newest->at_us, newest->id});
    if (at >= s.from && at < s.end)
        return s;
    s = around(d, rows - 1);
    if (at < s.from || at >= s.end)
        s.newest = newest->id;
    return s;
}

static const char *severity_sign(const struct mark *m)
{
    static const char *const signs[] = {"", "!", "!!", "!!!"};
    return m->praise ? "keep" : signs[m->severity];
}

void place_short(const struct desk *d, const struct mark *m, struct buf *out)
{
    const struct place_said p = place_said(&d->app->show, m->set, m->count);
    if (p.kind == PLACE_NONE)
        return;
    buf_str(out, d->app->show.sets[p.set].label);
    if (p.kind == PLACE_END)
        buf_str(out, ".end");
    else
        buf_printf(out, ".%.0f%s", floor(p.count), p.kind == PLACE_HOLD ? "+" : "");
}

/* Columns of a row, and its parts from left to right; the note has what is left. */
struct parts {
    int time, place, who, fault, severity;
};

static struct parts parts_of(const struct desk *d, int cols)
{
    const int place = d->ties.n ? 7 : 0;
    if (cols > 100)
        return (struct parts){8, place, 24, 26, 3};
    return cols > 76 ? (struct parts){8, place, 16, 22, 3} : (struct parts){8, place, 10, 15, 3};
}

static void draw_call(const struct desk *d, struct canvas *c, struct rect r, int row,
                      const struct mark *m)
{
    int64_t off = m->at_us - d->play.at_us;
    bool now = off <= 0 && off > -NOW_US, chosen = m->id == d->selected;
    char time[24];
    struct buf who = {0}, place = {0};
    const struct parts p = parts_of(d, r.cols);
    time_format_short(m->at_us, time);
    targets_text(&d->app->show, m->targets, m->n_targets, &who);
    place_short(d, m, &place);
    enum style s = m->praise ? ST_PRAISE : m->severity == 3 ? ST_SERIOUS : ST_NORMAL;
    if (off < -NOW_US && s == ST_NORMAL)
        s = ST_SAID;
    canvas_text(c, strip(row, r.col, 2), ST_STRONG,
                now || (chosen && off == 0) ? glyph(c, "▸ ", "> ") : "  ");
    int col = r.col + 2;
    canvas_text(c, strip(row, col, p.time - 1), s, time);
    col += p.time;
    canvas_text(c, strip(row, col, p.place ? p.place - 1 : 0), s, buf_text(&place));
    col += p.place;
    canvas_text(c, strip(row, col, p.who), s, buf_text(&who));
    col += p.who + 1;
    canvas_text(c, strip(row, col, p.fault), s, d->app->show.faults[m->fault].name);
    col += p.fault + 1;
    canvas_text(c, strip(row, col, p.severity + 1), s, severity_sign(m));
    col += p.severity + 2;
    canvas_printf(c, strip(row, col, r.col + r.cols - col), ST_DIM, "%s%s%s",
                  m->cause == CAUSE_DEFINE ? "define" : "",
                  m->cause == CAUSE_DEFINE && *m->note ? ", " : "", m->note);
    if (chosen)
        canvas_paint(c, (struct rect){row, r.col, 1, r.cols}, ST_CHOSEN);
    buf_free(&who);
    buf_free(&place);
}

/* The rows of the calls, above one that says how many drafts wait. */
static struct rect calls_room(const struct desk *d, struct rect r)
{
    if (drafts_waiting(d))
        r.rows--;
    return r;
}

static void draw_waiting(const struct desk *d, struct canvas *c, struct strip where)
{
    char text[80];
    const int64_t n = drafts_waiting(d);
    snprintf(text, sizeof text, "%lld draft%s: {drafts} shows %s", (long long)n,
             n == 1 ? " waits" : "s wait", n == 1 ? "it" : "them");
    draw_keys(d, c, where, ST_DIM, text);
}

void draw_calls(const struct desk *d, struct canvas *c, struct rect all)
{
    const struct rect r = calls_room(d, all);
    const struct shown s = shown_in(d, r.rows);
    int row = r.row;
    const struct mark *newest = s.newest ? desk_mark(d, s.newest) : NULL;
    if (newest)
        draw_call(d, c, r, row++, newest);
    for (size_t i = s.from; i < s.end; i++, row++) {
        const struct mark *m = desk_mark(d, calls_nth(d, i).id);
        if (m)
            draw_call(d, c, r, row, m);
    }
    if (s.end == 0 && !newest)
        canvas_text(c, strip(row++, r.col + 2, r.cols - 2), ST_DIM,
                    *calls_words(d) ? "no call has these words"
                                    : "no calls yet: type a section's key, then a fault's key");
    if (r.rows < all.rows)
        draw_waiting(d, c, strip(row, r.col + 2, r.cols - 2));
}

int64_t call_on_row(const struct desk *d, struct rect all, int row)
{
    const struct rect r = calls_room(d, all);
    const struct shown s = shown_in(d, r.rows);
    const int above = s.newest != 0;
    if (above && row == r.row)
        return s.newest;
    size_t i = s.from + (size_t)(row - r.row - above);
    return i < s.end ? calls_nth(d, i).id : 0;
}
