/* The chosen moment of the fix list: its still, where it is in the drill, its note, who, what right
 * looks like, the line's state and how it went from run to run. */
#include <math.h>
#include <string.h>

#include "app/app.h"
#include "command/fixes.h"
#include "paper/fixes.h"
#include "paper/history.h"
#include "screen/draw.h"
#include "screen/fixes.h"

static const struct fixes_style plain = {0};

/* The chosen line; item NULL without one. */
static struct fixes_line chosen(const struct desk *d)
{
    struct fixes_line l = {.r = &fixes_now(d)->report, .style = &plain};
    l.item = fixes_item(d, fixes_now(d)->line, &l.part);
    return l;
}

bool fixes_still(const struct desk *d, struct screen_still *out)
{
    const struct report_moment *m;
    if (fixes_moments(d, &m) == 0 || !m || !fixes_now(d)->report.clips[m->at.clip].here)
        return false;
    *out = (struct screen_still){fixes_now(d)->report.clips[m->at.clip].path, m->at.at_us};
    return true;
}

/* "0:13.0  set 3, count 2 of 16   2 of 3" */
static void put_place(const struct fixes_line *l, const struct report_moment *m, size_t nth,
                      size_t n, struct flow *f)
{
    struct buf text = {0};
    fixes_moment(l->r, m->at, &text);
    buf_str(&text, "  ");
    place_text(l->r->show, m->set, m->count, &text);
    flow_text(f, text.p);
    if (n > 1) {
        buf_clear(&text);
        buf_printf(&text, "(%zu of %zu)", nth + 1, n);
        flow_word(f, text.p, NULL);
    }
    flow_end(f);
    buf_free(&text);
}

static void put_moment(const struct fixes_line *l, const struct report_moment *m, int width,
                       struct buf *out)
{
    struct buf text = {0};
    struct flow f = flow_from(out, width, 0, 0);
    if (*m->note) {
        buf_printf(&text, "\"%s\"", m->note);
        flow_text(&f, text.p);
        flow_end(&f);
    }
    buf_clear(&text);
    fixes_figures(l, m, &text);
    if (text.n) {
        flow_text(&f, text.p);
        flow_end(&f);
    }
    buf_free(&text);
    fixes_often(l, &f);
    buf_char(out, ':');
    f.col++;
    fixes_who(l->r->show, l->item, WHO_ALL, 20, &f);
    flow_end(&f);
}

/* A line for each rehearsal, oldest first: marks, a bar, marks a watched minute with their interval,
 * reps made, and the state that was set. */
static void put_history(const struct desk *d, const struct canvas *c, int width, struct buf *out)
{
    enum { BAR = 5, INDENT = 6 };
    const struct line_history *h = fixes_history(d);
    const size_t n = fixes_now(d)->history.n_dates;
    if (h && n > 1)
        buf_str(out, "      marks, a minute (95 %)\n");
    for (size_t i = 0; h && n > 1 && i < n; i++) {
        const struct rehearsal *at = &h->at[i];
        struct buf text = {0}, bar = {0};
        struct flow f = flow_from(out, width, 0, INDENT);
        history_bar(h, n, i, BAR, &bar);
        if (!c->utf8)
            plain_text(&bar);
        buf_printf(&text, "%.5s ", strlen(at->date) == 10 ? at->date + 5 : at->date);
        if (at->clips)
            buf_printf(&text, "%3d ", at->marks);
        pad_text(&text, buf_text(&bar), at->clips ? BAR : 0);
        flow_word(&f, text.p, NULL);
        buf_clear(&text);
        if (at->rated)
            buf_printf(&text, "%.2g (%.2g-%.2g)", at->rate, at->low, at->high);
        flow_text(&f, buf_text(&text));
        buf_clear(&text);
        if (at->reps)
            buf_printf(&text, " %d rep%s", at->reps, at->reps == 1 ? "" : "s");
        if (*at->state)
            buf_printf(&text, " %s", at->state);
        flow_text(&f, buf_text(&text));
        flow_end(&f);
        buf_free(&text);
        buf_free(&bar);
    }
}

static void put_line(const struct fixes_line *l, int width, struct buf *out)
{
    const struct fault *fault = &l->r->show->faults[l->item->fault];
    struct flow f = flow_from(out, width, 0, 0);
    if (*fault->right) {
        flow_text(&f, fault->decided ? "decided:" : "right:");
        flow_text(&f, fault->right);
        flow_end(&f);
    }
    if (!l->item->praise) {
        fixes_state(l, &f);
        flow_end(&f);
    }
}

static void draw_words(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct fixes_line l = chosen(d);
    const struct report_moment *m;
    const size_t n = fixes_moments(d, &m);
    struct buf head = {0}, rest = {0};
    if (!l.item)
        return;
    struct flow f = flow_from(&head, r.cols, 0, 0);
    if (m)
        put_place(&l, m, fixes_now(d)->moment, n, &f);
    int rows = 0;
    for (const char *s = buf_text(&head); *s; s++)
        rows += *s == '\n';
    if (m)
        put_moment(&l, m, r.cols, &rest);
    put_line(&l, r.cols, &rest);
    put_history(d, c, r.cols, &rest);
    draw_lines(c, r, ST_STRONG, buf_text(&head));
    draw_lines(c, (struct rect){r.row + rows, r.col, r.rows - rows, r.cols}, ST_NORMAL,
               buf_text(&rest));
    buf_free(&head);
    buf_free(&rest);
}

void fixes_draw_detail(const struct desk *d, struct canvas *c, const struct fixes_layout *at)
{
    struct screen_still still;
    const struct report_moment *m;
    for (int row = 1; row < c->rows - 1; row++)
        canvas_text(c, strip(row, at->left, 1), ST_DIM, glyph(c, "│", "|"));
    /* Never blank right of the hole, so that curses has no reason to clear to the end of a line. */
    for (int row = at->picture.row; row < at->text.row; row++)
        canvas_text(c, strip(row, c->cols - 1, 1), ST_DIM, glyph(c, "│", "|"));
    if (fixes_still(d, &still))
        c->hole = at->picture;
    else if (fixes_moments(d, &m) && m)
        canvas_printf(
            c, strip(at->picture.row + at->picture.rows / 2, at->left + 2, at->picture.cols - 2),
            ST_DIM, "the file of '%s' is not here", fixes_now(d)->report.clips[m->at.clip].label);
    draw_words(d, c, at->text);
}
