/* Inner to the room. */
#ifndef FIELD_INSIDE_H
#define FIELD_INSIDE_H

#include "field/solve.h"

/* Are there four spots no three of which lie in a line, on the ground and in the picture? Else with
 * what is wrong, the picks named by their numbers from 1. All picks must be spots. */
bool spots_suffice(const struct pick *picks, size_t n, struct err *e);

/* pick_miss() with the slopes of the misses. */
int pick_row(const struct camera *c, const struct pick *s, double miss[2],
             double slope[2][CAMERA_PARAMETERS]);

struct prior usual_prior(int parameter);
/* Do the residuals ask for k1, or for the crown? */
bool is_asked_for(int parameter, double value, double variance);

#endif
