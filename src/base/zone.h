/* A time zone as its pieces of one offset each, and the days of the calendar. Pure: sys/zones.h reads
 * the pieces. Seconds since 1970-01-01 UTC; local seconds are the same count on the wall's clock. */
#ifndef BASE_ZONE_H
#define BASE_ZONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { ZONE_SPANS = 16, ZONE_NAME = 64, DAY_S = 86400 };
#define ZONE_ALWAYS INT64_MIN

struct zone_span {
    int64_t from;  /* ZONE_ALWAYS: no change is known before */
    int offset_s;  /* east of Greenwich */
    int before_s;  /* the offset that it took the place of; its own without one */
    bool summer;   /* summer time, by the law of the place */
    char name[16]; /* "EDT" */
};
/* By time, at least one; the first holds before its beginning, too. */
struct zone_spans {
    struct zone_span at[ZONE_SPANS];
    size_t n;
};

int zone_offset(const struct zone_spans *z, int64_t utc);
/* A local time that there are two of is the first one; one that the clocks leap over is told by the
 * offset before the leap: 2:30 of that night is 3:30 (RFC 5545, section 3.3.5). */
int64_t zone_utc(const struct zone_spans *z, int64_t local);
/* Is it the second of two moments at which clocks show the same? No local time can say which then. */
bool zone_shown_twice(const struct zone_spans *z, int64_t utc);

/* Midnight of a date "2026-08-03" as local seconds (Gregorian, years 1 to 9999); false when it is
 * none. */
bool civil_seconds(const char *date, int64_t *out);
struct civil {
    int year, month, day, hour, minute, second;
};
struct civil civil_of(int64_t seconds);

#endif
