#include "paper/history.h"

#include <math.h>
#include <string.h>

#include "paper/fixes.h"
#include "paper/json.h"
#include "paper/table.h"

enum { BAR = 12 };

/* --- text ------------------------------------------------------------------------------------- */

static double height(const struct rehearsal *h, bool rates)
{
    return rates ? (h->rated ? h->rate : 0) : h->marks;
}

void history_bar(const struct line_history *l, size_t n, size_t nth, int columns, struct buf *out)
{
    double most = 0;
    bool rates = true; /* only where every rehearsal with a clip has one */
    for (size_t i = 0; i < n; i++)
        rates &= l->at[i].rated || l->at[i].clips == 0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, height(&l->at[i], rates));
    const double now = height(&l->at[nth], rates);
    const int full = most > 0 ? (int)ceil(now / most * columns - 1e-9) : 0;
    for (int k = 0; k < full; k++)
        buf_str(out, "█");
}

static void put_rate(const struct rehearsal *h, struct buf *out)
{
    struct buf text = {0};
    if (h->rated)
        buf_printf(&text, "%.2g (%.2g to %.2g)", h->rate, h->low, h->high);
    pad_text(out, buf_text(&text), 22);
    buf_free(&text);
}

static void put_rehearsal(const struct line_history *l, const struct history_report *r, size_t nth,
                          struct buf *out)
{
    const struct rehearsal *h = &l->at[nth];
    struct buf bar = {0};
    buf_printf(out, "  %s ", h->date);
    if (h->clips)
        buf_printf(out, "%5d ", h->marks);
    else
        buf_str(out, "    - ");
    if (h->minutes > 0)
        buf_printf(out, "%6.1f  ", h->minutes);
    else
        buf_str(out, "     -  ");
    put_rate(h, out);
    history_bar(l, r->n_dates, nth, BAR, &bar);
    pad_text(out, buf_text(&bar), BAR + 1);
    if (h->reps)
        buf_printf(out, "%3d", h->reps);
    if (*h->state)
        buf_printf(out, "%s%s", h->reps ? " " : "    ", h->state);
    while (out->n && out->p[out->n - 1] == ' ')
        out->p[--out->n] = '\0';
    buf_char(out, '\n');
    buf_free(&bar);
}

static void put_line(const struct line_history *l, const struct history_report *r, struct buf *out)
{
    struct flow f = flow_from(out, 79, 0, 2);
    const struct fixes_line line = {.r = &r->of, .part = l->part, .item = l->item};
    struct buf state = {0};
    struct flow s = flow_from(&state, 0, 0, 0);
    flow_text(&f, r->of.show->faults[l->item->fault].name);
    fixes_state(&line, &s);
    buf_printf(out, "  [%s]", buf_text(&state));
    flow_end(&f);
    buf_str(out, "  date       marks    min  a minute (95 %)       how often    reps\n");
    for (size_t i = 0; i < r->n_dates; i++)
        put_rehearsal(l, r, i, out);
    buf_char(out, '\n');
    buf_free(&state);
}

void history_text(const struct history_report *r, struct buf *out)
{
    buf_str(out, "History: ");
    put_text(out, report_for(&r->of));
    buf_str(out, "   ");
    put_text(out, r->of.title);
    buf_printf(out, "\n%zu rehearsal%s", r->n_dates, r->n_dates == 1 ? "" : "s");
    if (r->n_dates)
        buf_printf(out, ": %s", r->dates[0]);
    if (r->n_dates > 1)
        buf_printf(out, " to %s", r->dates[r->n_dates - 1]);
    buf_str(out, "\n\n");
    for (size_t i = 0; i < r->n; i++)
        put_line(&r->lines[i], r, out);
    if (r->n == 0)
        buf_str(out, "Nothing of it was marked in these clips.\n\n");
    struct flow f = flow_from(out, 79, 0, 0);
    flow_text(&f,
              "Marks, clean ones too, a watched minute with the exact 95 % interval for marks that "
              "come singly (Garwood); reps of ticked blocks that were about the line.");
    flow_end(&f);
}

/* --- columns ----------------------------------------------------------------------------------- */

struct row {
    const struct history_report *r;
    const struct line_history *l;
    const struct rehearsal *h;
};

static void target(const void *row, struct buf *out)
{
    buf_str(out, report_for(&((const struct row *)row)->r->of));
}

static void fault(const void *row, struct buf *out)
{
    const struct row *x = row;
    buf_str(out, x->r->of.show->faults[x->l->item->fault].name);
}

static void date(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->h->date);
}

static bool marks(const void *row, double *out)
{
    const struct rehearsal *h = ((const struct row *)row)->h;
    *out = h->marks;
    return h->clips > 0;
}

static bool minutes(const void *row, double *out)
{
    const struct rehearsal *h = ((const struct row *)row)->h;
    *out = h->minutes;
    return h->minutes > 0;
}

static bool rate(const void *row, double *out)
{
    const struct rehearsal *h = ((const struct row *)row)->h;
    *out = h->rate;
    return h->rated;
}

static bool low(const void *row, double *out)
{
    const struct rehearsal *h = ((const struct row *)row)->h;
    *out = h->low;
    return h->rated;
}

static bool high(const void *row, double *out)
{
    const struct rehearsal *h = ((const struct row *)row)->h;
    *out = h->high;
    return h->rated;
}

static bool reps(const void *row, double *out)
{
    *out = ((const struct row *)row)->h->reps;
    return true;
}

static void state(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->h->state);
}

static void by(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->h->by);
}

const struct column history_columns[] = {
    {.name = "target", .where = IN_CSV, .cell = target, .help = "whose history it is"},
    {.name = "fault", .where = IN_CSV, .cell = fault, .help = "the fault"},
    {.name = "date", .where = IN_BOTH, .cell = date, .help = "of the rehearsal"},
    {.name = "marks",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = marks,
     .help = "clean ones too; empty without a clip of that date"},
    {.name = "watched_minutes",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = minutes,
     .format = "%.4g",
     .help = "of its clips; empty where no watching is stored"},
    {.name = "rate",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = rate,
     .format = "%.6g",
     .help = "marks a watched minute"},
    {.name = "rate_low",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = low,
     .format = "%.6g",
     .help = "its 95 % interval, for marks that come singly"},
    {.name = "rate_high",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = high,
     .format = "%.6g",
     .help = "its 95 % interval"},
    {.name = "reps",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = reps,
     .help = "made on that day, of ticked blocks that were about it"},
    {.name = "state",
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = state,
     .help = "set on that day: open, repped or clean"},
    {.name = "state_by", .kind = COLUMN_MAYBE, .where = IN_BOTH, .cell = by, .help = "by whom"},
    {.name = NULL},
};

void history_csv(const struct history_report *r, struct buf *out)
{
    table_csv_head(history_columns, out);
    for (size_t i = 0; i < r->n; i++)
        for (size_t k = 0; k < r->n_dates; k++)
            table_csv_row(history_columns, &(struct row){r, &r->lines[i], &r->lines[i].at[k]}, out);
}

void history_json(const struct history_report *r, struct buf *out)
{
    json_t *root = json_object(), *items = json_array();
    for (size_t i = 0; i < r->n; i++) {
        json_t *one = json_object(), *list = json_array();
        for (size_t k = 0; k < r->n_dates; k++)
            json_array_append_new(
                list,
                table_json(history_columns, &(struct row){r, &r->lines[i], &r->lines[i].at[k]}));
        json_object_set_new(one, "target", json_text(report_for(&r->of)));
        json_object_set_new(one, "fault",
                            json_text(r->of.show->faults[r->lines[i].item->fault].name));
        json_object_set_new(one, "state", json_text(mark_state_name(r->lines[i].item->state)));
        json_object_set_new(one, "rehearsals", list);
        json_array_append_new(items, one);
    }
    json_object_set_new(root, "show", json_text(r->of.title));
    json_object_set_new(root, "for", json_text(report_for(&r->of)));
    json_object_set_new(root, "items", items);
    json_put(root, out);
}
