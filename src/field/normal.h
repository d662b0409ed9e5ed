/* Normal equations. Inner to the room. */
#ifndef FIELD_NORMAL_H
#define FIELD_NORMAL_H

#include <stdbool.h>
#include <stddef.h>

/* What is asked of n parameters, some of them free: matrices row by row, symmetric. */
struct normal {
    size_t n;
    double *information, *wish;
    double *spread;   /* the wish's covariance; normal_move() does not read it */
    const bool *free; /* n of them */
};

/* The move of the free ones that the wish asks for; 0 for the others. By Cholesky, the rows scaled
 * to ones on the diagonal (GSL's ends the program where there is none). False: there is none. */
bool normal_move(const struct normal *s, double *move);

/* The covariance A^-1 B A^-1 of the free ones. unsure: NULL, or a covariance of which the others'
 * rows are read: they and what the free ones are off by because of them are in it too. */
bool normal_cov(const struct normal *s, const double *unsure, double *cov);

#endif
