/* The events of a day's plan, with what the show file knows of its earlier plans. */
#ifndef APP_PLAN_EVENTS_H
#define APP_PLAN_EVENTS_H

#include "app/plan.h"
#include "plan/event.h"

struct plan_day {
    struct plan_report report;
    struct plan_events events;
};
/* The day's stored plan and its events. A day that has only events that are gone has a plan without
 * blocks; ERR_INPUT when it has neither, or times that are in no rehearsal (a damaged file). */
bool app_plan_events(struct app *a, const char *date, struct arena *mem, struct plan_day *out,
                     struct err *e);
#endif
