/* What a mark measured and where it is on the field, to and from its row. */
#include <math.h>

#include "store/inside.h"

/* A column for each; what is not known is NULL. */
static void bind_known(sqlite3_stmt *q, int at, double x)
{
    if (isnan(x))
        sqlite3_bind_null(q, at);
    else
        sqlite3_bind_double(q, at, x);
}

void st_bind_measure(sqlite3_stmt *q, int at, const struct measure *m)
{
    const bool any = m->kind != MEASURE_NONE;
    st_text(q, at, measure_name(m->kind));
    bind_known(q, at + 1, any ? m->value : NAN);
    bind_known(q, at + 2, any && m->error > 0 ? m->error : NAN);
    bind_known(q, at + 3, any ? m->of : NAN);
}

static double known(sqlite3_stmt *q, int at)
{
    const double x = sqlite3_column_double(q, at);
    return sqlite3_column_type(q, at) == SQLITE_NULL || !isfinite(x) ? NAN : x;
}

struct measure st_measure(sqlite3_stmt *q, int at)
{
    struct measure m = {MEASURE_NONE, known(q, at + 1), known(q, at + 2), known(q, at + 3)};
    if (!measure_named(st_column(q, at), &m.kind) || isnan(m.value))
        m.kind = MEASURE_NONE;
    return m;
}

bool st_place(sqlite3_stmt *q, int at, double *x, double *y)
{
    enum { STEPS_MOST = 1000 }; /* no ground is that large: the file is wrong */
    *x = known(q, at);
    *y = known(q, at + 1);
    return fabs(*x) < STEPS_MOST && fabs(*y) < STEPS_MOST;
}
