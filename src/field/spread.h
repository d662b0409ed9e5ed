/* How far from their dots the people of a clip stand, learnt from those whose place was measured. */
#ifndef FIELD_SPREAD_H
#define FIELD_SPREAD_H

#include <stddef.h>

#include "field/camera.h"

/* What is usual (WHO_USUAL_SD_IN) is worth so many people: a clip's own say counts for more than that
 * once there are more of them (a choice, no source). */
enum { SPREAD_USUAL_WORTH = 8 };

/* The sd in inches in each direction, > 0. off: of each, from the own dot. The scale of those who were
 * measured is the median of how far off they are, across and in depth together, about the dots, by
 * 1.4826, which makes it the sd of normal errors (Hampel, "The influence curve and its role in robust
 * estimation", JASA 69, 1974; from memory): who is far off does not count for more than that. With none
 * it is the usual one. The errors of the clicks are in it. */
double spread_of(const struct field_place *off, size_t n);

#endif
