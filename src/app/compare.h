/* Two rehearsals, section by section. */
#ifndef APP_COMPARE_H
#define APP_COMPARE_H

#include "app/app.h"
#include "rank/compare.h"

struct compare_choice {
    const char *for_whom; /* that list; NULL: one part for each section that has marks of its own */
    struct fix_choice from, to; /* their for_whom is not asked */
};
bool app_compare(struct app *a, const struct compare_choice *choice, struct arena *mem,
                 struct comparison *out, struct err *e);

#endif
