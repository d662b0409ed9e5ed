#include "plan/policy.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "show/table.h"

enum { FROM, TO, BREAKS, BREAK_MINUTES, REST, LONGEST, OUTDOORS, GUIDANCE, SOURCE };

static const struct table_column columns[] = {
    [FROM] = {.name = "wbgt_from_f", .required = true},
    [TO] = {.name = "wbgt_to_f", .required = true},
    [BREAKS] = {.name = "breaks_per_hour", .required = true},
    [BREAK_MINUTES] = {.name = "break_minutes", .required = true},
    [REST] = {.name = "rest_minutes_per_hour", .required = true},
    [LONGEST] = {.name = "longest_hours", .required = true},
    [OUTDOORS] = {.name = "outdoors", .required = true},
    [GUIDANCE] = {.name = "guidance"},
    [SOURCE] = {.name = "source", .required = true},
    {.name = NULL},
};

enum { WBGT_LEAST_F = 20, WBGT_MOST_F = 130, BREAKS_WHEN_UNSAID = 3 };
enum { LEAST_WHEN_UNSAID_S = 3 * 60 }; /* a rest that counts; common practice, no source */

struct reading {
    struct arena *a;
    struct policy_row *rows;
    size_t n, cap;
    bool gap; /* a row was wrong: those behind it are not measured against the one before it */
};

static bool read_outdoors(const struct table_row *row, bool *out, struct err *e)
{
    const char *s = row->cell[OUTDOORS];
    *out = strcasecmp(s, "yes") == 0;
    if (*out || strcasecmp(s, "no") == 0)
        return true;
    return table_error(row, OUTDOORS, e, "'%s' is neither yes nor no", s);
}

static bool read_figures(const struct table_row *row, struct policy_row *out, struct err *e)
{
    double breaks = 0;
    const struct {
        int column;
        struct table_range range;
        double *x;
    } figures[] = {
        {FROM, {WBGT_LEAST_F, WBGT_MOST_F, -INFINITY}, &out->from_f},
        {TO, {WBGT_LEAST_F, WBGT_MOST_F, INFINITY}, &out->to_f},
        {BREAKS, {1, 12, 0}, &breaks},
        {BREAK_MINUTES, {1, 30, 0}, &out->break_minutes},
        {REST, {1, 55, 0}, &out->rest_minutes},
        {LONGEST, {0.25, 24, 0}, &out->longest_hours},
    };
    bool ok = true;
    for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
        ok &= table_number(row, figures[i].column, figures[i].range, figures[i].x, e);
    out->breaks_per_hour = (int)breaks;
    if (breaks != floor(breaks))
        return table_error(row, BREAKS, e, "'%s' is not a whole number", row->cell[BREAKS]);
    return ok;
}

/* The rows must follow each other without overlap and without a hole wider than a degree. */
static bool check_band(const struct table_row *row, const struct reading *r,
                       const struct policy_row *now, struct err *e)
{
    if (!(now->from_f < now->to_f))
        return table_error(row, TO, e, "the band %g to %g is empty; swap the two", now->from_f,
                           now->to_f);
    if (r->n == 0)
        return true;
    const double end = r->rows[r->n - 1].to_f;
    if (isinf(end))
        return table_error(row, FROM, e, "the row before this one has no end; only the last may");
    if (!(now->from_f >= end))
        return table_error(row, FROM, e, "this band begins below the end of the one before (%g)",
                           end);
    if (now->from_f - end > 1)
        return table_error(row, FROM, e, "no row says what holds between %g and %g °F", end,
                           now->from_f);
    return true;
}

static bool check_rest(const struct table_row *row, const struct policy_row *now, struct err *e)
{
    if (!now->outdoors)
        return true;
    if (!(now->break_minutes > 0) && !(now->rest_minutes > 0))
        return table_error(row, BREAK_MINUTES, e,
                           "a row that allows outdoor work needs break_minutes or "
                           "rest_minutes_per_hour");
    if (now->breaks_per_hour * now->break_minutes >= 60)
        return table_error(row, BREAK_MINUTES, e, "%d breaks of %g min leave no work in the hour",
                           now->breaks_per_hour, now->break_minutes);
    return true;
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    struct policy_row now = {0};
    bool ok = read_figures(row, &now, e);
    ok &= read_outdoors(row, &now.outdoors, e);
    if (!*row->cell[SOURCE])
        ok = table_error(row, SOURCE, e, "the cell is empty; say whose policy this row is");
    if (r->gap && ok)
        return true;
    r->gap = !ok || !check_band(row, r, &now, e) || !check_rest(row, &now, e);
    if (r->gap)
        return false;
    now.guidance = arena_strdup(r->a, row->cell[GUIDANCE]);
    now.source = arena_strdup(r->a, row->cell[SOURCE]);
    r->rows = array_grow(r->rows, r->n, &r->cap, sizeof *r->rows);
    r->rows[r->n++] = now;
    return true;
}

bool policy_parse(const struct table_text *text, struct arena *a, struct policy *out, struct err *e)
{
    struct reading r = {.a = a};
    bool ok = table_read(text, columns, on_row, &r, e);
    if (ok && isfinite(r.rows[r.n - 1].to_f))
        ok =
            err_set(e, ERR_INPUT,
                    "%s: no row says what holds above %g °F; leave wbgt_to_f of the last row empty",
                    text->source, r.rows[r.n - 1].to_f);
    *out = (struct policy){0};
    if (ok) {
        out->rows = arena_alloc(a, r.n * sizeof *r.rows);
        out->n = r.n;
        memcpy(out->rows, r.rows, r.n * sizeof *r.rows);
    }
    free(r.rows);
    return ok;
}

const struct policy_row *policy_at(const struct policy *p, double wbgt_f)
{
    for (size_t i = 0; i < p->n; i++)
        if (wbgt_f <= p->rows[i].to_f)
            return &p->rows[i];
    return &p->rows[p->n - 1];
}

const char *policy_reading(const struct policy *p, double wbgt_f, struct arena *a)
{
    enum { DIGITS_MOST = 6 };
    const char *text = "";
    for (int digits = 1; digits <= DIGITS_MOST; digits++) {
        text = arena_printf(a, "%.*f", digits, wbgt_f);
        if (policy_at(p, strtod(text, NULL)) == policy_at(p, wbgt_f))
            break;
    }
    return text;
}

static int breaks_in_hour(const struct policy *p, const struct policy_row *row)
{
    for (; row >= p->rows; row--)
        if (row->breaks_per_hour > 0)
            return row->breaks_per_hour;
    return BREAKS_WHEN_UNSAID;
}

static bool allowed(const struct policy_row *row, const char *reading, int minutes, struct err *e)
{
    if (!row->outdoors)
        return err_set(
            e, ERR_INPUT, "WBGT %s °F: %s (%s); move indoors or to another time. " HEAT_REMINDER,
            reading, *row->guidance ? row->guidance : "no outdoor activity", row->source);
    if (row->longest_hours > 0 && minutes > row->longest_hours * 60)
        return err_set(e, ERR_INPUT,
                       "WBGT %s °F: a rehearsal of %d min is longer than the %g h allowed (%s); "
                       "shorten it. " HEAT_REMINDER,
                       reading, minutes, row->longest_hours, row->source);
    return true;
}

/* `breaks` of break_s each are the rhythm. */
static struct heat_hour asked(const struct policy_row *row, int breaks, int break_s)
{
    const bool timed = row->break_minutes > 0;
    const double rest_s =
        fmax(timed ? breaks * row->break_minutes * 60 : 0, row->rest_minutes * 60);
    const int unsaid_s = break_s < LEAST_WHEN_UNSAID_S ? break_s : LEAST_WHEN_UNSAID_S;
    return (struct heat_hour){
        .rest_s = (int)ceil(rest_s),
        .breaks = timed ? breaks : row->breaks_per_hour,
        .least_s = timed ? (int)ceil(row->break_minutes * 60) : unsaid_s,
    };
}

bool policy_breaks(const struct policy *p, struct policy_stay stay, struct arena *a,
                   struct heat_breaks *out, struct err *e)
{
    const double wbgt_f = stay.wbgt_f;
    const int minutes = stay.minutes;
    if (!(wbgt_f >= WBGT_LEAST_F && wbgt_f <= WBGT_MOST_F))
        return err_set(e, ERR_INPUT, "WBGT %g °F: outside %d to %d °F; measure again", wbgt_f,
                       WBGT_LEAST_F, WBGT_MOST_F);
    const struct policy_row *row = policy_at(p, wbgt_f);
    const char *reading = policy_reading(p, wbgt_f, a);
    if (!allowed(row, reading, minutes, e))
        return false;
    const int breaks = breaks_in_hour(p, row);
    const double rest_s = fmax(row->break_minutes * 60, row->rest_minutes * 60 / breaks);
    const double work_s = 3600.0 / breaks - rest_s;
    if (work_s < 60)
        return err_set(e, ERR_INPUT,
                       "WBGT %s °F: %d breaks of %.0f s an hour leave under a minute of work "
                       "between them; check the policy's row (%s)",
                       reading, breaks, rest_s, row->source);
    *out = (struct heat_breaks){
        .work_most_s = (int)floor(work_s),
        .break_s = (int)ceil(rest_s),
        .longest_s = (int)(row->longest_hours * 3600),
        .source = arena_printf(a, "WBGT %s °F: %s (%s)", reading, row->guidance, row->source),
        .hour = asked(row, breaks, (int)ceil(rest_s)),
    };
    return true;
}
