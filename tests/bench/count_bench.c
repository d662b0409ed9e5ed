/* How many places a second the tempo map finds: 200 sets (half of them ramps), 40 ties.
 * Lookups per second of one core (CPU time). */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "bench.h"
#include "count/map.h"

enum { SETS = 200, TIES = 40, TIMES = 1 << 16, ROUNDS = 160 };

static uint64_t next(uint64_t *seed)
{
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return *seed >> 33;
}

static struct map *build(struct arena *a, int64_t *length_us)
{
    struct move sets[SETS];
    struct map_anchor ties[TIES];
    double t = 5;
    for (int i = 0; i < SETS; i++) {
        sets[i] = (struct move){"set", 16, 120 + i % 40, i % 2 ? 140 : 0, i % 10 ? 0 : 1.5};
        if (i % (SETS / TIES) == 0)
            ties[i / (SETS / TIES)] = (struct map_anchor){(int64_t)(t * 1e6), i, 1, 0, 0};
        t += tempo_length(&sets[i]) * 1.02;
    }
    struct err e;
    struct map *m =
        map_build(a, (struct moves){sets, SETS}, (struct map_anchors){ties, TIES}, NULL, &e);
    if (!m) {
        fprintf(stderr, "%s\n", e.text);
        exit(1);
    }
    *length_us = (int64_t)(t * 1e6);
    return m;
}

int main(void)
{
    struct arena a = {0};
    int64_t length_us;
    const double began = bench_cpu();
    const struct map *m = build(&a, &length_us);
    const double built = bench_cpu() - began;
    static int64_t at[TIMES];
    static struct place places[TIMES];
    uint64_t seed = 1;
    for (int i = 0; i < TIMES; i++) {
        struct spot s = {0};
        at[i] = (int64_t)(next(&seed) * (uint64_t)length_us >> 31);
        map_at(m, at[i], &s);
        places[i] = (struct place){s.set, s.count ? s.count : 1, s.hold_s};
    }
    double sum = 0, start = bench_cpu();
    for (int r = 0; r < ROUNDS; r++) {
        for (int i = 0; i < TIMES; i++) {
            struct spot s = {0};
            sum += map_at(m, at[i], &s) ? s.count : 0;
        }
    }
    const double to_place = bench_cpu() - start;
    start = bench_cpu();
    for (int r = 0; r < ROUNDS / 4; r++) {
        for (int i = 0; i < TIMES; i++) {
            struct map_time t = {0};
            map_when(m, -1, &places[i], &t, 1);
            sum += t.exact_us;
        }
    }
    const double to_time = bench_cpu() - start;
    printf("map: built in %.3f ms (%d sets, %d ties)\n", built * 1e3, SETS, TIES);
    bench_at_least("map: time to place", 1e-6 * ROUNDS * TIMES / to_place, 10, "million lookups/s");
    bench_at_least("map: place to time", 1e-6 * (ROUNDS / 4) * TIMES / to_time, 10,
                   "million lookups/s");
    arena_free(&a);
    return sum == 0.5 || bench_end(); /* the sum is never that: it keeps the loops */
}
