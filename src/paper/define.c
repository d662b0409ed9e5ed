#include "paper/define.h"

#include "paper/fixes.h"
#include "paper/table.h"

enum { WIDTH = 79, INDENT = 4, HANG = 6 };

/* --- lines ------------------------------------------------------------------------------------ */

static const struct report_part *part_at(const struct fix_report *r, size_t n)
{
    return n == 0 ? &r->own : n <= r->n_with ? &r->with[n - 1] : NULL;
}

static bool waiting(const struct define_report *d, size_t *n, struct define_line *out)
{
    const struct report_part *p;
    for (size_t k = 0; (p = part_at(&d->asked, k)); k++)
        for (size_t i = 0; i < p->list.n_items; i++) {
            const struct rank_item *item = &p->list.items[i];
            if (item->marks == 0 || (d->only >= 0 && item->fault != d->only) || (*n)-- > 0)
                continue;
            *out = (struct define_line){d, &d->asked, p, item, item->fault, false};
            return true;
        }
    return false;
}

bool define_line(const struct define_report *d, size_t n, struct define_line *out)
{
    if (waiting(d, &n, out))
        return true;
    const struct report_part *p = &d->decided.own;
    for (size_t i = 0; i < p->list.n_items; i++) {
        const struct rank_item *item = &p->list.items[i];
        if ((d->only >= 0 && item->fault != d->only) || n-- > 0)
            continue;
        *out = (struct define_line){d, &d->decided, p, item, item->fault, true};
        return true;
    }
    return false;
}

static const struct fixes_style labels = {.labels_only = true};

struct fixes_line define_as_fixes(const struct define_line *l)
{
    return (struct fixes_line){l->r, &labels, l->part, l->item};
}

const struct fault *define_fault(const struct define_line *l)
{
    return &l->r->show->faults[l->fault];
}

/* --- text ------------------------------------------------------------------------------------- */

static struct flow begin(struct buf *out)
{
    buf_printf(out, "%*s", INDENT, "");
    return flow_from(out, WIDTH, INDENT, HANG);
}

static void put_moments(const struct define_line *l, struct buf *out)
{
    const struct fixes_line line = define_as_fixes(l);
    const struct report_moment *m;
    struct flow f = begin(out);
    fixes_where(&line, &f);
    flow_end(&f);
    for (size_t at = 0; (m = fixes_next(&line, &at));)
        if (*m->note) {
            f = begin(out);
            fixes_note(&line, m, &f);
            flow_end(&f);
        }
}

/* "1 mark: saxophones ×1, trumpets ×1" */
static void put_asking(const struct define_line *l, struct flow *f)
{
    const struct fixes_line line = define_as_fixes(l);
    fixes_often(&line, f);
    buf_char(f->out, ':');
    f->col++;
    fixes_who(l->r->show, l->item, WHO_ALL, 999, f);
}

static void put_right(const char *head, const char *text, struct buf *out)
{
    struct flow f = begin(out);
    flow_text(&f, head);
    flow_text(&f, *text ? text : "nothing is written down");
    flow_end(&f);
}

static void put_waiting(const struct define_line *l, struct buf *out)
{
    buf_str(out, "\n  ");
    struct flow f = flow_from(out, WIDTH, 2, HANG);
    flow_text(&f, define_fault(l)->name);
    flow_word(&f, "", NULL);
    put_asking(l, &f);
    flow_end(&f);
    put_moments(l, out);
    put_right("so far:", define_fault(l)->right, out);
}

static void put_decided(const struct define_line *l, struct buf *out)
{
    const struct fault *f = define_fault(l);
    struct buf head = {0};
    buf_printf(&head, "%s, %s:", f->decided_by, l->d->days[l->fault]);
    buf_str(out, "\n  ");
    put_text(out, f->name);
    buf_char(out, '\n');
    put_right(head.p, f->right, out);
    buf_free(&head);
    if (rank_seen(l->item) == 0)
        return;
    struct flow asked = begin(out);
    flow_text(&asked, "it was asked by");
    put_asking(l, &asked);
    flow_end(&asked);
    put_moments(l, out);
}

void define_text(const struct define_report *d, struct buf *out)
{
    struct define_line l;
    bool decided = false;
    buf_str(out, "To decide: ");
    put_text(out, report_for(&d->asked));
    buf_str(out, "   ");
    put_text(out, d->asked.title);
    buf_char(out, '\n');
    if (!define_line(d, 0, &l) || l.decided)
        buf_str(out, "\nNothing waits for a decision.\n");
    for (size_t n = 0; define_line(d, n, &l); n++) {
        if (l.decided && !decided)
            buf_str(out, "\nDecided\n");
        decided = l.decided;
        (l.decided ? put_decided : put_waiting)(&l, out);
    }
}
