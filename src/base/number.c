#include "base/number.h"

#include <math.h>

int int_within(double x, int least, int most)
{
    if (!(x > least))
        return least;
    return x < most ? (int)x : most;
}

int64_t near_within(double x, int64_t least, int64_t most)
{
    /* A bound may have no double of its own; what rounds to it or beyond is the bound. */
    if (!(x > (double)least))
        return least;
    if (x >= (double)most)
        return most;
    const int64_t n = llround(x);
    return n < least ? least : n > most ? most : n;
}

int64_t ms_of_us(int64_t us)
{
    const int64_t ms = us / 1000, rest = us % 1000;
    return rest >= 500 ? ms + 1 : rest < -500 ? ms - 1 : ms;
}

int64_t us_of_seconds(double s)
{
    static const int64_t most = INT64_C(100) * 366 * 86400 * 1000000;
    return isnan(s) ? 0 : near_within(s * 1e6, -most, most);
}

uint64_t us_apart(int64_t a, int64_t b)
{
    return a > b ? (uint64_t)a - (uint64_t)b : (uint64_t)b - (uint64_t)a;
}

int64_t us_sum(int64_t a, int64_t b)
{
    if (b > 0)
        return a > INT64_MAX - b ? INT64_MAX : a + b;
    return a < INT64_MIN - b ? INT64_MIN : a + b;
}
