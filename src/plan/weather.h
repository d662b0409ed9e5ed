/* What the weather asks of a plan: words for people, breaks, or that there is no rehearsal. */
#ifndef PLAN_WEATHER_H
#define PLAN_WEATHER_H

#include "plan/policy.h"
#include "plan/report.h"

struct plan_weather {
    bool indexed; /* temperature and humidity were given: the heat index */
    double temp_f, humidity;
    bool measured; /* a wet-bulb globe temperature was given: the policy's row */
    double wbgt_f;
    const struct policy *policy; /* with measured */
    bool indoors;                /* planned inside, whatever the policy says about outdoors */
};

/* Fills the report's heat and its words, and the breaks of its rules (whose minutes are set). False
 * with e when the policy has no rehearsal of so many minutes; a policy that closes the field is
 * out->heat.closed. */
bool plan_weather_put(const struct plan_weather *w, struct arena *a, struct plan_report *out,
                      struct err *e);
/* No blocks, but the reason first: the policy leaves no rehearsal outdoors. */
void plan_weather_closed(struct arena *a, struct plan_report *out);

#endif
