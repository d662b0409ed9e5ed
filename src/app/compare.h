/* Two rehearsals, section by section. */
#ifndef APP_COMPARE_H
#define APP_COMPARE_H

#include "app/app.h"
#include "rank/compare.h"

/* With for_whom: that list; without: one part for each section that has marks of its own. */
bool app_compare(struct app *a, const char *for_whom, const struct fix_choice *from,
                 const struct fix_choice *to, struct arena *mem, struct comparison *out,
                 struct err *e);

#endif
