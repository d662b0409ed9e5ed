/* From rehearsal to rehearsal: bars for the eye, a table for whoever wants the numbers. */
#include <math.h>

#include "base/number.h"
#include "page/html.h"
#include "page/inside.h"

enum { BAR = 10, GAP = 4, HIGH = 40 };

/* Only where every rehearsal with a clip has a rate; counts of marks else. */
static bool by_rate(const struct line_history *l, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!l->at[i].rated && l->at[i].clips)
            return false;
    return true;
}

static double height(const struct rehearsal *h, bool rates)
{
    return rates ? (h->rated ? h->rate : 0) : h->marks;
}

static void put_bars(const struct line_history *l, const struct history_report *h, struct buf *out)
{
    const bool rates = by_rate(l, h->n_dates);
    double most = 0;
    for (size_t i = 0; i < h->n_dates; i++)
        most = fmax(most, height(&l->at[i], rates));
    buf_printf(out,
               "<svg class=\"bars\" viewBox=\"0 0 %zu %d\" role=\"img\" aria-label=\"%s by "
               "rehearsal: ",
               h->n_dates * (BAR + GAP), HIGH, rates ? "marks a watched minute" : "marks");
    for (size_t i = 0; i < h->n_dates; i++)
        if (l->at[i].clips)
            buf_printf(out, "%s %.2g, ", l->at[i].date, height(&l->at[i], rates));
    buf_str(out, "\">\n");
    for (size_t i = 0; i < h->n_dates; i++) {
        const double high = most > 0 ? height(&l->at[i], rates) / most * (HIGH - 2) : 0;
        buf_printf(out, "<rect x=\"%zu\" width=\"%d\" y=\"", i * (BAR + GAP), BAR);
        html_number(out, HIGH - 1 - high);
        buf_str(out, "\" height=\"");
        html_number(out, high + 1);
        buf_printf(out, "\" class=\"%s\"/>\n", l->at[i].clips ? "seen" : "unseen");
    }
    buf_str(out, "</svg>\n");
}

static void put_row(const struct rehearsal *h, struct buf *out)
{
    buf_printf(out, "<tr><th scope=\"row\">%s</th>", h->date);
    if (h->clips)
        buf_printf(out, "<td>%d</td>", h->marks);
    else
        buf_str(out, "<td>no clip</td>");
    if (h->rated)
        buf_printf(out, "<td>%.2g (%.2g to %.2g)</td>", h->rate, h->low, h->high);
    else
        buf_str(out, "<td></td>");
    if (h->reps)
        buf_printf(out, "<td>%d</td><td>", h->reps);
    else
        buf_str(out, "<td></td><td>");
    html_text(out, h->state);
    buf_str(out, "</td></tr>\n");
}

static void put_line(const struct line_history *l, const struct history_report *h, struct buf *out)
{
    buf_str(out, "<details class=\"history\"><summary>");
    put_bars(l, h, out);
    html_name(out, h->of.show->faults[l->item->fault].name);
    buf_str(out,
            "</summary>\n<table><thead><tr><th scope=\"col\">rehearsal</th>"
            "<th scope=\"col\">marks</th><th scope=\"col\">a watched minute</th>"
            "<th scope=\"col\">reps</th><th scope=\"col\">set to</th></tr></thead>\n<tbody>\n");
    for (size_t i = 0; i < h->n_dates; i++)
        put_row(&l->at[i], out);
    buf_str(out, "</tbody></table></details>\n");
}

void page_history(const struct history_report *h, struct buf *out)
{
    for (size_t i = 0; i < h->n; i++)
        put_line(&h->lines[i], h, out);
    buf_str(out, "<p class=\"basis\">Marks, clean ones too; a watched minute with the exact 95 % "
                 "interval for marks that come singly (Garwood).</p>\n");
}
