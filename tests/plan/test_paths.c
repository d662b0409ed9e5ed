/* Who comes near whom on the way. Worked by hand: performers go straight and evenly; nearer than a
 * step (22.5 in) between centres is near. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <cmocka.h>

#include "plan/paths.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))
#define STEP     22.5

static const struct pair {
    const char *name;
    double p[4], q[4]; /* x0 y0 x1 y1 in steps */
    double steps;      /* between them where they are nearest; -1: they do not meet */
    double part;
} pairs[] = {
    {"head on", {0, 0, 8, 0}, {8, 0, 0, 0}, 0, 0.5},
    {"crossing at right angles at the same count", {0, 4, 8, 4}, {4, 0, 4, 8}, 0, 0.5},
    {"crossing where the other was eight counts ago", {0, 4, 8, 4}, {4, -8, 4, 0}, -1, 0},
    {"passing half a step beside each other", {0, 0, 8, 0}, {8, 0.5, 0, 0.5}, 0.5, 0.5},
    {"passing a step beside each other", {0, 0, 8, 0}, {8, 1, 0, 1}, -1, 0},
    {"parallel at half a step", {0, 0, 8, 0}, {0, 0.5, 8, 0.5}, -1, 0},
    {"parallel at a step", {0, 0, 8, 8}, {1, 0, 9, 8}, -1, 0},
    {"closing to half a step at the end", {0, 0, 8, 0}, {0, 4, 8, 0.5}, -1, 0},
    {"opening from half a step", {0, 0, 8, 0}, {0, 0.5, 8, 4}, -1, 0},
    {"both stand, on one dot", {3, 3, 3, 3}, {3, 3, 3, 3}, -1, 0},
    {"one stands in the other's way", {4, 0, 4, 0}, {0, 0, 8, 0}, 0, 0.5},
    {"start close and cross to the other side", {0, 0, 8, 0.8}, {0, 0.8, 8, 0}, 0, 0.5},
    {"start close, meet, part", {0, 0, 4, 0}, {0.8, 0, -4, 0}, 0, 0.0909},
    /* seen from the first: from (1.05, -2) to (0.85, 2.5); the foot of the perpendicular */
    {"overtaken at less than a step", {0, 0, 0, 8}, {1.05, -2, 0.85, 10.5}, 0.9602, 0.4539},
    {"far from each other", {-80, 0, -80, 8}, {80, 0, 80, 8}, -1, 0},
};

static struct path path_of(const double s[4], int who)
{
    return (struct path){s[0] * STEP, s[1] * STEP, s[2] * STEP, s[3] * STEP, who};
}

static void pairs_meet_where_the_hand_says(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(pairs); i++)
        for (int turned = 0; turned < 2; turned++) {
            struct path two[2] = {path_of(turned ? pairs[i].q : pairs[i].p, 7),
                                  path_of(turned ? pairs[i].p : pairs[i].q, 8)};
            struct meeting m;
            const size_t n = paths_meet(two, 2, &m);
            if (n != (pairs[i].steps >= 0))
                fail_msg("%s: %zu pairs", pairs[i].name, n);
            if (n && (fabs(m.inches - pairs[i].steps * STEP) > 0.1 ||
                      fabs(m.part - pairs[i].part) > 0.002 || m.a + m.b != 15))
                fail_msg("%s: %.3f in at %.4f of %d and %d", pairs[i].name, m.inches, m.part, m.a,
                         m.b);
        }
}

/* --- against looking at every moment -----------------------------------------------------------
 */

static uint32_t seed = 5;
static double upto(double n)
{
    seed = seed * 1664525u + 1013904223u;
    return n * (seed >> 8) / (1 << 24);
}

enum { MOMENTS = 4000 };

static int meets_at_any_moment(const struct path *p, const struct path *q, double *least)
{
    double first = 0, last = 0;
    *least = INFINITY;
    for (int i = 0; i <= MOMENTS; i++) {
        const double u = 1.0 * i / MOMENTS;
        const double x = (q->x0 - p->x0) * (1 - u) + (q->x1 - p->x1) * u;
        const double y = (q->y0 - p->y0) * (1 - u) + (q->y1 - p->y1) * u;
        last = sqrt(x * x + y * y);
        first = i == 0 ? last : first;
        *least = last < *least ? last : *least;
    }
    const double nearer_end = first < last ? first : last;
    return *least < PATHS_NEAR_IN &&
           (nearer_end >= PATHS_NEAR_IN || nearer_end - *least > PATHS_DIP_IN);
}

/* Bands of 40 on a small field; pairs on the very edge of a figure are left out. */
static void a_band_s_meetings_are_those_seen_moment_by_moment(void **state)
{
    (void)state;
    enum { BAND = 40 };
    size_t met = 0;
    for (int round = 0; round < 20; round++) {
        struct path band[BAND], sorted[BAND];
        size_t want = 0, edge = 0;
        double nearest = INFINITY;
        for (int i = 0; i < BAND; i++)
            sorted[i] = band[i] = (struct path){upto(900), upto(900), upto(900), upto(900), i};
        for (int i = 0; i < BAND; i++)
            for (int k = 0; k < i; k++) {
                double least;
                const int meets = meets_at_any_moment(&band[i], &band[k], &least);
                edge += fabs(least - PATHS_NEAR_IN) < 0.2;
                want += (size_t)meets;
                nearest = meets && least < nearest ? least : nearest;
            }
        struct meeting m = {.inches = INFINITY};
        const size_t got = paths_meet(sorted, BAND, &m);
        assert_true(got + edge >= want && got <= want + edge);
        assert_true(fabs(m.inches - nearest) < 0.5);
        met += got;
    }
    assert_true(met > 200);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(pairs_meet_where_the_hand_says),
        cmocka_unit_test(a_band_s_meetings_are_those_seen_moment_by_moment),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
