/* Chance that is the same at each run, a camera, and how far another is off it. */
#ifndef TESTS_FIELD_CHANCE_H
#define TESTS_FIELD_CHANCE_H

#include "field/camera.h"

double between(double from, double to);
double normal(void); /* mean 0, sd 1 */

/* A camera in a press box: 45 ft high, 75 ft before the front sideline, most of the field in sight. */
struct camera box_camera(double width);

/* Steps of 22.5 in by which the places of a picture are off, root of the mean square between the
 * 20-yard lines; INFINITY where the camera has no place, or the picture shows too little. */
double steps_off(const struct camera *truth, const struct camera *c);

#endif
