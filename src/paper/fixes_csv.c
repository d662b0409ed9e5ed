#include <stdio.h>

#include "count/timecode.h"
#include "paper/paper.h"

struct line {
    const struct fix_report *r;
    const struct report_part *part;
    const struct rank_item *item;
};

typedef void cell_fn(const struct line *, struct buf *);

static const struct fault *fault_of(const struct line *l)
{
    return &l->r->show->faults[l->item->fault];
}

static void list_name(const struct line *l, struct buf *out)
{
    buf_str(out, l->item->praise ? "keep" : l->part == &l->r->own ? "fix" : "with");
}
static void target(const struct line *l, struct buf *out)
{
    buf_str(out,
            l->part == &l->r->own ? report_for(l->r) : l->r->show->sections[l->part->section].name);
}
static void rank(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->rank);
}
static void fault(const struct line *l, struct buf *out)
{
    buf_str(out, fault_of(l)->name);
}
static void family(const struct line *l, struct buf *out)
{
    buf_str(out, fault_of(l)->family);
}
static void marks(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->marks);
}
static void runs(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->runs);
}
static void runs_total(const struct line *l, struct buf *out)
{
    buf_printf(out, "%zu", l->r->n_clips);
}
static void severity(const struct line *l, struct buf *out)
{
    buf_printf(out, "%d", l->item->severity);
}
static void cause(const struct line *l, struct buf *out)
{
    buf_str(out, cause_name(l->item->cause));
}
static void state(const struct line *l, struct buf *out)
{
    buf_str(out, mark_state_name(l->item->state));
}
static void sets(const struct line *l, struct buf *out)
{
    sets_text(l->r->show, l->item, 999, out);
}
static void performers(const struct line *l, struct buf *out)
{
    who_text(l->r->show, l->item, 999, out);
}
static void seconds(struct when at, struct buf *out)
{
    put_seconds(out, at.at_us, false);
}
static void first_clip(const struct line *l, struct buf *out)
{
    buf_str(out, l->r->clips[l->item->first.clip].label);
}
static void first_at(const struct line *l, struct buf *out)
{
    seconds(l->item->first, out);
}
static void first_link(const struct line *l, struct buf *out)
{
    moment_link(l->r->clips[l->item->first.clip].link, l->item->first.at_us, out);
}
static void worst_clip(const struct line *l, struct buf *out)
{
    buf_str(out, l->r->clips[l->item->worst.clip].label);
}
static void worst_at(const struct line *l, struct buf *out)
{
    seconds(l->item->worst, out);
}
static void worst_link(const struct line *l, struct buf *out)
{
    moment_link(l->r->clips[l->item->worst.clip].link, l->item->worst.at_us, out);
}
static void rate(const struct line *l, struct buf *out)
{
    if (l->item->rated)
        buf_printf(out, "%.6g", l->item->rate);
}
static void rate_low(const struct line *l, struct buf *out)
{
    if (l->item->rated)
        buf_printf(out, "%.6g", l->item->rate_low);
}
static void rate_high(const struct line *l, struct buf *out)
{
    if (l->item->rated)
        buf_printf(out, "%.6g", l->item->rate_high);
}
static void late(const struct line *l, struct buf *out)
{
    if (l->item->timed)
        buf_printf(out, "%.1f", l->item->late);
}
static void right(const struct line *l, struct buf *out)
{
    buf_str(out, fault_of(l)->right);
}

static const struct {
    const char *title;
    cell_fn *cell;
} columns[] = {
    {"list", list_name},
    {"target", target},
    {"rank", rank},
    {"fault", fault},
    {"family", family},
    {"marks", marks},
    {"runs", runs},
    {"runs_total", runs_total},
    {"severity", severity},
    {"cause", cause},
    {"state", state},
    {"sets", sets},
    {"performers", performers},
    {"first_clip", first_clip},
    {"first", first_at},
    {"first_link", first_link},
    {"worst_clip", worst_clip},
    {"worst", worst_at},
    {"worst_link", worst_link},
    {"rate", rate},
    {"rate_low", rate_low},
    {"rate_high", rate_high},
    {"late_counts", late},
    {"right", right},
};
enum { COLUMNS = sizeof columns / sizeof *columns };

static void put_items(const struct fix_report *r, const struct report_part *part,
                      const struct rank_item *items, size_t n, struct buf *out)
{
    struct buf cell = {0};
    for (size_t i = 0; i < n; i++) {
        struct line l = {r, part, &items[i]};
        for (int k = 0; k < COLUMNS; k++) {
            buf_clear(&cell);
            columns[k].cell(&l, &cell);
            csv_cell(out, buf_text(&cell), k == 0);
        }
        csv_end(out);
    }
    buf_free(&cell);
}

void fixes_csv(const struct fix_report *r, struct buf *out)
{
    for (int k = 0; k < COLUMNS; k++)
        csv_cell(out, columns[k].title, k == 0);
    csv_end(out);
    put_items(r, &r->own, r->own.list.items, r->own.list.n_items, out);
    put_items(r, &r->own, r->own.list.keep, r->own.list.n_keep, out);
    for (size_t i = 0; i < r->n_with; i++) {
        const struct report_part *p = &r->with[i];
        put_items(r, p, p->list.items, p->list.n_items, out);
        put_items(r, p, p->list.keep, p->list.n_keep, out);
    }
}
