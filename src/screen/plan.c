/* The rep plan: blocks in time, what each is for, what the choices cost. */
#include "command/plan.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/moment.h"
#include "paper/plan.h"
#include "screen/draw.h"

enum { HEAD_ROWS = 3, DETAIL_ROWS = 9, NARROW = 90 };

static int list_room(const struct canvas *c)
{
    return c->rows - 1 - HEAD_ROWS - DETAIL_ROWS;
}

/* "8 reps of 0:35, walk 1st kept"; the length gives way where there is little room. */
static void draw_reps(const struct desk_plan *p, struct canvas *c, int row, size_t i)
{
    const struct rep_block *b = &p->kept.blocks[i];
    const struct plan_block *full = p->draft ? &p->report.plan.blocks[i] : NULL;
    const bool room = c->cols > NARROW || !*b->what;
    int col = canvas_printf(c, strip(row, 58, c->cols - 59), ST_NORMAL, "%d rep%s", b->reps,
                            b->reps == 1 ? "" : "s");
    if (full && room)
        col = canvas_printf(c, strip(row, col, c->cols - col - 1), ST_NORMAL, " of %d:%02d",
                            full->rep_s / 60, full->rep_s % 60);
    if (*b->what)
        col = canvas_printf(c, strip(row, col, c->cols - col - 1), ST_NORMAL, ", walk 1st");
    if (full && full->kept)
        canvas_printf(c, strip(row, col, c->cols - col - 1), ST_NORMAL, " kept");
}

static void draw_block(const struct desk *d, struct canvas *c, int row, size_t i)
{
    const struct desk_plan *p = plan_now(d);
    const struct rep_block *b = &p->kept.blocks[i];
    bool reps = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
    char clock[24];
    plan_clock(p->kept.start_min, b->start_s, clock);
    canvas_printf(c, strip(row, 1, 4), ST_STRONG, "[%c]", b->reps_made >= 0 ? 'x' : ' ');
    canvas_text(c, strip(row, 5, 9), ST_NORMAL, clock);
    canvas_printf(c, strip(row, 14, 7), ST_NORMAL, "%3d:%02d", b->seconds / 60, b->seconds % 60);
    if (reps) {
        canvas_text(c, strip(row, 22, 18), ST_NORMAL, b->who);
        canvas_printf(c, strip(row, 41, 16), ST_STRONG, "set %s", b->sets);
        draw_reps(p, c, row, i);
    } else {
        canvas_text(c, strip(row, 22, c->cols - 23), ST_DIM, b->what);
    }
    if (i == p->line)
        canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
}

/* Text over several rows, broken at blanks; returns the row behind it. */
static int draw_wrapped(struct canvas *c, int row, int last, enum style style, const char *text)
{
    char line[300];
    while (*text && row <= last) {
        size_t n = strlen(text), most = (size_t)c->cols - 2;
        if (n > most && row < last) {
            for (n = most; n > most / 2 && text[n] != ' '; n--)
                ;
        }
        snprintf(line, sizeof line, "%.*s", (int)(n < sizeof line ? n : sizeof line - 1), text);
        canvas_text(c, strip(row++, 1, c->cols - 2), style, line);
        text += n;
        text += *text == ' ';
    }
    return row;
}

/* Why the chosen block's first rep is walked; returns the row behind it. */
static int draw_walk(const struct desk_plan *p, struct canvas *c, int row, int last)
{
    const struct rep_block *b = p->line < p->kept.n_blocks ? &p->kept.blocks[p->line] : NULL;
    const bool reps = b && (b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL);
    if (!reps || !*b->what)
        return row;
    if (!p->draft)
        return draw_wrapped(c, row, last, ST_STRONG, b->what);
    const struct plan_block *full = &p->report.plan.blocks[p->line];
    struct buf text = {0};
    buf_printf(&text, "%s, %d:%02d; ", b->what, full->walk_s / 60, full->walk_s % 60);
    for (int s = full->first_set; s <= full->last_set; s++)
        if (p->report.in.sets[s].walk)
            buf_printf(&text, "set %s: %s. ", p->report.in.sets[s].label,
                       p->report.in.sets[s].walk);
    row = draw_wrapped(c, row, last, ST_STRONG, buf_text(&text));
    buf_free(&text);
    return row;
}

static void draw_detail(const struct desk *d, struct canvas *c, int row)
{
    const struct plan_report *r = &plan_now(d)->report;
    for (int col = 0; col < c->cols; col++)
        canvas_text(c, strip(row, col, 1), ST_DIM, glyph(c, "─", "-"));
    const struct plan_words *w = plan_now(d)->line < plan_now(d)->kept.n_blocks
                                     ? &plan_now(d)->words[plan_now(d)->line]
                                     : NULL;
    int at = row + 1, foot = row + DETAIL_ROWS - 1;
    const int walked = draw_walk(plan_now(d), c, at, foot - 3);
    const size_t most = walked > at ? 3 : 4;
    at = walked;
    for (size_t i = 0; w && i < w->n && i < most; i++)
        canvas_printf(c, strip(at++, 1, c->cols - 2), ST_NORMAL, "%s%s", w->fix[i],
                      i == most - 1 && w->n > most ? "  and more" : "");
    /* The reminder who decides always stands there; it is the last caution of a fresh plan. */
    const char *reminder =
        r->plan.n_cautions ? r->plan.cautions[r->plan.n_cautions - 1] : HEAT_REMINDER;
    int last = draw_wrapped(c, foot - 1, foot, ST_STRONG, reminder) > foot ? foot - 2 : foot - 1;
    for (size_t i = 0; i + 1 < r->plan.n_cautions && at <= last; i++)
        at = draw_wrapped(c, at, last, ST_NORMAL, r->plan.cautions[i]);
}

/* Only what works on this plan. */
static const char *keys_text(const struct desk_plan *p)
{
    if (plan_may_change(p))
        return "{reps +} {reps -} reps   {shift -} {shift +} move   {keep} keep   {drop} drop   "
               "{tick} done   {open} first moment";
    return p->draft ? "{tick} done   {open} first moment   :plan MINUTES START plans what is left"
                    : "{tick} done   :plan MINUTES START makes a new one";
}

static void draw(const struct desk *d, struct canvas *c)
{
    char what[120], start[24];
    if (!plan_now(d)) {
        draw_title(d, c, "rep plan");
        canvas_text(c, strip(2, 2, c->cols - 4), ST_NORMAL, "No plan yet: type :plan 90 18:00");
        return;
    }
    plan_clock(plan_now(d)->start_min, 0, start);
    snprintf(what, sizeof what, "rep plan %s%s%s%s, %d min  %s", *plan_now(d)->wbgt ? "WBGT " : "",
             plan_now(d)->wbgt, *plan_now(d)->wbgt ? ", " : "", start, plan_now(d)->minutes,
             plan_now(d)->date);
    draw_title(d, c, what);
    draw_keys(d, c, strip(1, 1, c->cols - 2), ST_DIM, keys_text(plan_now(d)));
    canvas_printf(c, strip(2, 1, c->cols - 2), ST_DIM, "    %-8s %6s  %-18s %s", "start", "length",
                  "who", "what");
    int room = list_room(c);
    size_t first = list_first(plan_now(d)->line, room);
    for (size_t i = first; i < plan_now(d)->kept.n_blocks && i < first + (size_t)room; i++)
        draw_block(d, c, HEAD_ROWS + (int)(i - first), i);
    draw_detail(d, c, c->rows - 1 - DETAIL_ROWS);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    if (!plan_now(d) || row < HEAD_ROWS || row >= HEAD_ROWS + list_room(c))
        return;
    size_t line = list_first(plan_now(d)->line, list_room(c)) + (size_t)(row - HEAD_ROWS);
    if (line < plan_now(d)->kept.n_blocks)
        plan_now(d)->line = line;
}

static void move(struct desk *d, long by)
{
    struct desk_plan *p = plan_now(d);
    if (p)
        p->line = list_moved(p->line, p->kept.n_blocks, by);
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
    {"Enter", "open", NULL},
    {"Esc", "review", "Back to the review"},
    {"+", "reps +", "One rep more"},
    {"-", "reps -", "One rep less"},
    {"<", "shift -", "Earlier"},
    {">", "shift +", "Later"},
    {"=", "keep", NULL},
    {"Delete", "drop", NULL},
    {"Space", "tick", NULL},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"plan", "in the rep plan", keys_rows};

const struct screen screen_plan = {
    .open = {"plan", "[MINUTES [START] [88F|none]]", "The rep plan; 88F is a measured WBGT",
             plan_open},
    .keys = &keys,
    .hint = " arrows choose   {review} back to the review",
    .draw = draw,
    .move = move,
    .enter = enter,
    .undo = plan_undo,
    .click = click,
    .wheel = list_wheel,
};
