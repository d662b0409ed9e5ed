/* What is wrong with what came in, said so that a person can mend it. Inner to the room. */
#ifndef PLAN_CHECK_H
#define PLAN_CHECK_H

#include "plan/plan.h"

bool plan_check(const struct plan_input *in, struct err *e);

#endif
