#include "base/zone.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

int zone_offset(const struct zone_spans *z, int64_t utc)
{
    size_t i = z->n - 1;
    while (i > 0 && utc < z->at[i].from)
        i--;
    return z->at[i].offset_s;
}

int64_t zone_utc(const struct zone_spans *z, int64_t local)
{
    for (size_t i = 0; i + 1 < z->n; i++) {
        const struct zone_span *a = &z->at[i], *b = a + 1;
        const int later = a->offset_s > b->offset_s ? a->offset_s : b->offset_s;
        if (local < b->from + later)
            return local - a->offset_s;
    }
    return local - z->at[z->n - 1].offset_s;
}

bool zone_shown_twice(const struct zone_spans *z, int64_t utc)
{
    return zone_utc(z, utc + zone_offset(z, utc)) != utc;
}

/* Days from 1970-01-01, in years that begin in March, so that the leap day is a year's last. */
static int64_t days_of(int year, int month, int day)
{
    const int64_t y = month <= 2 ? year - 1 : year;
    const int in_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return y * 365 + y / 4 - y / 100 + y / 400 + in_year - 719468;
}

bool civil_seconds(const char *date, int64_t *out)
{
    if (strlen(date) != 10 || date[4] != '-' || date[7] != '-')
        return false;
    for (int i = 0; i < 10; i++)
        if (i != 4 && i != 7 && !isdigit((unsigned char)date[i]))
            return false;
    const struct civil c = {.year = atoi(date), .month = atoi(date + 5), .day = atoi(date + 8)};
    if (c.year < 1 || c.month < 1 || c.month > 12)
        return false;
    *out = days_of(c.year, c.month, c.day) * DAY_S;
    const struct civil back = civil_of(*out);
    return back.month == c.month && back.day == c.day; /* a 31st of April is none */
}

struct civil civil_of(int64_t seconds)
{
    int64_t days = seconds / DAY_S, rest = seconds % DAY_S;
    if (rest < 0) {
        rest += DAY_S;
        days--;
    }
    /* 400 years have 146097 days. */
    const int64_t z = days + 719468, era = (z >= 0 ? z : z - 146096) / 146097;
    const int64_t of_era = z - era * 146097;
    const int64_t year = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    const int64_t of_year = of_era - (365 * year + year / 4 - year / 100);
    const int64_t m = (5 * of_year + 2) / 153;
    return (struct civil){.year = (int)(year + era * 400 + (m >= 10)),
                          .month = (int)(m < 10 ? m + 3 : m - 9),
                          .day = (int)(of_year - (153 * m + 2) / 5 + 1),
                          .hour = (int)(rest / 3600),
                          .minute = (int)(rest / 60 % 60),
                          .second = (int)(rest % 60)};
}
