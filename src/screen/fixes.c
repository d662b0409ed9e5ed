/* The fix list on screen: praise, lines ranked by frequency, the groups above, and the moments of
 * the chosen line. */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/fixes.h"
#include "command/moment.h"
#include "count/timecode.h"
#include "screen/draw.h"

enum { HEAD_ROWS = 3, DETAIL_ROWS = 5 };

/* A line of the list, and the part of the report it stands in. */
struct line {
    const struct fix_report *r;
    const struct report_part *p;
    const struct rank_item *i;
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
    buf_printf(out, "%4d", l->i->praise ? l->i->marks + l->i->clean : l->i->marks);
}

static void clips(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_printf(out, "%d of %zu", l->i->runs, l->r->n_clips);
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
    buf_printf(out, "%s%s%s", state_sign(l->i), l->r->show->faults[l->i->fault].name,
               l->i->cause == CAUSE_DEFINE ? " (define)" : "");
}

static void severity(const void *row, struct buf *out)
{
    const struct line *l = row;
    for (int k = 0; k < l->i->severity && !l->i->praise; k++)
        buf_char(out, '!');
}

static void who(const void *row, struct buf *out)
{
    const struct line *l = row;
    const struct show *show = l->r->show;
    if (l->p != &l->r->own)
        buf_printf(out, "with all %s: ", show->sections[l->p->section].name);
    for (size_t k = 0; k < l->i->n_who && k < 6; k++)
        buf_printf(out, "%s%s %d", k ? ", " : "",
                   l->i->who[k].performer ? show->performers[l->i->who[k].position].label
                                          : show->sections[l->i->who[k].position].name,
                   l->i->who[k].marks);
}

static const struct list_column columns[] = {
    {"#", 1, 3, rank},        {"marks", 4, 6, marks}, {"clips", 10, 8, clips},
    {"fault", 18, 26, fault}, {"!", 45, 4, severity}, {"who", 49, 0, who},
    {NULL, 0, 0, NULL},
};

static void draw_line(const struct desk *d, struct canvas *c, int row, size_t line)
{
    struct line l = {.r = &fixes_now(d)->report};
    l.i = fixes_item(d, line, &l.p);
    if (!l.i)
        return;
    list_line(c, row, columns, &l,
              l.i->praise          ? ST_PRAISE
              : l.i->severity == 3 ? ST_SERIOUS
                                   : ST_NORMAL);
    if (line == fixes_now(d)->line)
        canvas_paint(c, (struct rect){row, 0, 1, c->cols}, ST_CHOSEN);
}

/* The moments of the chosen line, the chosen one lit, as many as fit on one row. */
static void draw_moments(const struct desk *d, struct canvas *c, int row,
                         const struct report_part *p, const struct rank_item *item)
{
    size_t n = 0;
    int col = 1;
    for (size_t i = 0; i < p->n_moments; i++) {
        const struct report_moment *m = &p->moments[i];
        if (m->fault != item->fault || m->praise != item->praise)
            continue;
        bool chosen = n == fixes_now(d)->moment;
        if (n++ + 4 < fixes_now(d)->moment)
            continue;
        char time[24];
        time_format_short(m->at.at_us, time);
        if (col < c->cols - 12)
            col = canvas_printf(c, strip(row, col, c->cols - col - 1), chosen ? ST_NOW : ST_NORMAL,
                                " %s %s ", fixes_now(d)->report.clips[m->at.clip].label, time) +
                  1;
        if (chosen && *m->note && fixes_now(d)->report.n_clips == 1)
            canvas_printf(c, strip(row + 1, 2, c->cols - 3), ST_NORMAL, "note: %s", m->note);
    }
}

/* A bar for each clip, oldest first: how often the line was seen there. */
static void draw_history(const struct desk *d, struct canvas *c, int row,
                         const struct rank_item *item)
{
    static const char *const bars[] = {"▁", "▂", "▃", "▄", "▅", "▆", "▇", "█"};
    static const char *const plain[] = {".", "-", "-", "=", "=", "#", "#", "#"};
    int most = 1, col = 2;
    for (size_t i = 0; i < fixes_now(d)->report.n_clips; i++)
        most = item->per_clip[i] > most ? item->per_clip[i] : most;
    for (size_t i = 0; i < fixes_now(d)->report.n_clips && col < c->cols - 18; i++) {
        int n = item->per_clip[i], bar = n * 7 / most;
        col = canvas_printf(c, strip(row, col, 16), ST_NORMAL, "%s %s %d",
                            fixes_now(d)->report.clips[i].date + 5, glyph(c, bars[bar], plain[bar]),
                            n) +
              2;
    }
}

static void draw_detail(const struct desk *d, struct canvas *c, int row)
{
    const struct report_part *p;
    const struct rank_item *i = fixes_item(d, fixes_now(d)->line, &p);
    for (int col = 0; col < c->cols; col++)
        canvas_text(c, strip(row, col, 1), ST_DIM, glyph(c, "─", "-"));
    if (!i)
        return;
    const struct fault *f = &d->app->show.faults[i->fault];
    canvas_printf(c, strip(row + 1, 1, c->cols - 2), ST_STRONG, "%s: %s", f->name,
                  *f->right ? f->right : f->family);
    draw_moments(d, c, row + 2, p, i);
    if (fixes_now(d)->report.n_clips > 1)
        draw_history(d, c, row + 3, i);
    canvas_text(c, strip(row + 4, 1, c->cols - 2), ST_DIM, RANK_RULE);
}

static int list_room(const struct canvas *c)
{
    return c->rows - 1 - HEAD_ROWS - DETAIL_ROWS;
}

static void draw(const struct desk *d, struct canvas *c)
{
    char what[200];
    snprintf(what, sizeof what, "fix list: %s   %zu clip%s", report_for(&fixes_now(d)->report),
             fixes_now(d)->report.n_clips, fixes_now(d)->report.n_clips == 1 ? "" : "s");
    draw_title(d, c, what);
    canvas_text(c, strip(1, 1, c->cols - 2), ST_DIM,
                "a section's key turns to its list; left and right choose a moment");
    list_head(c, 2, columns);
    int room = list_room(c);
    size_t n = fixes_lines(d), first = list_first(fixes_now(d)->line, room);
    for (size_t i = first; i < n && i < first + (size_t)room; i++)
        draw_line(d, c, HEAD_ROWS + (int)(i - first), i);
    if (n == 0)
        canvas_text(c, strip(HEAD_ROWS, 1, c->cols - 2), ST_NORMAL,
                    "Nothing to fix in these clips.");
    draw_detail(d, c, c->rows - 1 - DETAIL_ROWS);
}

static void click(struct desk *d, const struct canvas *c, int row, int col)
{
    (void)col;
    size_t now = fixes_now(d)->line;
    size_t line = list_first(now, list_room(c)) + (size_t)(row - HEAD_ROWS);
    if (row < HEAD_ROWS || row >= HEAD_ROWS + list_room(c) || line >= fixes_lines(d))
        return;
    if (line == now)
        desk_run(d, "open");
    fixes_choose(d, line, 0);
}

static void open(struct desk *d, const char *arg)
{
    if (!(*arg ? fixes_turn(d, arg) : fixes_load(d, fixes_now(d)->for_whom)))
        return;
    fixes_shown(d, true);
    screen_show(d, "fixes");
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

const struct screen screen_fixes = {
    .open = {"fixes", "[WHO]", "The fix list", open},
    .keys = &keys_lists,
    .hint = " arrows choose   {open} plays the moment   {state open} {state repped} {state clean} "
            "open repped clean   {review} back",
    .draw = draw,
    .key = key,
    .move = move,
    .turn = turn,
    .enter = enter,
    .left = left,
    .click = click,
    .wheel = list_wheel,
};
