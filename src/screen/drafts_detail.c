/* The chosen draft in words: where, whom, what was said, and why it was taken so. */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "app/ties.h"
#include "command/drafts.h"
#include "count/timecode.h"
#include "paper/flow.h"
#include "paper/paper.h"
#include "screen/drafts.h"
#include "screen/draw.h"

struct mark draft_placed(const struct desk *d, const struct draft *x)
{
    struct mark m = {.at_us = x->at_us, .set = -1};
    app_place_mark(d->map, &m);
    return m;
}

const char *draft_sureness(double confidence)
{
    return confidence >= 0.8    ? "sure"
           : confidence >= 0.6  ? "likely"
           : confidence >= 0.35 ? "maybe"
                                : "guess";
}

static void flow_line(struct flow *f, const char *text)
{
    flow_text(f, text);
    flow_end(f);
}

/* "T3, horn angle  !!  2 counts  define" */
static void put_remark(const struct desk *d, const struct draft *x, struct flow *f)
{
    struct buf text = {0};
    draft_who(&d->app->show, x, &text);
    buf_str(&text, ", ");
    draft_what(&d->app->show, x, &text);
    for (int i = 0; i < x->severity && !x->praise; i++)
        buf_str(&text, i ? "!" : " !");
    if (x->unit != DRAFT_NO_SIZE)
        buf_str(&text, ", ");
    draft_size(x, &text);
    if (x->cause == CAUSE_DEFINE)
        buf_str(&text, ", define");
    flow_line(f, text.p);
    buf_free(&text);
}

/* What it was taken for first, where somebody has said otherwise since. */
static void put_heard_first(const struct desk *d, const struct stored_draft *x, struct flow *f)
{
    const struct draft first = {
        .targets = x->heard, .n_targets = x->n_heard, .fault = x->heard_fault};
    struct draft now = x->d;
    struct buf a = {0}, b = {0};
    now.praise = now.one = false;
    draft_who(&d->app->show, &first, &a);
    buf_str(&a, ", ");
    draft_what(&d->app->show, &first, &a);
    draft_who(&d->app->show, &now, &b);
    buf_str(&b, ", ");
    draft_what(&d->app->show, &now, &b);
    if (strcmp(a.p, b.p) != 0) {
        flow_text(f, "taken first for:");
        flow_line(f, a.p);
    }
    buf_free(&a);
    buf_free(&b);
}

/* Why it was taken so, and how sure that is. */
static void put_reasons(const struct desk *d, const struct stored_draft *x, struct flow *f)
{
    const struct draft_source *src = drafts_source(d);
    char how[40];
    for (size_t i = 0; i < x->d.n_words; i++) {
        flow_text(f, "heard:");
        flow_line(f, x->d.words[i]);
    }
    put_heard_first(d, x, f);
    snprintf(how, sizeof how, "%s (%.0f %%)", draft_sureness(x->d.confidence),
             x->d.confidence * 100);
    flow_text(f, how);
    if (src && *src->name) {
        flow_text(f, "from");
        flow_text(f, src->name);
    }
    flow_end(f);
}

void drafts_draw_words(const struct desk *d, struct canvas *c, struct rect r)
{
    const struct stored_draft *x = drafts_chosen(d);
    struct buf text = {0}, quoted = {0};
    if (!x)
        return;
    struct flow f = flow_from(&text, r.cols, 0, 0);
    const struct mark m = draft_placed(d, &x->d);
    char time[24];
    time_format_short(x->d.at_us, time);
    flow_text(&f, time);
    place_text(&d->app->show, m.set, m.count, &quoted);
    flow_line(&f, buf_text(&quoted));
    put_remark(d, &x->d, &f);
    const size_t strong = text.n;
    if (*x->d.quote) {
        buf_clear(&quoted);
        buf_printf(&quoted, "\"%s\"", x->d.quote);
        flow_line(&f, quoted.p);
    }
    put_reasons(d, x, &f);
    int rows = 0;
    for (size_t i = 0; i < strong; i++)
        rows += text.p[i] == '\n';
    draw_lines(c, (struct rect){r.row, r.col, rows, r.cols}, ST_STRONG, text.p);
    draw_lines(c, (struct rect){r.row + rows, r.col, r.rows - rows, r.cols}, ST_NORMAL,
               text.p + strong);
    buf_free(&text);
    buf_free(&quoted);
}
