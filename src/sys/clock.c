#include "sys/clock.h"

#include <stdlib.h>
#include <sys/random.h>
#include <time.h>

int64_t clock_wall_ms(void)
{
    const char *frozen = getenv("BOXCALL_CLOCK");
    if (frozen)
        return strtoll(frozen, NULL, 10);
    struct timespec t;
    clock_gettime(CLOCK_REALTIME, &t);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

int64_t clock_mono_us(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (int64_t)t.tv_sec * 1000000 + t.tv_nsec / 1000;
}

void clock_today(char out[11])
{
    time_t now = (time_t)(clock_wall_ms() / 1000);
    struct tm tm;
    localtime_r(&now, &tm);
    strftime(out, 11, "%Y-%m-%d", &tm);
}

uint64_t chance_seed(void)
{
    const char *fixed = getenv("BOXCALL_CHANCE");
    uint64_t seed;
    if (fixed)
        return strtoull(fixed, NULL, 10);
    random_bytes(&seed, sizeof seed);
    return seed;
}

void random_bytes(void *out, size_t n)
{
    unsigned char *p = out;
    while (n > 0) {
        ssize_t got = getrandom(p, n < 256 ? n : 256, 0);
        if (got > 0) {
            p += got;
            n -= (size_t)got;
        }
    }
}
