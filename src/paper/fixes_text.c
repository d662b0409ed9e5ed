/* The fix list as a person reads it on a terminal or a sheet of paper. */
#include <stdio.h>
#include <string.h>

#include "base/utf8.h"
#include "count/timecode.h"
#include "paper/paper.h"

struct line {
    const struct fix_report *r;
    const struct rank_item *item;
    const struct fixes_style *style;
};

static void moment_text(const struct line *l, struct when at, struct buf *out)
{
    char time[24];
    const struct report_clip *c = &l->r->clips[at.clip];
    time_format_short(at.at_us, time);
    if (l->r->n_clips > 1)
        buf_printf(out, "%s ", c->label);
    buf_str(out, time);
}

static void cell_rank(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->rank);
}

/* Lines joined by the same letters cannot honestly be told apart. */
static void cell_marks(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->marks);
    for (int k = 0; k < 26; k++)
        if (l->item->joined & 1u << k)
            buf_char(out, (char)('a' + k));
}

static void cell_runs(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d of %zu", l->item->runs, l->r->n_clips);
}

static void cell_fault(const struct line *l, struct buf *out)
{
    buf_str(out, l->r->show->faults[l->item->fault].name);
    if (l->item->cause == CAUSE_DEFINE)
        buf_str(out, " (define)");
    if (l->item->back)
        buf_str(out, " [back]");
    else if (l->item->state != MARK_OPEN)
        buf_printf(out, " [%s]", mark_state_name(l->item->state));
    if (l->item->timed)
        buf_printf(out, " %+.1f+-%.1f c", l->item->late, l->item->late_error);
}

static void cell_worst_severity(const struct line *l, struct buf *out)
{
    for (int i = 0; i < l->item->severity; i++)
        buf_char(out, '!');
}

static void cell_who(const struct line *l, struct buf *out)
{
    who_text(l->r->show, l->item, 4, out);
}

static void cell_sets(const struct line *l, struct buf *out)
{
    sets_text(l->r->show, l->item, 4, out);
}

static void cell_first(const struct line *l, struct buf *out)
{
    moment_text(l, l->item->first, out);
}

static void cell_worst(const struct line *l, struct buf *out)
{
    moment_text(l, l->item->worst, out);
}

static const struct {
    const char *title;
    int columns, grow; /* grow: share of the room that is left */
    void (*cell)(const struct line *, struct buf *);
    bool moment;
} columns[] = {
    {"#", 3, 0, cell_rank, false},           {"marks", 6, 0, cell_marks, false},
    {"runs", 7, 0, cell_runs, false},        {"fault", 20, 3, cell_fault, false},
    {"!", 3, 0, cell_worst_severity, false}, {"who", 14, 3, cell_who, false},
    {"sets", 8, 1, cell_sets, false},        {"first", 9, 2, cell_first, true},
    {"worst", 9, 2, cell_worst, true},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static void widths(const struct fix_report *r, int width, int out[COLUMNS])
{
    int used = 0, grow = 0;
    for (int i = 0; i < COLUMNS; i++) {
        out[i] = columns[i].columns + (columns[i].moment && r->n_clips > 1 ? 8 : 0);
        used += out[i] + 1;
        grow += columns[i].grow;
    }
    for (int i = 0; i < COLUMNS && width > used; i++)
        out[i] += (width - used) * columns[i].grow / grow;
}

static void end_line(struct buf *out)
{
    while (out->n && out->p[out->n - 1] == ' ')
        out->n--;
    out->p[out->n] = '\0';
    buf_char(out, '\n');
}

/* OSC 8 around a moment, so that a terminal which has links opens the clip there. */
static void link_open(const struct line *l, struct when at, struct buf *out)
{
    buf_str(out, "\033]8;;file://");
    moment_link(l->r->clips[at.clip].path, at.at_us, out);
    buf_str(out, "\033\\");
}

static void put_line(const struct line *l, const int width[COLUMNS], struct buf *out)
{
    struct buf cell = {0}, under = {0};
    for (int i = 0; i < COLUMNS; i++) {
        bool link = columns[i].moment && l->style->links;
        buf_clear(&cell);
        columns[i].cell(l, &cell);
        if (link)
            link_open(l, columns[i].cell == cell_first ? l->item->first : l->item->worst, out);
        pad_text(out, buf_text(&cell), width[i]);
        if (link)
            buf_str(out, "\033]8;;\033\\");
        buf_char(out, ' ');
    }
    end_line(out);
    const char *right = l->r->show->faults[l->item->fault].right;
    if (l->item->rated)
        buf_printf(&under, "%.2g a minute (%.2g to %.2g)%s", l->item->rate, l->item->rate_low,
                   l->item->rate_high, *right && !l->item->praise ? "; right: " : "");
    else if (*right && !l->item->praise)
        buf_str(&under, "right: ");
    if (!l->item->praise)
        buf_str(&under, right);
    if (under.n) {
        buf_printf(out, "%*s", width[0] + width[1] + width[2] + 3, "");
        pad_text(out, under.p, 110);
        end_line(out);
    }
    buf_free(&under);
    buf_free(&cell);
}

static void put_header(const int width[COLUMNS], struct buf *out)
{
    for (int i = 0; i < COLUMNS; i++) {
        pad_text(out, columns[i].title, width[i]);
        buf_char(out, ' ');
    }
    end_line(out);
}

static void put_part(const struct fix_report *r, const struct rank_list *list,
                     const struct fixes_style *style, struct buf *out)
{
    int width[COLUMNS];
    widths(r, style->width ? style->width : 100, width);
    for (size_t i = 0; i < list->n_keep; i++) {
        struct line l = {r, &list->keep[i], style};
        buf_str(out, i ? ", " : "Keep: ");
        buf_printf(out, "%s (%d, first ", r->show->faults[l.item->fault].name,
                   l.item->marks + l.item->clean);
        cell_first(&l, out);
        buf_char(out, ')');
    }
    if (list->n_keep)
        buf_char(out, '\n');
    if (list->n_items == 0)
        return;
    put_header(width, out);
    for (size_t i = 0; i < list->n_items; i++)
        put_line(&(struct line){r, &list->items[i], style}, width, out);
}

static void put_cover(const struct fix_report *r, struct buf *out)
{
    if (r->watched_min <= 0) {
        buf_str(out, "No watching is stored for these clips, so nothing is said about marks a "
                     "minute.\n");
        return;
    }
    buf_printf(out, "%.1f of %.1f minutes were watched", r->watched_min, r->length_min);
    buf_str(out, report_rests_on_little(r) ? ": this list rests on little, its order may change.\n"
                                           : ".\n");
}

static void put_order(const struct fix_report *r, struct buf *out)
{
    const struct rank_list *l = &r->own.list;
    bool joined = false;
    buf_printf(out, "%s\n", rank_rule(l->by));
    for (size_t i = 0; i < l->n_items; i++)
        joined |= l->items[i].joined != 0;
    if (joined)
        buf_str(out, "Lines with the same letter behind their marks cannot be told apart (exact "
                     "conditional test of every pair,\nBenjamini-Hochberg at 0.05).\n");
    if (l->share_items && l->n_items > 1)
        buf_printf(out, "The first %zu of %zu lines make up %.0f %% of the marks.\n",
                   l->share_items, l->n_items, RANK_SHARE * 100);
}

void fixes_text(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    buf_printf(out, "Fix list: %s", report_for(r));
    if (r->performer >= 0 && !style->labels_only && *r->show->performers[r->performer].name)
        buf_printf(out, ", %s", r->show->performers[r->performer].name);
    buf_printf(out, "   %s\n", r->title);
    if (r->n_clips == 1)
        buf_printf(out, "1 clip: %s (%s)\n\n", r->clips[0].label, r->clips[0].date);
    else if (r->n_clips > 1)
        buf_printf(out, "%zu clips: %s (%s) to %s (%s)\n\n", r->n_clips, r->clips[0].label,
                   r->clips[0].date, r->clips[r->n_clips - 1].label, r->clips[r->n_clips - 1].date);
    else
        buf_str(out, "no clips\n\n");
    put_part(r, &r->own.list, style, out);
    if (r->own.list.n_items == 0)
        buf_str(out, "Nothing to fix in these clips.\n");
    for (size_t i = 0; i < r->n_with; i++) {
        buf_printf(out, "\nWith all %s:\n", r->show->sections[r->with[i].section].name);
        put_part(r, &r->with[i].list, style, out);
    }
    buf_char(out, '\n');
    put_cover(r, out);
    put_order(r, out);
}
