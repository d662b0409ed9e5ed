/* What the staff must decide, and what it has. */
#ifndef APP_DEFINE_H
#define APP_DEFINE_H

#include "app/app.h"

/* Of the choice whom, clips and dates count. All faults: set out->only afterwards. */
bool app_define(struct app *a, const struct fix_choice *choice, struct arena *mem,
                struct define_report *out, struct err *e);

#endif
