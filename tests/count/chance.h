/* A repeatable stream of chance for tests. */
#ifndef TESTS_COUNT_CHANCE_H
#define TESTS_COUNT_CHANCE_H

#include <math.h>
#include <stdint.h>

/* 0 <= x < 1 (linear congruential, multiplier and increment from Knuth's MMIX). */
static inline double chance(uint64_t *seed)
{
    *seed = *seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
    return (double)(*seed >> 11) / 9007199254740992.0;
}

/* Standard normal (Box and Muller 1958). */
static inline double chance_normal(uint64_t *seed)
{
    const double u = 1 - chance(seed), v = chance(seed);
    return sqrt(-2 * log(u)) * cos(6.283185307179586 * v);
}

#endif
