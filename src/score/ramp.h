/* Tempos out of the times of counts: what a set can carry is one tempo, or two and a line between
 * them over its counts (show.h). Inner to the room. */
#ifndef SCORE_RAMP_H
#define SCORE_RAMP_H

#include <stddef.h>

/* When count 1 begins, count 2 ..., and the end: n + 1 times, rising. */
struct count_times {
    const double *s;
    size_t n;
};

struct ramp {
    double bpm, bpm_end; /* equal when it is steady */
    double off;          /* the most by which a count comes at another time, in counts */
};

/* The ramp that takes exactly as long and keeps the counts nearest to their times (n >= 1). Over n
 * counts from b0 to b1, with r = ln(b1/b0), count c comes after D/r ln(1 + (e^r - 1) c/n) of D
 * seconds: the formula of show.h with b0 = 60 n r / (D (e^r - 1)). */
struct ramp ramp_over(struct count_times t);
/* Steady where that is right to a hundredth of a count. Else from the tempo of the first count to
 * that of the last, where this keeps every count within a thirtieth of one and the whole within half
 * a millisecond. With no more decimals than its length needs to be right to half a
 * millisecond: a file of whole microseconds says 132.0001 for 132. */
struct ramp ramp_plain(struct count_times t);

/* Parts of whole counts that one ramp each can carry. Stores where each ends (the last is t.n) and
 * returns how many there are, at most `most`. As few as keep every count within a thirtieth of one.
 * Where that takes more than four, of less than four counts each, the tempo wavers rather than
 * changes, and the tolerance grows step by step to half a count. */
size_t ramp_parts(struct count_times t, size_t *ends, size_t most);

#endif
