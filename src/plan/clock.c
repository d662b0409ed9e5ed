#include <stdio.h>

#include "plan/plan.h"

const char *plan_clock(int start_min, int at_s, char out[24])
{
    const long long day_s = 24 * 3600, at = start_min * 60LL + at_s;
    const int of_day = (int)((at % day_s + day_s) % day_s);
    const int hour = of_day / 3600, minute = of_day % 3600 / 60, second = of_day % 60;
    const char *next = at >= day_s ? " next day" : "";
    if (second)
        snprintf(out, 24, "%d:%02d:%02d%s", hour, minute, second, next);
    else
        snprintf(out, 24, "%d:%02d%s", hour, minute, next);
    return out;
}
