/* When the minutes of a plan are. */
#include "paper/plan_ics.h"

int64_t plan_ics_moment(const struct plan_calendar *c, int start_min, int at_s)
{
    int64_t local = 0;
    civil_seconds(c->paper->r->date, &local);
    local += (int64_t)start_min * PLAN_MINUTE_S;
    return (c->zone ? zone_utc(&c->spans, local) : local) + at_s;
}

int64_t plan_ics_shown(const struct plan_calendar *c, int64_t at)
{
    return c->zone ? at + zone_offset(&c->spans, at) : at;
}
