/* What the benchmarks share: clocks, medians, and the line that holds a figure against its target.
 *
 *     double ours[7], theirs[7];
 *     for (int i = 0; i < 7; i++) { theirs[i] = ...; ours[i] = ...; }     interleaved
 *     bench_at_most("list / bare query", bench_ratio(ours, theirs, 7), 1.25, "");
 *     return bench_end();
 *
 * A machine has other work: only figures of one run are held against each other. */
#ifndef BENCH_BENCH_H
#define BENCH_BENCH_H

#include <stddef.h>

double bench_now(void);                   /* seconds, monotonic */
double bench_cpu(void);                   /* CPU seconds of this process, all threads */
double bench_cpu_children(void);          /* of the children waited for */
void bench_sort(double *v, size_t n);     /* smallest first */
double bench_median(double *v, size_t n); /* sorts */
/* The median of ours[i] / theirs[i]: what was measured one after the other is held together. */
double bench_ratio(const double *ours, const double *theirs, size_t n);
/* The value below which a part (0..1) of the sorted values lies (nearest rank). */
double bench_part(const double *sorted, size_t n, double part);

/* For what is timed by the wall: where it may, the bench and the programs it starts run ahead of
 * other work from here on, since waiting for a processor says nothing about them. Says so when it
 * may not. */
void bench_ahead(void);

/* Prints "WHAT: VALUE UNIT (target: at most LIMIT)  met", or MISSED. */
void bench_at_most(const char *what, double value, double limit, const char *unit);
void bench_at_least(const char *what, double value, double limit, const char *unit);
/* What must hold whatever the machine does. */
void bench_holds(const char *what, int holds);
/* For main(): 0, or 1 when a target was missed. */
int bench_end(void);

#endif
