/* What was measured at a moment, in words and numbers: the same on a terminal, on paper, on the web. */
#include <math.h>

#include "paper/json.h"
#include "show/grid.h"

static void put_late(const struct mark *m, struct buf *out)
{
    const double off = fabs(round(m->late_counts * 10) / 10);
    if (off > 0)
        buf_printf(out, "%s by %.1f ± %.1f counts", m->late_counts < 0 ? "early" : "late", off,
                   m->late_error);
    else
        buf_printf(out, "on time ± %.1f counts", m->late_error);
}

/* In words to a quarter of a step, as drill is written: clicks are not better than that. */
static void put_spot(const struct show *show, const struct mark *m, char out[2 * SPOT_TEXT])
{
    spot_text(&show->grid, round(m->x * 4) / 4, round(m->y * 4) / 4, out);
}

void measured_text(const struct show *show, const struct mark *m, struct buf *out)
{
    char spot[2 * SPOT_TEXT];
    const size_t from = out->n;
    if (m->timed)
        put_late(m, out);
    if (m->timed && m->measure.kind != MEASURE_NONE)
        buf_str(out, "; ");
    measure_text(&m->measure, out);
    if (!m->on_field)
        return;
    put_spot(show, m, spot);
    buf_printf(out, "%sat %s", out->n > from ? ", " : "", spot);
}

static json_t *known(double x)
{
    return isfinite(x) ? json_real(x) : json_null();
}

void json_measured(json_t *o, const struct show *show, const struct mark *m)
{
    char spot[2 * SPOT_TEXT];
    const struct measure *is = &m->measure;
    json_t *measure = is->kind == MEASURE_NONE ? json_null() : json_object();
    if (is->kind != MEASURE_NONE) {
        json_object_set_new(measure, "kind", json_string(measure_name(is->kind)));
        json_object_set_new(measure, "value", known(is->value));
        json_object_set_new(measure, "error", known(is->error));
        json_object_set_new(measure, "of", known(is->of));
    }
    if (m->on_field)
        put_spot(show, m, spot);
    json_object_set_new(o, "late_counts", m->timed ? json_real(m->late_counts) : json_null());
    json_object_set_new(o, "late_error", m->timed ? json_real(m->late_error) : json_null());
    json_object_set_new(o, "measure", measure);
    json_object_set_new(o, "across", m->on_field ? json_real(m->x) : json_null());
    json_object_set_new(o, "depth", m->on_field ? json_real(m->y) : json_null());
    json_object_set_new(o, "spot", m->on_field ? json_text(spot) : json_null());
}
