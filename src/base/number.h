/* From a double to a whole number: C leaves open what happens beyond the range, or with NAN. */
#ifndef BASE_NUMBER_H
#define BASE_NUMBER_H

#include <stdint.h>

/* Towards zero, held within least .. most; NAN gives least. */
int int_within(double x, int least, int most);
/* To the nearest, halves away from zero, held within least .. most; NAN gives least. */
int64_t near_within(double x, int64_t least, int64_t most);

/* Microseconds as milliseconds, nearest, halves up; any value. */
int64_t ms_of_us(int64_t us);

/* Seconds as whole microseconds, nearest; held within +-100 years (some 3e15), so that a few of
 * them can be added. NAN gives 0. */
int64_t us_of_seconds(double s);

/* How far two times lie from each other, and their sum held within int64_t; any values. */
uint64_t us_apart(int64_t a, int64_t b);
int64_t us_sum(int64_t a, int64_t b);

#endif
