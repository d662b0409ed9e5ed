/* The fix list on screen: at the left the lines, ranked by frequency, praise first and the groups above
 * last; at the right the chosen moment (screen/fixes_detail.c). */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/fixes.h"
#include "command/moment.h"
#include "paper/fixes.h"
#include "screen/draw.h"
#include "screen/fixes.h"

enum { HEAD_ROWS = 3, FOOT_ROWS = 3, WIDE = 58, COLUMNS_MOST = 8 };

/* A line of the list, and the part of the report it stands in. */
struct line {
    const struct fix_report *r;
    const struct report_part *p;
    const struct rank_item *i;
    bool define, decided;
};

static void rank(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->i->praise)
        buf_char(out, '+');
    else
        buf_printf(out, "%d", l->i->rank);
}

static void marks(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_printf(out, "%4d", l->i->praise ? rank_seen(l->i) : l->i->marks);
}

static void runs(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_printf(out, "%d of %d", l->i->runs, l->r->n_runs);
}

/* A line that is not simply open says so before its fault. */
static const char *state_sign(const struct rank_item *i)
{
    if (i->praise)
        return "keep ";
    return i->back                   ? "[back] "
           : i->state == MARK_REPPED ? "[repped] "
           : i->state == MARK_CLEAN  ? "[clean] "
                                     : "";
}

static void fault(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (l->p != &l->r->own && !l->decided)
        buf_printf(out, "%s: ", l->r->show->sections[l->p->section].name);
    buf_printf(out, "%s%s%s", l->decided ? "[decided] " : state_sign(l->i),
               l->r->show->faults[l->i->fault].name,
               l->i->cause == CAUSE_DEFINE && !l->define ? " (define)" : "");
}

static void severity(const void *row, struct buf *out)
{
    const struct line *l = row;
    for (int k = 0; k < l->i->severity && !l->i->praise; k++)
        buf_char(out, '!');
}

static void sets(const void *row, struct buf *out)
{
    const struct line *l = row;
    sets_text(l->r->show, l->i, 9, out);
}

static void who(const void *row, struct buf *out)
{
    const struct line *l = row;
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_who(l->r->show, l->i, WHO_ALL, 6, &f);
}

struct fixes_layout fixes_layout(const struct canvas *c)
{
    enum { LEAST = 34, MOST = 72, TEXT_ROWS = 11 };
    int right = c->cols * 44 / 100;
    right = right < LEAST ? LEAST : right > MOST ? MOST : right;
    struct fixes_layout l = {.left = c->cols - right - 1};
    l.right = (struct rect){1, l.left + 1, c->rows - 2, right - 1};
    int rows = (l.right.cols * 9 / 16 + 1) / 2; /* a cell is about twice as high as wide */
    if (rows > l.right.rows - TEXT_ROWS)
        rows = l.right.rows - TEXT_ROWS;
    l.picture = (struct rect){1, l.left + 1, rows, l.right.cols};
    l.text = (struct rect){1 + rows, l.left + 1, l.right.rows - rows, l.right.cols};
    return l;
}

/* What fits beside the moment; the last one takes what is left. */
static void choose_columns(const struct desk *d, int left, struct list_column out[COLUMNS_MOST])
{
    const bool many = fixes_now(d)->report.n_runs > 1, wide = left >= WIDE;
    const int name = wide ? 24 : left - 24;
    int n = 0, col = 14;
    out[n++] = (struct list_column){"#", 1, 3, rank};
    out[n++] = (struct list_column){"marks", 4, 5, marks};
    out[n++] = (struct list_column){"!", 10, 3, severity};
    out[n++] = (struct list_column){"fault", col, name, fault};
    col += name + 1;
    if (wide && many) {
        out[n++] = (struct list_column){"runs", col, 8, runs};
        col += 9;
    }
    out[n++] = (struct list_column){"sets", col, wide ? 8 : left - col - 1, sets};
    if (wide)
        out[n++] = (struct list_column){"who", col + 9, left - col - 10, who};
    out[n] = (struct list_column){NULL, 0, 0, NULL};
}

static void draw_line(const struct desk *d, struct canvas *c, int row, size_t line,
                      const struct list_column *columns)
{
    struct line l = {.r = &fixes_now(d)->report};
    l.i = fixes_item(d, line, &l.p);
    if (!l.i)
        return;
    l.define = fixes_now(d)->define;
    l.decided = l.p == &fixes_now(d)->decided;
    list_line(c, row, columns, &l,
              l.i->praise          ? ST_PRAISE
              : l.i->marks == 0    ? ST_DIM
              : l.i->severity == 3 ? ST_SERIOUS
                                   : ST_NORMAL);
    if (line == fixes_now(d)->line)
        canvas_paint(c, (struct rect){row, 0, 1, fixes_layout(c).left}, ST_CHOSEN);
}

static int list_room(const struct canvas *c)
{
    return c->rows - 1 - HEAD_ROWS - FOOT_ROWS;
}

/* Which lines' order may be chance, at most two rows of it. */
static void draw_order(const struct desk *d, struct canvas *c, int left)
{
    struct buf text = {0};
    struct buf lines = {0};
    fixes_equal(&fixes_now(d)->report.own.list, &text);
    if (text.n && !fixes_now(d)->define) {
        struct flow f = flow_from(&lines, left - 2, 0, 0);
        flow_text(&f, text.p);
        draw_lines(c, (struct rect){c->rows - 1 - FOOT_ROWS + 1, 1, 2, left - 2}, ST_DIM, lines.p);
    }
    buf_free(&lines);
    buf_free(&text);
}

static void draw(const struct desk *d, struct canvas *c)
{
    char what[200];
    const struct fix_report *r = &fixes_now(d)->report;
    const struct fixes_layout at = fixes_layout(c);
    struct list_column columns[COLUMNS_MOST];
    snprintf(what, sizeof what, "%s: %s   %d run%s",
             fixes_now(d)->define ? "to decide" : "fix list", report_for(r), r->n_runs,
             r->n_runs == 1 ? "" : "s");
    draw_title(d, c, what);
    choose_columns(d, at.left, columns);
    canvas_text(c, strip(1, 1, at.left - 2), ST_DIM, "a section's key turns to its list");
    list_head(c, 2, columns);
    int room = list_room(c);
    size_t n = fixes_lines(d), first = list_first(fixes_now(d)->line, room);
    for (size_t i = first; i < n && i < first + (size_t)room; i++)
        draw_line(d, c, HEAD_ROWS + (int)(i - first), i, columns);
    if (n == 0)
        canvas_text(c, strip(HEAD_ROWS, 1, at.left - 2), ST_NORMAL,
                    fixes_now(d)->define ? "Nothing waits for a decision."
                                         : "Nothing to fix in these clips.");
    draw_order(d, c, at.left);
    fixes_draw_detail(d, c, &at);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    if (col >= fixes_layout(c).left) {
        if (row < fixes_layout(c).text.row)
            desk_run(d, "open");
        return;
    }
    size_t now = fixes_now(d)->line;
    size_t line = list_first(now, list_room(c)) + (size_t)(row - HEAD_ROWS);
    if (row < HEAD_ROWS || row >= HEAD_ROWS + list_room(c) || line >= fixes_lines(d))
        return;
    if (line == now)
        desk_run(d, "open");
    fixes_choose(d, line, 0);
}

static void show(struct desk *d, const char *arg, const char *screen)
{
    if (!(*arg ? fixes_turn(d, arg) : fixes_load(d, fixes_now(d)->for_whom)))
        return;
    fixes_shown(d, true);
    screen_show(d, screen);
}

static void open(struct desk *d, const char *arg)
{
    fixes_choose_define(d, false);
    show(d, arg, "fixes");
}

static void open_define(struct desk *d, const char *arg)
{
    fixes_choose_define(d, true);
    show(d, arg, "define");
}

static void left(struct desk *d)
{
    fixes_shown(d, false);
}

/* A section's key turns to that section's list. */
static void turn_to(struct desk *d, int section)
{
    fixes_turn(d, d->app->show.sections[section].name);
}

static bool key(struct desk *d, const char *name)
{
    return chord_choose(d, name, turn_to);
}

static void move(struct desk *d, long by)
{
    fixes_choose(d, list_moved(fixes_now(d)->line, fixes_lines(d), by), 0);
}

static void turn(struct desk *d, int by)
{
    const struct report_moment *ignored;
    const struct fixes *f = fixes_now(d);
    fixes_choose(d, f->line, list_moved(f->moment, fixes_moments(d, &ignored), by));
}

static void enter(struct desk *d)
{
    const struct report_moment *m;
    if (fixes_moments(d, &m) && m)
        moment_play(d, fixes_now(d)->report.clips[m->at.clip].id, m->at.at_us, m->mark);
}

static const struct key_row keys_rows[] = {
    LIST_KEYS,
    {"Left", "list <", "The moment before of this line"},
    {"Right", "list >", "The next moment of this line"},
    {"Enter", "open", NULL},
    {"Space", "state next", "Open, then repped, then clean, then open again"},
    {"*", "decide", NULL},
    {NULL, NULL, NULL},
};

static const struct key_table keys = {"fixes", "in the fix list", keys_rows};

/* Two lists of one kind: what both do. */
#define LIST_SCREEN                                                                                \
    .keys = &keys, .draw = draw, .key = key, .move = move, .still = fixes_still, .turn = turn,     \
    .enter = enter, .left = left, .click = click, .wheel = list_wheel

const struct screen screen_fixes = {
    .open = {"fixes", "[WHO]", "The fix list", open},
    .hint = " {list >} turns the moments   {open} plays   {state next} open, repped, clean   "
            "{review} back",
    LIST_SCREEN,
};

const struct screen screen_define = {
    .open = {"define", "[WHO]", "What the staff must decide, and what it has", open_define},
    .hint = " {list >} turns the moments   {open} plays   {decide} writes down what right is   "
            "{review} back",
    LIST_SCREEN,
};
