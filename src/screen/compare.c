/* Two rehearsals side by side: what changed between them. */
#include "command/compare.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "paper/compare.h"
#include "screen/draw.h"

enum { HEAD_ROWS = 5, FOOT_ROWS = 3 };

struct line {
    const struct comparison *c;
    const struct compared *p;
    const struct change *x;
};

static void verdict(const void *row, struct buf *out)
{
    buf_str(out, verdict_name(((const struct line *)row)->x->verdict));
}

static void who(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, compare_who(l->c, (size_t)(l->p - l->c->parts)));
}

static void fault(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->c->show->faults[l->x->fault].name);
}

static void marks(const void *row, struct buf *out)
{
    const struct change *x = ((const struct line *)row)->x;
    buf_printf(out, "%4d > %-4d", x->from_marks, x->to_marks);
}

static void chance(const void *row, struct buf *out)
{
    const struct change *x = ((const struct line *)row)->x;
    if (x->tested)
        buf_printf(out, "%.3g", x->p);
}

static const struct list_column columns[] = {
    {"verdict", 1, 11, verdict}, {"who", 13, 20, who}, {"fault", 34, 24, fault},
    {"marks", 59, 12, marks},    {"p", 72, 8, chance}, {NULL, 0, 0, NULL},
};

static void put_side(struct canvas *c, int row, const char *head, const struct comparison_side *s)
{
    struct buf text = {0};
    buf_printf(&text, "%s %s", head, s->n_clips ? s->clips[0].date : "");
    for (size_t i = 0; i < s->n_clips; i++)
        buf_printf(&text, "%s%s", i ? ", " : ": ", s->clips[i].label);
    buf_printf(&text, "   %.1f of %.1f minutes watched", s->watched_min, s->length_min);
    canvas_text(c, strip(row, 1, c->cols - 2), ST_NORMAL, buf_text(&text));
    buf_free(&text);
}

static int list_room(const struct canvas *c)
{
    return c->rows - 1 - HEAD_ROWS - FOOT_ROWS;
}

static void draw_line(const struct desk *d, struct canvas *c, int row, size_t n)
{
    struct line l = {.c = &comparing_now(d)->report};
    l.x = comparing_line(d, n, &l.p);
    if (!l.x)
        return;
    const bool better = l.x->verdict == VERDICT_FIXED || l.x->verdict == VERDICT_FEWER;
    list_line(c, row, columns, &l,
              better                 ? ST_PRAISE
              : compare_changed(l.x) ? ST_SERIOUS
                                     : ST_NORMAL);
    if (n == comparing_now(d)->line)
        canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
}

static void draw(const struct desk *d, struct canvas *c)
{
    const struct comparing *now = comparing_now(d);
    struct buf basis = {0}, foot = {0};
    draw_title(d, c, now->all ? "compare: all lines" : "compare: what changed");
    put_side(c, 1, "from", &now->report.from);
    put_side(c, 2, "to  ", &now->report.to);
    compare_basis(&now->report, &basis);
    draw_lines(c, (struct rect){3, 1, 1, c->cols - 2}, ST_DIM, buf_text(&basis));
    list_head(c, 4, columns);
    const int room = list_room(c);
    const size_t n = comparing_lines(d), first = list_first(now->line, room);
    for (size_t i = first; i < n && i < first + (size_t)room; i++)
        draw_line(d, c, HEAD_ROWS + (int)(i - first), i);
    compare_rest(&now->report, now->all,
                 keymap_key_of(&d->keys, d->screen->keys->name, "compare-all"), &foot);
    compare_halving(&now->report, c->cols - 2, &foot);
    draw_lines(c, (struct rect){c->rows - 1 - FOOT_ROWS, 1, FOOT_ROWS, c->cols - 2}, ST_DIM,
               buf_text(&foot));
    buf_free(&basis);
    buf_free(&foot);
}

static void open(struct desk *d, const char *arg)
{
    char from[16] = "", to[16] = "";
    const int n = sscanf(arg, "%15s %15s", from, to);
    if (n == 1) {
        desk_trouble(d, "compare takes two dates, as 2026-09-01 2026-09-03, or none");
        return;
    }
    if (!comparing_load(d, from, to))
        return;
    comparing_shown(d, true);
    screen_show(d, "compare");
}

static void left(struct desk *d)
{
    comparing_shown(d, false);
}

static void move(struct desk *d, long by)
{
    comparing_choose(d, list_moved(comparing_now(d)->line, comparing_lines(d), by));
}

static void turn(struct desk *d, int by)
{
    comparing_turn(d, abs(by) > 1, by > 0 ? 1 : -1);
}

/* The fix list of whom the line is about. */
static void enter(struct desk *d)
{
    const struct compared *p;
    char line[220];
    if (!comparing_line(d, comparing_now(d)->line, &p))
        return;
    snprintf(line, sizeof line, "fixes %s",
             compare_who(&comparing_now(d)->report, (size_t)(p - comparing_now(d)->report.parts)));
    desk_run(d, line);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    const size_t line =
        list_first(comparing_now(d)->line, list_room(c)) + (size_t)(row - HEAD_ROWS);
    if (row < HEAD_ROWS || row >= HEAD_ROWS + list_room(c) || line >= comparing_lines(d))
        return;
    if (line == comparing_now(d)->line)
        desk_run(d, "open");
    comparing_choose(d, line);
}

static const struct key_row keys_rows[] = {
    LIST_KEYS,
    {"Left", "list <", "The rehearsal before is an earlier one"},
    {"Right", "list >", "The rehearsal before is a later one"},
    {"Shift-Left", "list <<", "The rehearsal after is an earlier one"},
    {"Shift-Right", "list >>", "The rehearsal after is a later one"},
    {"Space", "compare-all", NULL},
    {"Enter", "open", "The fix list of whom the line is about"},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"compare", "in a comparison", keys_rows};

const struct screen screen_compare = {
    .open = {"compare", "[DATE DATE]", "What changed between two rehearsals", open},
    .keys = &keys,
    .hint = " {list <} {list >} another rehearsal before   {compare-all} all lines   {open} their "
            "fix list   "
            "{review} back",
    .draw = draw,
    .move = move,
    .turn = turn,
    .enter = enter,
    .left = left,
    .click = click,
    .wheel = list_wheel,
};
