#include "hour.h"

#include <stdio.h>
#include <string.h>

enum { HOUR = 3600, DAY = 24 * HOUR };

/* One character a second: 'r' rest, '.' anything else. */
static void print_seconds(const struct plan *plan, char *line)
{
    memset(line, '.', (size_t)plan->seconds);
    line[plan->seconds] = '\0';
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        const bool rests = b->kind == PLAN_BREAK || (b->kind == PLAN_FIXED && b->rest);
        for (int s = 0; rests && s < b->seconds; s++)
            line[b->start_s + s] = 'r';
    }
    for (size_t i = 0; i < plan->n_blocks; i++) { /* nobody works while there is a break */
        const struct plan_block *b = &plan->blocks[i];
        const bool works = b->kind != PLAN_BREAK && !(b->kind == PLAN_FIXED && b->rest);
        for (int s = 0; works && s < b->seconds; s++)
            line[b->start_s + s] = '.';
    }
}

/* A rest that is too short counts for nothing. */
static void strike_short(char *line, int least_s)
{
    for (char *r = strchr(line, 'r'); r; r = strchr(r, 'r')) {
        const size_t n = strspn(r, "r");
        if (n < (size_t)least_s)
            memset(r, '-', n);
        r += n;
    }
}

static int ceil_to_five(double s)
{
    int n = 0;
    while (n < s - 1e-9)
        n += 5;
    return n;
}

bool keeps_hour(const struct plan *plan, const struct heat_breaks *asks, char why[200])
{
    static char line[DAY + 1];
    const int all = plan->seconds, length = all < HOUR ? all : HOUR;
    int rest_s = asks->hour.rest_s, breaks = asks->hour.breaks;
    if (all < HOUR) {
        rest_s = all <= asks->work_most_s ? 0 : ceil_to_five(1.0 * rest_s * all / HOUR);
        breaks = all <= asks->work_most_s ? 0 : breaks * all / HOUR;
    }
    print_seconds(plan, line);
    strike_short(line, asks->hour.least_s);
    int rested = 0, begun = 0; /* in the window; rests that begin behind its first second */
    for (int s = 0; s < length; s++) {
        rested += line[s] == 'r';
        begun += s > 0 && line[s] == 'r' && line[s - 1] != 'r';
    }
    for (int from = 0;; from++) {
        const int apart = begun + (line[from] == 'r');
        if (rested < rest_s || (apart < breaks && rested < length - rested)) {
            snprintf(why, 200, "from second %d: %d s of %d, %d rests of %d", from, rested, rest_s,
                     apart, breaks);
            return false;
        }
        if (from + length >= all)
            return true;
        rested += (line[from + length] == 'r') - (line[from] == 'r');
        begun += line[from + length] == 'r' && line[from + length - 1] != 'r';
        begun -= line[from + 1] == 'r' && line[from] != 'r';
    }
}
