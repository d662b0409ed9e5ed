#include "mark/measure.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* behind: the unit; of: what stands behind the number of what it should be, in brackets then. Without
 * it the steps of what it should be are those of the value: "1.4 ± 0.2 of 2". */
static const struct {
    const char *name, *before, *behind, *of;
    bool naught; /* it should be nought when nothing else was said */
} kinds[MEASURE_KINDS] = {
    [MEASURE_NONE] = {"", "", "", NULL, false},
    [MEASURE_INTERVAL] = {"interval", "interval ", " steps", NULL, false},
    [MEASURE_DISTANCE] = {"distance", "distance ", " steps", NULL, false},
    [MEASURE_LINE] = {"line", "off the line ", " steps", NULL, true},
    [MEASURE_ARC] = {"arc", "off the arc ", " steps", NULL, true},
    [MEASURE_PLACE] = {"place", "out of place by ", " steps", NULL, true},
    [MEASURE_STEP] = {"step size", "", " to 5", " to 5", false},
    [MEASURE_SPEED] = {"speed", "", " feet a second", "", false},
    [MEASURE_ANGLE] = {"angle", "angle ", " degrees on the picture", "", false},
};

const char *measure_name(enum measure_kind k)
{
    return kinds[k].name;
}

bool measure_named(const char *name, enum measure_kind *out)
{
    for (int k = MEASURE_NONE; k < MEASURE_KINDS; k++)
        if (strcasecmp(name, kinds[k].name) == 0) {
            *out = (enum measure_kind)k;
            return true;
        }
    return false;
}

enum { DECIMALS_MOST = 2 };

/* Those of an error with one significant digit: "%.0e" rounds it first, so that 0.096 is 0.1. */
static int decimals(double error)
{
    char text[32];
    snprintf(text, sizeof text, "%.0e", error);
    const int behind = -atoi(strchr(text, 'e') + 1);
    return behind < 0 ? 0 : behind > DECIMALS_MOST ? DECIMALS_MOST : behind;
}

/* No band measures that much, but a file may say so. */
static bool absurd(double x)
{
    return !(fabs(x) < 1e6);
}

static void put_number(double x, int behind, struct buf *out)
{
    const double scale = pow(10, behind);
    if (absurd(x))
        buf_printf(out, "%g", x);
    else
        buf_printf(out, "%.*f", behind, round(x * scale) / scale + 0.0); /* no -0.0 */
}

/* "2", "2.25": as short as two decimals allow */
static void put_plain(double x, struct buf *out)
{
    put_number(x, DECIMALS_MOST, out);
    if (absurd(x))
        return;
    while (out->p[out->n - 1] == '0')
        out->p[--out->n] = '\0';
    if (out->p[out->n - 1] == '.')
        out->p[--out->n] = '\0';
}

static void put_value(const struct measure *m, struct buf *out)
{
    const double least = pow(10, -DECIMALS_MOST);
    if (!(m->error > 0)) {
        put_plain(m->value, out);
        return;
    }
    const int behind = decimals(m->error);
    put_number(m->value, behind, out);
    buf_str(out, " ± ");
    put_number(fmax(m->error, least), behind, out);
}

void measure_text(const struct measure *m, struct buf *out)
{
    if (m->kind == MEASURE_NONE)
        return;
    const bool said = !isnan(m->of);
    buf_str(out, kinds[m->kind].before);
    put_value(m, out);
    if (!said || kinds[m->kind].of)
        buf_str(out, kinds[m->kind].behind);
    if (!said)
        return;
    buf_str(out, kinds[m->kind].of ? " (of " : " of ");
    put_plain(m->of, out);
    if (kinds[m->kind].of)
        buf_printf(out, "%s)", kinds[m->kind].of);
}

double measure_off(const struct measure *m)
{
    if (m->kind == MEASURE_NONE)
        return NAN;
    return fabs(m->value - (isnan(m->of) && kinds[m->kind].naught ? 0 : m->of));
}

static bool same(double a, double b)
{
    return a == b || (isnan(a) && isnan(b));
}

bool measure_same(const struct measure *a, const struct measure *b)
{
    return a->kind == b->kind &&
           (a->kind == MEASURE_NONE ||
            (same(a->value, b->value) && same(a->error, b->error) && same(a->of, b->of)));
}
