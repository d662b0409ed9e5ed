/* The heat policy that a user keeps: what a measured wet-bulb globe temperature (WBGT) asks of an
 * outdoor rehearsal. share/heat-policy.csv is a published one, to be replaced by the local policy.
 *
 * One row per band, from cool to hot, columns in any order:
 *   wbgt_from_f, wbgt_to_f   the band in °F, ends included; the first may lack its from, the last
 *                            row must lack its to: a policy has an answer for every reading
 *   breaks_per_hour, break_minutes   at least so many breaks of at least so many minutes
 *   rest_minutes_per_hour    at least so much rest in the hour altogether
 *   longest_hours            the longest rehearsal, breaks included; empty = no rule
 *   outdoors                 yes or no
 *   guidance, source         text; source is required
 * A row with outdoors = yes needs breaks or rest. */
#ifndef PLAN_POLICY_H
#define PLAN_POLICY_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"
#include "show/table.h"
#include "plan/heat.h"

struct policy_row {
    double from_f, to_f;  /* -INFINITY and INFINITY where the file leaves them out */
    int breaks_per_hour;  /* 0 = the row does not say */
    double break_minutes; /* each; 0 = the row does not say */
    double rest_minutes;  /* per hour; 0 = the row does not say */
    double longest_hours; /* 0 = no rule */
    bool outdoors;
    const char *guidance, *source;
};

struct policy {
    struct policy_row *rows; /* by temperature; at least one */
    size_t n;
};

/* Reads a policy from CSV bytes; `name` is the file's name in messages. Memory is the arena's. */
bool policy_parse(const struct table_text *text, struct arena *a, struct policy *out,
                  struct err *e);

/* The row for a reading: the first whose wbgt_to_f is not below it, so a reading that falls
 * between two printed bands (86.95 between 86.9 and 87.0) gets the stricter one. Never NULL;
 * NaN gets the strictest row. */
const struct policy_row *policy_at(const struct policy *p, double wbgt_f);

/* The reading with as few digits as still fall into the same row: 92.01 where 92.0 would be allowed
 * and the reading is not. "92.0", "92.01"; memory is the arena's. */
const char *policy_reading(const struct policy *p, double wbgt_f, struct arena *a);

/* The break pattern for a rehearsal of so many minutes at a measured WBGT. Refused, with the row's
 * limit in the message, where the policy has no outdoor activity or a shorter longest stay, or the
 * reading is not a plausible one (20 to 130 °F).
 *   breaks b = breaks_per_hour; a row without a number takes that of the row before it (the 20 min
 *   of rest in an hour are spread like the breaks of the cooler band), else 3
 *   break    = max(break_minutes, rest_minutes / b);  longest work = 60 / b - break
 * so that any hour of work and rest in this rhythm holds b breaks and the asked rest. out->hour is
 * what any hour must hold however the rhythm is disturbed: rest of the row's rest_minutes_per_hour
 * or b x break_minutes, the larger, in the row's number of breaks; a rest counts from break_minutes
 * on (from 3 min, or the rhythm's shorter break, where the row gives no length: common practice, no
 * source). */
struct policy_stay {
    double wbgt_f;
    int minutes;
};
bool policy_breaks(const struct policy *p, struct policy_stay stay, struct arena *a,
                   struct heat_breaks *out, struct err *e);

#endif
