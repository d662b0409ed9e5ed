/* Days and zones, without the system's database. */
#include <string.h>

#include "base/zone.h"
#include "lib/cases.h"

/* GNU date -u -d DATE +%s */
static const struct date {
    const char *name;
    int64_t seconds;
} dates[] = {
    {"1970-01-01", 0},           {"2000-02-29", 951782400},    {"2026-08-03", 1785715200},
    {"1900-03-01", -2203891200}, {"0001-01-01", -62135596800}, {"9999-12-31", 253402214400},
};

static void is_that_many_seconds_from_1970(void **state)
{
    const struct date *d = *state;
    int64_t s;
    assert_true(civil_seconds(d->name, &s));
    assert_int_equal(s, d->seconds);
    const struct civil c = civil_of(s - 1); /* 23:59:59 of the day before */
    assert_int_equal(c.hour * 3600 + c.minute * 60 + c.second, DAY_S - 1);
}

static void what_is_no_date_is_refused(void **state)
{
    static const char *const none[] = {"",           "2026-8-3",   "2026-02-29", "1900-02-29",
                                       "2026-13-01", "2026-00-10", "2026-04-31", "0000-01-01",
                                       "2026-01-00", "2026/01/01", "2026-01-011"};
    int64_t s;
    (void)state;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++)
        if (civil_seconds(none[i], &s))
            fail_msg("'%s' is a date", none[i]);
}

enum { EST = -5 * 3600, EDT = -4 * 3600 };
/* New York in 2007, by the law: 07:00 UTC on March 11, 06:00 UTC on November 4. */
static const struct zone_spans york = {{{ZONE_ALWAYS, EST, EST, false, "EST"},
                                        {1173596400, EDT, EST, true, "EDT"},
                                        {1194156000, EST, EDT, false, "EST"}},
                                       3};

/* RFC 5545, section 3.3.5; seconds by GNU date. */
static const struct hour {
    const char *name, *date;
    int minute;
    int64_t utc;
} hours[] = {
    {"of two hours the first is meant", "2007-11-04", 90, 1194154200},
    {"an hour that is leapt over is told by the offset before", "2007-03-11", 150, 1173598200},
    {"the last minute before the leap", "2007-03-11", 119, 1173596340},
    {"the first after it", "2007-03-11", 180, 1173596400},
    {"the first that comes once again", "2007-11-04", 120, 1194159600},
};

static void is_that_moment(void **state)
{
    const struct hour *h = *state;
    int64_t day;
    assert_true(civil_seconds(h->date, &day));
    assert_int_equal(zone_utc(&york, day + h->minute * 60), h->utc);
}

static void the_second_of_two_hours_cannot_be_said_by_clocks(void **state)
{
    (void)state;
    for (int64_t t = 1194156000 - 7200; t < 1194156000 + 7200; t += 60)
        assert_int_equal(zone_shown_twice(&york, t), t >= 1194156000 && t < 1194156000 + 3600);
    for (int64_t t = 1173596400 - 7200; t < 1173596400 + 7200; t += 60)
        assert_false(zone_shown_twice(&york, t));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, dates, is_that_many_seconds_from_1970);
    cases_of(&all, hours, is_that_moment);
    case_test(&all, what_is_no_date_is_refused);
    case_test(&all, the_second_of_two_hours_cannot_be_said_by_clocks);
    return cases_run(&all, "days and zones");
}
