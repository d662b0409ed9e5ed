/* Inner to the room. */
#ifndef FIELD_INSIDE_H
#define FIELD_INSIDE_H

#include "field/solve.h"

/* Are there four spots no three of which lie in a line, on the ground and in the picture? Else with
 * what is wrong, the picks named by their numbers from 1. All picks must be spots. */
bool spots_suffice(const struct pick *picks, size_t n, struct err *e);

#endif
