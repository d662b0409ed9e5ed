/* The fix list as a person reads it on a terminal or a sheet of paper. */
#include <stdio.h>
#include <string.h>

#include "count/timecode.h"
#include "paper/paper.h"

struct line {
    const struct fix_report *r;
    const struct rank_item *item;
    const struct fixes_style *style;
};

/* "tuesday 5:58.2"; a label is cut before a time is. columns 0: nothing is cut. */
static void moment_text(const struct line *l, struct when at, int columns, struct buf *out)
{
    char time[24];
    const char *label = l->r->clips[at.clip].label;
    time_format_short(at.at_us, time);
    int room = columns - (int)strlen(time) - 1;
    if (l->r->n_clips > 1 && columns && text_width(label) > room)
        pad_text(out, label, room > 0 ? room : 0);
    else if (l->r->n_clips > 1)
        put_text(out, label);
    if (l->r->n_clips > 1)
        buf_char(out, ' ');
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
    rank_joined_text(l->item, out);
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

static struct when at_first(const struct rank_item *i)
{
    return i->first;
}

static struct when at_worst(const struct rank_item *i)
{
    return i->worst;
}

static const struct sheet_column {
    const char *title;
    int least; /* it may be cut down to so many columns; 0: not at all */
    void (*cell)(const struct line *, struct buf *);
    struct when (*moment)(const struct rank_item *); /* in place of a cell */
} columns[] = {
    {"#", 0, cell_rank, NULL},           {"marks", 0, cell_marks, NULL},
    {"runs", 0, cell_runs, NULL},        {"fault", 16, cell_fault, NULL},
    {"!", 0, cell_worst_severity, NULL}, {"who", 8, cell_who, NULL},
    {"sets", 6, cell_sets, NULL},        {"first", 11, NULL, at_first},
    {"worst", 11, NULL, at_worst},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static void cell_text(const struct line *l, int column, int width, struct buf *out)
{
    const struct sheet_column *c = &columns[column];
    buf_clear(out);
    if (c->moment)
        moment_text(l, c->moment(l->item), width, out);
    else
        c->cell(l, out);
}

/* As wide as the widest cell; on a terminal what is widest gives way until a line fits. */
static void widths(const struct fix_report *r, const struct rank_list *list, int width,
                   int out[COLUMNS])
{
    struct buf cell = {0};
    int used = COLUMNS - 1;
    for (int i = 0; i < COLUMNS; i++) {
        out[i] = text_width(columns[i].title);
        for (size_t k = 0; k < list->n_items; k++) {
            cell_text(&(struct line){.r = r, .item = &list->items[k]}, i, 0, &cell);
            int w = text_width(buf_text(&cell));
            out[i] = w > out[i] ? w : out[i];
        }
        used += out[i];
    }
    buf_free(&cell);
    for (; width && used > width; used--) {
        int widest = -1;
        for (int i = 0; i < COLUMNS; i++)
            if (columns[i].least && out[i] > columns[i].least &&
                (widest < 0 || out[i] > out[widest]))
                widest = i;
        if (widest < 0)
            return;
        out[widest]--;
    }
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

/* Marks clip by clip, oldest first, and who said that it was repped or clean. */
static void put_history(const struct line *l, struct buf *out)
{
    if (l->r->n_clips > 1 && l->r->n_clips <= 24) {
        buf_printf(out, "%sclip by clip:", out->n ? "; " : "");
        for (size_t i = 0; i < l->r->n_clips; i++)
            buf_printf(out, " %d", l->item->per_clip[i]);
    }
    if (*l->item->state_by)
        buf_printf(out, "%s%s set by %s, %.10s", out->n ? "; " : "",
                   mark_state_name(l->item->state), l->item->state_by, l->item->state_at);
}

/* What stands under a line: how often a minute, and what right looks like. */
static void put_under(const struct line *l, int indent, struct buf *out)
{
    struct buf under = {0};
    const char *right = l->item->praise ? "" : l->r->show->faults[l->item->fault].right;
    if (l->item->rated)
        buf_printf(&under, "%.2g a minute (%.2g to %.2g)", l->item->rate, l->item->rate_low,
                   l->item->rate_high);
    put_history(l, &under);
    if (*right)
        buf_printf(&under, "%sright: %s", under.n ? "; " : "", right);
    if (under.n) {
        buf_printf(out, "%*s", indent, "");
        if (l->style->width > indent)
            pad_text(out, under.p, l->style->width - indent);
        else
            put_text(out, under.p);
        end_line(out);
    }
    buf_free(&under);
}

static void put_line(const struct line *l, const int width[COLUMNS], struct buf *out)
{
    struct buf cell = {0};
    for (int i = 0; i < COLUMNS; i++) {
        bool link = columns[i].moment && l->style->links;
        if (link)
            link_open(l, columns[i].moment(l->item), out);
        cell_text(l, i, width[i], &cell);
        pad_text(out, buf_text(&cell), width[i]);
        if (link)
            buf_str(out, "\033]8;;\033\\");
        buf_char(out, ' ');
    }
    end_line(out);
    buf_free(&cell);
    put_under(l, width[0] + width[1] + width[2] + 3, out);
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
    widths(r, list, style->width, width);
    for (size_t i = 0; i < list->n_keep; i++) {
        struct line l = {r, &list->keep[i], style};
        buf_str(out, i ? ", " : "Keep: ");
        put_text(out, r->show->faults[l.item->fault].name);
        buf_printf(out, " (%d, first ", l.item->marks + l.item->clean);
        moment_text(&l, l.item->first, 0, out);
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
        joined |= l->items[i].n_brackets > 0;
    if (joined)
        buf_str(out, "Lines with the same letter behind their marks cannot be told apart (exact "
                     "conditional test of every pair,\nBenjamini-Hochberg at 0.05).\n");
    if (l->share_items && l->share_items < l->n_items)
        buf_printf(out, "The first %zu of %zu lines make up at least %.0f %% of the marks.\n",
                   l->share_items, l->n_items, RANK_SHARE * 100);
}

static void put_clip(const struct report_clip *c, struct buf *out)
{
    put_text(out, c->label);
    buf_printf(out, " (%s)", c->date);
}

static void put_title(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    buf_str(out, "Fix list: ");
    put_text(out, report_for(r));
    if (r->performer >= 0 && r->performer < (int)r->show->n_performers && !style->labels_only &&
        *r->show->performers[r->performer].name) {
        buf_str(out, ", ");
        put_text(out, r->show->performers[r->performer].name);
    }
    buf_str(out, "   ");
    put_text(out, r->title);
    if (r->n_clips == 0)
        buf_str(out, "\nno clips");
    else
        buf_printf(out, "\n%zu clip%s: ", r->n_clips, r->n_clips == 1 ? "" : "s");
    if (r->n_clips > 0)
        put_clip(&r->clips[0], out);
    if (r->n_clips > 1) {
        buf_str(out, " to ");
        put_clip(&r->clips[r->n_clips - 1], out);
    }
    buf_str(out, "\n\n");
}

void fixes_text(const struct fix_report *r, const struct fixes_style *style, struct buf *out)
{
    put_title(r, style, out);
    put_part(r, &r->own.list, style, out);
    if (r->own.list.n_items == 0)
        buf_str(out, "Nothing to fix in these clips.\n");
    for (size_t i = 0; i < r->n_with; i++) {
        buf_str(out, "\nWith all ");
        put_text(out, r->show->sections[r->with[i].section].name);
        buf_str(out, ":\n");
        put_part(r, &r->with[i].list, style, out);
    }
    buf_char(out, '\n');
    put_cover(r, out);
    put_order(r, out);
}
