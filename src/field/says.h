/* What found pieces and picks say of a camera: normal equations, robustly weighted, and how far to
 * believe them. Inner to the room.
 *
 * Neighbours on one line share much of what is wrong with them: a codec's block, a worn patch, paint
 * that is not laid straight, a lens that is not quite the model's. So nothing is said of independence:
 * the scores (weighted misses times slopes) are summed over stretches of 60 ft of one line, and the
 * squares of those sums are the variance of what the misses ask for, whatever they have in common
 * within. With the information A and that variance B the parameters' covariance is A^-1 B A^-1:
 * Huber, "The Behavior of Maximum Likelihood Estimates under Nonstandard Conditions", 5th Berkeley
 * Symposium 1, 1967; by groups, Liang & Zeger, Biometrika 73(1), 1986 (both from memory).
 *
 * A fit bends to what few stretches tell (one end of the only sideline in sight), and leaves them a
 * miss that is too small. So each stretch counts with what it asks for off the camera of all others,
 * A (A - A_i)^-1 s_i, which makes A^-1 B A^-1 the jackknife's variance: Bell & McCaffrey, "Bias
 * Reduction in Standard Errors for Linear Regression with Multi-Stage Samples", Survey Methodology
 * 28(2), 2002 (from memory). Its squares are made 1.2 times as large for what is left.
 *
 * What whole lines have in common (people and shadows beside them, second lines, a blur that is not even)
 * is not seen in what one picture leaves: each line may be off as a whole by a quarter of the misses' rms.
 * Both numbers are after what drawn fields of many kinds showed (tests/field/test_coverage.c). */
#ifndef FIELD_SAYS_H
#define FIELD_SAYS_H

#include "field/normal.h"
#include "field/pieces.h"

struct says {
    double information[PIECE_PARAMETERS][PIECE_PARAMETERS];
    double wish[PIECE_PARAMETERS];
    double spread[PIECE_PARAMETERS][PIECE_PARAMETERS]; /* B; after says_spread() */
    double scale;                                      /* of the misses, in the pieces' own sd */
    double steep;  /* how a score changes with its miss, over its weight; after says_left() */
    double rms_px; /* of those that are held */
    size_t held;
};

/* Weighs all pieces by what the camera that was moved leaves of their misses, and sums them up. */
void says_pieces(struct pieces *all, const double move[PIECE_PARAMETERS], struct says *out);
/* After the last move: A of the pieces, and what is left of their misses. */
void says_left(struct pieces *all, const double move[PIECE_PARAMETERS], struct says *out);
/* Adds B of the pieces, after says_left() and what was known: of the free ones. */
void says_spread(const struct pieces *all, const double move[PIECE_PARAMETERS],
                 const bool free_ones[PIECE_PARAMETERS], struct says *out);

/* Adds to B what each line may be off as a whole. After says_left(). */
void says_lines(const struct pieces *all, struct says *s);

/* What each stretch asks for (B is their squares') and knows (its part of A), in `out` that has room for
 * says_count(). After says_left(). */
struct stretch {
    int is;
    double sum[PIECE_PARAMETERS];
    double information[PIECE_PARAMETERS][PIECE_PARAMETERS];
};
size_t says_stretches(const struct pieces *all, const double move[PIECE_PARAMETERS],
                      const struct says *s, struct stretch *out);
size_t says_count(const struct pieces *all);

/* What a stretch asks for, `sum`, becomes what it would be off all others, whose information is in
 * `room` (n x n, and n more that are written). */
void says_alone(const struct normal *all, double *sum, double *room);

extern const double says_unmodelled; /* the stretches' squares are multiplied by it */

/* What was known before, added to all three. */
void says_prior(struct says *s, int parameter, const struct prior *known, double now);
void says_picks(struct says *s, const struct pick *picks, size_t n, const struct camera *c);

#endif
