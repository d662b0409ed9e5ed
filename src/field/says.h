/* What found pieces and picks say of a camera: normal equations, robustly weighted, and how far to
 * believe them. Inner to the room.
 *
 * Neighbours on one line share much of what is wrong with them: a codec's block, a worn patch, paint
 * that is not laid straight, a lens that is not quite the model's. So nothing is said of independence:
 * the scores (weighted misses times slopes) are summed over stretches of 60 ft of one line, and the
 * squares of those sums are the variance of what the misses ask for, whatever they have in common
 * within. With the information A and that variance B the parameters' covariance is A^-1 B A^-1:
 * What whole lines have in common (people and shadows beside them, second lines) is not seen that way:
 * the variance is made 1.4 times as large, after what drawn fields of many kinds showed (mean squared
 * error over stated variance 0.8 to 1.3, with a low sun 2).
 * Huber, "The Behavior of Maximum Likelihood Estimates under Nonstandard Conditions", 5th Berkeley
 * Symposium 1, 1967; by groups, Liang & Zeger, Biometrika 73(1), 1986 (both from memory). */
#ifndef FIELD_SAYS_H
#define FIELD_SAYS_H

#include "field/pieces.h"

struct says {
    double information[PIECE_PARAMETERS][PIECE_PARAMETERS];
    double wish[PIECE_PARAMETERS];
    double spread[PIECE_PARAMETERS][PIECE_PARAMETERS]; /* B; after says_spread() */
    double scale;                                      /* of the misses, in the pieces' own sd */
    double rms_px;                                     /* of those that are held */
    size_t held;
};

/* Weighs all pieces by what the camera that was moved leaves of their misses, and sums them up. */
void says_pieces(struct pieces *all, const double move[PIECE_PARAMETERS], struct says *out);
/* After the last move: A of the pieces, and what is left of their misses. */
void says_left(struct pieces *all, const double move[PIECE_PARAMETERS], struct says *out);
/* With B. */
void says_spread(struct pieces *all, const double move[PIECE_PARAMETERS], struct says *out);

/* The sums of which B is the squares, in `out` that has room for as many as there are pieces; by what
 * the squares are to be multiplied where there are so few. */
struct stretch {
    int is;
    double sum[PIECE_PARAMETERS];
};
size_t says_stretches(const struct pieces *all, const double move[PIECE_PARAMETERS],
                      const struct says *s, struct stretch *out);
double says_few(size_t stretches);

/* What was known before, added to all three. */
void says_prior(struct says *s, int parameter, const struct prior *known, double now);
void says_picks(struct says *s, const struct pick *picks, size_t n, const struct camera *c);

#endif
