/* The rep plan: blocks in time, what each is for, what the choices cost. */
#include "command/plan.h"

#include <stdio.h>

#include "paper/plan.h"
#include "screen/screen.h"

enum { HEAD_ROWS = 3, DETAIL_ROWS = 9 };

static size_t first_line(const struct desk *d, int room)
{
    return d->plan->line >= (size_t)room ? d->plan->line - (size_t)room + 1 : 0;
}

static int list_room(const struct canvas *c)
{
    return c->rows - 1 - HEAD_ROWS - DETAIL_ROWS;
}

static void draw_block(const struct desk *d, struct canvas *c, int row, size_t i)
{
    const struct plan_report *r = &d->plan->report;
    const struct plan_block *b = &r->plan.blocks[i];
    const struct rep_block *kept = &d->plan->kept.blocks[i];
    bool reps = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
    char clock[24];
    struct buf sets = {0};
    plan_clock(r->plan.start_min, b->start_s, clock);
    plan_sets_text(r, b, &sets);
    canvas_printf(c, row, 1, 4, ST_STRONG, "[%c]", kept->reps_made >= 0 ? 'x' : ' ');
    canvas_text(c, row, 5, 9, ST_NORMAL, clock);
    canvas_printf(c, row, 14, 7, ST_NORMAL, "%3d:%02d", b->seconds / 60, b->seconds % 60);
    if (reps) {
        canvas_text(c, row, 22, 18, ST_NORMAL, plan_who(r, b->group));
        canvas_printf(c, row, 41, 16, ST_STRONG, "set %s", buf_text(&sets));
        canvas_printf(c, row, 58, c->cols - 59, ST_NORMAL, "%d rep%s of %d:%02d  gain %.1f%s",
                      b->reps, b->reps == 1 ? "" : "s", b->rep_s / 60, b->rep_s % 60, b->gain,
                      b->kept ? "  kept" : "");
    } else {
        canvas_text(c, row, 22, c->cols - 23, ST_DIM,
                    b->kind == PLAN_BREAK ? "water and rest" : b->name);
    }
    if (i == d->plan->line)
        canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
    buf_free(&sets);
}

static void draw_detail(const struct desk *d, struct canvas *c, int row)
{
    const struct plan_report *r = &d->plan->report;
    for (int col = 0; col < c->cols; col++)
        canvas_text(c, row, col, 1, ST_DIM, glyph(c, "─", "-"));
    if (d->plan->line < r->plan.n_blocks) {
        const struct plan_block *b = &r->plan.blocks[d->plan->line];
        for (size_t i = 0; i < b->n_fixes && i < 4; i++)
            canvas_printf(c, row + 1 + (int)i, 1, c->cols - 2, ST_NORMAL, "%s (%d)%s",
                          r->in.items[b->fixes[i]].name, r->targets[b->fixes[i]].marks,
                          i == 3 && b->n_fixes > 4 ? "  and more" : "");
    }
    /* The last caution is always the reminder who decides. */
    for (size_t i = 0; i < r->plan.n_cautions && i < 3; i++) {
        size_t at = r->plan.n_cautions <= 3 ? i : i < 2 ? i : r->plan.n_cautions - 1;
        canvas_text(c, row + 5 + (int)i, 1, c->cols - 2, ST_STRONG, r->plan.cautions[at]);
    }
}

static void draw(const struct desk *d, struct canvas *c)
{
    char what[120], start[24];
    if (!d->plan) {
        draw_title(d, c, "rep plan");
        canvas_text(c, 2, 2, c->cols - 4, ST_NORMAL, "No plan yet: type :plan 90 18:00");
        return;
    }
    const struct plan_report *r = &d->plan->report;
    plan_clock(r->plan.start_min, 0, start);
    snprintf(what, sizeof what, "rep plan %s %s, %d minutes: gain %.1f of %.1f", d->plan->date,
             start, d->plan->minutes, r->plan.gain, r->plan.weight);
    draw_title(d, c, what);
    canvas_text(c, 1, 1, c->cols - 2, ST_DIM,
                "+ - reps   < > move   = keep   Delete drop   Space done   Enter first moment");
    canvas_printf(c, 2, 1, c->cols - 2, ST_DIM, "    %-8s %6s  %-18s %s", "start", "length", "who",
                  "what");
    int room = list_room(c);
    size_t first = first_line(d, room);
    for (size_t i = first; i < r->plan.n_blocks && i < first + (size_t)room; i++)
        draw_block(d, c, HEAD_ROWS + (int)(i - first), i);
    draw_detail(d, c, c->rows - 1 - DETAIL_ROWS);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    if (!d->plan || row < HEAD_ROWS || row >= HEAD_ROWS + list_room(c))
        return;
    size_t line = first_line(d, list_room(c)) + (size_t)(row - HEAD_ROWS);
    if (line < d->plan->report.plan.n_blocks)
        d->plan->line = line;
}

static void wheel(struct desk *d, int by)
{
    desk_run(d, by > 0 ? "list -1" : "list +1");
}

const struct screen_ops screen_plan = {
    .title = "plan",
    .hint = " arrows choose   {open} plays the first moment   {review} back to the review",
    .draw = draw,
    .click = click,
    .wheel = wheel,
};
