/* Normal equations. Inner to the room. */
#ifndef FIELD_NORMAL_H
#define FIELD_NORMAL_H

#include <stdbool.h>
#include <stddef.h>

/* Solves information * move = wish, n by n, row by row, symmetric. inverse: NULL, or room for the
 * information's. By Cholesky, the rows scaled to ones on the diagonal (GSL's ends the program
 * where there is none). False: there is none. */
bool normal_solve(const double *information, const double *wish, size_t n, double *move,
                  double *inverse);

#endif
