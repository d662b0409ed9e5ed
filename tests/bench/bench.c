#include "bench.h"

#include <math.h>
#include <sched.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <time.h>

#include "base/arena.h"

static bool missed;

static double clock_of(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + (double)t.tv_nsec * 1e-9;
}

double bench_now(void)
{
    return clock_of(CLOCK_MONOTONIC);
}

double bench_cpu(void)
{
    return clock_of(CLOCK_PROCESS_CPUTIME_ID);
}

double bench_cpu_children(void)
{
    struct rusage u;
    getrusage(RUSAGE_CHILDREN, &u);
    return (double)(u.ru_utime.tv_sec + u.ru_stime.tv_sec) +
           (double)(u.ru_utime.tv_usec + u.ru_stime.tv_usec) * 1e-6;
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

void bench_sort(double *v, size_t n)
{
    qsort(v, n, sizeof *v, by_size);
}

double bench_part(const double *sorted, size_t n, double part)
{
    if (n == 0)
        return NAN;
    const double rank = ceil(part * (double)n);
    return sorted[rank < 1 ? 0 : (size_t)rank - 1];
}

double bench_median(double *v, size_t n)
{
    bench_sort(v, n);
    return n % 2 ? v[n / 2] : n ? (v[n / 2 - 1] + v[n / 2]) / 2 : NAN;
}

double bench_ratio(const double *ours, const double *theirs, size_t n)
{
    double *r = xcalloc(n, sizeof *r);
    for (size_t i = 0; i < n; i++)
        r[i] = ours[i] / theirs[i];
    const double middle = bench_median(r, n);
    free(r);
    return middle;
}

void bench_ahead(void)
{
    const struct sched_param least = {.sched_priority = sched_get_priority_min(SCHED_RR)};
    if (sched_setscheduler(0, SCHED_RR, &least) != 0)
        puts("beside all other work of this machine:");
}

static void verdict(const char *what, double value, const char *which, double limit,
                    const char *unit, bool met)
{
    const char *space = *unit ? " " : "";
    printf("%s: %.3g%s%s (target: %s %.3g%s%s)  %s\n", what, value, space, unit, which, limit,
           space, unit, met ? "met" : "MISSED");
    missed |= !met;
}

void bench_at_most(const char *what, double value, double limit, const char *unit)
{
    verdict(what, value, "at most", limit, unit, value <= limit);
}

void bench_at_least(const char *what, double value, double limit, const char *unit)
{
    verdict(what, value, "at least", limit, unit, value >= limit);
}

void bench_holds(const char *what, int holds)
{
    printf("%s: %s\n", what, holds ? "yes" : "NO");
    missed |= !holds;
}

int bench_end(void)
{
    return missed;
}
