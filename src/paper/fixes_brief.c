/* The fix list with one line for each fault. */
#include <string.h>

#include "count/timecode.h"
#include "paper/fixes.h"

/* "tuesday 5:58.2"; a label is cut before a time is. columns 0: nothing is cut. */
static void moment_text(const struct fixes_line *l, struct when at, int columns, struct buf *out)
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

static void cell_rank(const struct fixes_line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->rank);
}

/* With numbers: lines joined by the same letters cannot honestly be told apart. */
static void cell_marks(const struct fixes_line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->marks);
    if (l->style->numbers)
        rank_joined_text(l->item, out);
}

static void cell_runs(const struct fixes_line *l, struct buf *out)
{
    buf_printf(out, "%d of %d", l->item->runs, l->r->n_runs);
}

static void cell_fault(const struct fixes_line *l, struct buf *out)
{
    buf_str(out, l->r->show->faults[l->item->fault].name);
    if (l->item->cause == CAUSE_DEFINE)
        buf_str(out, " (define)");
    if (l->item->back)
        buf_str(out, " [back]");
    else if (l->item->state != MARK_OPEN)
        buf_printf(out, " [%s]", mark_state_name(l->item->state));
    if (l->item->timed)
        buf_printf(out, " %+.1f±%.1f", l->item->late, l->item->late_error);
}

static void cell_worst_severity(const struct fixes_line *l, struct buf *out)
{
    for (int i = 0; i < l->item->severity; i++)
        buf_char(out, '!');
}

static void cell_who(const struct fixes_line *l, struct buf *out)
{
    struct flow f = flow_from(out, 0, 0, 0);
    fixes_who(l->r->show, l->item, WHO_ALL, 4, &f);
}

static void cell_sets(const struct fixes_line *l, struct buf *out)
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
    void (*cell)(const struct fixes_line *, struct buf *);
    struct when (*moment)(const struct rank_item *); /* in place of a cell */
} columns[] = {
    {"#", 0, cell_rank, NULL},           {"marks", 0, cell_marks, NULL},
    {"runs", 0, cell_runs, NULL},        {"fault", 16, cell_fault, NULL},
    {"!", 0, cell_worst_severity, NULL}, {"who", 8, cell_who, NULL},
    {"sets", 6, cell_sets, NULL},        {"first", 11, NULL, at_first},
    {"worst", 11, NULL, at_worst},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static void cell_text(const struct fixes_line *l, int column, int width, struct buf *out)
{
    const struct sheet_column *c = &columns[column];
    buf_clear(out);
    if (c->moment)
        moment_text(l, c->moment(l->item), width, out);
    else
        c->cell(l, out);
}

/* As wide as the widest cell; on a terminal what is widest gives way until a line fits. */
static void widths(const struct fix_report *r, const struct report_part *part,
                   const struct fixes_style *style, int out[COLUMNS])
{
    const struct rank_list *list = &part->list;
    const int width = style->width > 80 ? style->width : 80;
    struct buf cell = {0};
    int used = COLUMNS - 1;
    for (int i = 0; i < COLUMNS; i++) {
        out[i] = text_width(columns[i].title);
        for (size_t k = 0; k < list->n_items; k++) {
            cell_text(&(struct fixes_line){r, style, part, &list->items[k]}, i, 0, &cell);
            int w = text_width(buf_text(&cell));
            out[i] = w > out[i] ? w : out[i];
        }
        used += out[i];
    }
    buf_free(&cell);
    for (; used > width; used--) {
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
static void link_open(const struct fixes_line *l, struct when at, struct buf *out)
{
    buf_str(out, "\033]8;;file://");
    moment_link(l->r->clips[at.clip].path, at.at_us, out);
    buf_str(out, "\033\\");
}

static void put_line(const struct fixes_line *l, const int width[COLUMNS], struct buf *out)
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
}

static void put_header(const int width[COLUMNS], struct buf *out)
{
    for (int i = 0; i < COLUMNS; i++) {
        pad_text(out, columns[i].title, width[i]);
        buf_char(out, ' ');
    }
    end_line(out);
}

void fixes_brief(const struct fix_report *r, const struct report_part *part,
                 const struct fixes_style *style, struct buf *out)
{
    const struct rank_list *list = &part->list;
    int width[COLUMNS];
    struct buf moment = {0};
    widths(r, part, style, width);
    for (size_t i = 0; i < list->n_keep; i++) {
        buf_str(out, i ? ", " : "Keep: ");
        put_text(out, r->show->faults[list->keep[i].fault].name);
        buf_clear(&moment);
        fixes_moment(r, list->keep[i].first, &moment);
        buf_printf(out, " ×%d (first %s)", rank_seen(&list->keep[i]), buf_text(&moment));
    }
    buf_free(&moment);
    if (list->n_keep)
        buf_char(out, '\n');
    if (list->n_items == 0)
        return;
    put_header(width, out);
    for (size_t i = 0; i < list->n_items; i++)
        put_line(&(struct fixes_line){r, style, part, &list->items[i]}, width, out);
}
