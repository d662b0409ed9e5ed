/* The rep plan: blocks in time, what each is for, what the choices cost. */
#include "command/plan.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/moment.h"
#include "paper/plan.h"
#include "screen/draw.h"
#include "screen/plan_day.h"

enum { HEAD_ROWS = 2, DETAIL_ROWS = 8 };

/* Where the day stands. */
static struct rect day_room(const struct canvas *c)
{
    return (struct rect){HEAD_ROWS, 0, c->rows - 1 - HEAD_ROWS - DETAIL_ROWS, c->cols};
}

/* Why the chosen chunk's first rep is walked; returns the row behind it. */
static int draw_walk(const struct desk_plan *p, struct canvas *c, int row, int last)
{
    const struct rep_block *b = &p->kept.blocks[p->line];
    struct buf text = {0};
    if (!b->walk_s)
        return row;
    buf_printf(&text, "%s, %d:%02d; ", PLAN_WALK_FIRST, b->walk_s / 60, b->walk_s % 60);
    if (p->draft) {
        const struct plan_spot at = plan_spot_of(p);
        plan_walks_text(&p->report, &p->report.plan.blocks[at.block].list[at.work], &text);
    }
    row = draw_wrapped(c, row, last, ST_STRONG, buf_text(&text));
    buf_free(&text);
    return row;
}

/* What the chosen chunk is: "set 8, 8 counts at 148, 7 reps of 0:30 from 18:06". */
static int draw_what(const struct desk_plan *p, struct canvas *c, int row)
{
    const struct rep_block *b = &p->kept.blocks[p->line];
    struct buf text = {0};
    char clock[24];
    if (b->kind != PLAN_SECTIONAL || !*b->sets)
        return row;
    buf_printf(&text, "%s  %s: set %s, %d counts", app_plan_number(&p->kept, p->line, clock),
               b->who, b->sets, b->counts);
    if (b->bpm_low > 0)
        buf_printf(&text, " at %.0f", b->bpm_low);
    if (b->bpm_high > b->bpm_low)
        buf_printf(&text, "-%.0f", b->bpm_high);
    buf_printf(&text, ", %d rep%s of %d:%02d from %s", b->reps, b->reps == 1 ? "" : "s",
               b->rep_s / 60, b->rep_s % 60,
               plan_clock(p->kept.start_min, b->begins_s / 60 * 60, clock));
    canvas_text(c, strip(row, 1, c->cols - 2), ST_STRONG, text.p);
    buf_free(&text);
    return row + 1;
}

/* The fixes of the chosen chunk. */
static int draw_fixes(const struct desk_plan *p, struct canvas *c, int row, size_t most)
{
    const struct plan_words *w = &p->words[p->line];
    for (size_t i = 0; i < w->n && i < most; i++)
        canvas_printf(c, strip(row++, 1, c->cols - 2), ST_NORMAL, "%s%s", w->fix[i],
                      i == most - 1 && w->n > most ? "  and more" : "");
    return row;
}

/* Lines of a text, wrapped, as far as there is room; returns the row behind them. */
static int draw_text(struct canvas *c, int row, int last, enum style style, const char *s)
{
    struct buf line = {0};
    for (; *s && row <= last; s += strcspn(s, "\n"), s += *s == '\n') {
        buf_clear(&line);
        buf_add(&line, s, strcspn(s, "\n"));
        row = draw_wrapped(c, row, last, style, buf_text(&line));
    }
    buf_free(&line);
    return row;
}

/* The heat first; then what is stored, a line each, of which the last is who decides. */
static void draw_cautions(const struct desk_plan *p, struct canvas *c, int row, int last)
{
    struct buf cautions = {0};
    buf_str(&cautions, p->kept.cautions);
    while (cautions.n > 0 && cautions.p[cautions.n - 1] == '\n')
        cautions.p[--cautions.n] = '\0';
    char *cut = cautions.n ? strrchr(cautions.p, '\n') : NULL;
    const char *who = cut ? cut + 1 : cautions.n ? cautions.p : HEAT_REMINDER;
    const int behind = draw_wrapped(c, last - 1, last, ST_STRONG, who);
    const int foot = behind > last ? last - 2 : last - 1;
    if (cut)
        *cut = '\0';
    row = draw_text(c, row, foot, ST_STRONG, p->weather);
    if (cut)
        draw_text(c, row, foot, ST_NORMAL, cautions.p);
    buf_free(&cautions);
}

/* Down to the foot, which may take a row more: who decides is never covered. */
static void draw_detail(const struct desk *d, struct canvas *c, int row)
{
    const struct desk_plan *p = plan_now(d);
    const int last = row + DETAIL_ROWS - draw_foot_rows(d, c);
    for (int col = 0; col < c->cols; col++)
        canvas_text(c, strip(row, col, 1), ST_DIM, glyph(c, "─", "-"));
    int at = row + 1;
    if (p->line < p->kept.n_blocks) {
        at = draw_walk(p, c, draw_what(p, c, at), last - 3);
        at = draw_fixes(p, c, at, *p->weather ? 1 : at > row + 1 ? 2 : 3);
    }
    draw_cautions(p, c, at, last);
}

/* Only what works on this plan at once. */
static const char *keys_text(const struct desk_plan *p)
{
    if (plan_may_change(p))
        return "{reps +} {reps -} reps  {shift -} {shift +} move  {keep} keep  {drop} drop  "
               "{tick} done  {open} moment  {plan-form} form";
    return "{tick} done   {open} first moment   {plan-form} form   a change plans anew";
}

static void draw(const struct desk *d, struct canvas *c)
{
    const struct desk_plan *p = plan_now(d);
    char what[120], start[24];
    if (!p) {
        draw_title(d, c, "rep plan");
        draw_keys(d, c, strip(2, 2, c->cols - 4), ST_NORMAL,
                  "No plan yet: type :plan 90 18:00, or {plan-form} opens the form");
        return;
    }
    plan_clock(p->kept.start_min, 0, start);
    snprintf(what, sizeof what, "rep plan %s%s%s%s%s, %d min  %s", *p->wbgt ? "WBGT " : "", p->wbgt,
             strncmp(p->weather, "INDOORS", 7) == 0 ? " indoors" : "", *p->wbgt ? ", " : "", start,
             p->kept.minutes, p->date);
    draw_title(d, c, what);
    draw_keys(d, c, strip(1, 1, c->cols - 2), ST_DIM, keys_text(p));
    plan_day_draw(p, c, day_room(c));
    draw_detail(d, c, c->rows - 1 - DETAIL_ROWS);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    struct desk_plan *p = plan_now(d);
    const size_t line = p ? plan_day_row_at(p, day_room(c), row, col) : 0;
    if (p && line < p->kept.n_blocks)
        p->line = line;
}

static void move(struct desk *d, long by)
{
    struct desk_plan *p = plan_now(d);
    if (p && p->line < p->kept.n_blocks)
        p->line = plan_day_moved(p, by);
}

static void turn(struct desk *d, int by)
{
    struct desk_plan *p = plan_now(d);
    if (p && p->line < p->kept.n_blocks)
        p->line = plan_day_beside(p, by);
}

static void enter(struct desk *d)
{
    int64_t clip, at_us, mark;
    if (plan_moment(d, &clip, &at_us, &mark))
        moment_play(d, clip, at_us, mark);
}

static const struct key_row keys_rows[] = {
    {"Up", "list -1", "One line up"},
    {"Down", "list +1", "One line down"},
    {"PageUp", "list -10", "Ten lines up"},
    {"PageDown", "list +10", "Ten lines down"},
    {"Left", "list <", "The section at the left, in the sectional period"},
    {"Right", "list >", "The section at the right, in the sectional period"},
    {"Enter", "open", NULL},
    {"Esc", "review", "Back to the review"},
    {"+", "reps +", "One rep more"},
    {"-", "reps -", "One rep less"},
    {"<", "shift -", "Earlier"},
    {">", "shift +", "Later"},
    {"=", "keep", NULL},
    {"Delete", "drop", NULL},
    {"Space", "tick", NULL},
    {"Tab", "plan-form", NULL},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"plan", "in the rep plan", keys_rows};

const struct screen screen_plan = {
    .open = {"plan", "[MINUTES [START] [88F|none]|YYYY-MM-DD]",
             "The rep plan; 88F is a measured WBGT; the stored plan of a day", plan_open},
    .keys = &keys,
    .hint = " arrows choose   {review} back to the review",
    .draw = draw,
    .move = move,
    .turn = turn,
    .enter = enter,
    .undo = plan_undo,
    .click = click,
    .wheel = list_wheel,
};
