/* Who stands where, all at once: the pairing of clicks and dots that costs least together. Of two
 * neighbours between whom somebody stands, one by one would take the wrong one. */
#ifndef FIELD_ASSIGN_H
#define FIELD_ASSIGN_H

#include <stddef.h>

/* cost: rows x columns, row by row, each finite and >= 0. A row may stay without a column for `alone`.
 * to[row] becomes its column, or -1. The sum is the least that there is: shortest augmenting paths
 * (Jonker & Volgenant, "A Shortest Augmenting Path Algorithm for Dense and Sparse Linear Assignment
 * Problems", Computing 38, 1987), rows x columns x rows steps at most. */
void assign(const double *cost, size_t rows, size_t columns, double alone, int *to);

#endif
