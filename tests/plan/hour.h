/* Does a plan keep the hour that its heat policy asks for? Written from the words of plan/heat.h
 * and the printed blocks alone, second by second; the planner works in steps and sums. */
#ifndef TESTS_PLAN_HOUR_H
#define TESTS_PLAN_HOUR_H

#include "plan/plan.h"

/* True, or `why` says which 60 minutes have too little. */
bool keeps_hour(const struct plan *plan, const struct heat_breaks *asks, char why[200]);

#endif
