/* The still part of the picture, drawn once: turf, lines, hashes, numbers, track, far stands. */
#ifndef DEMO_GROUND_H
#define DEMO_GROUND_H

#include <cairo.h>

#include "demo/camera.h"

/* A high-school field: 100 yd between goal lines, 160 ft between sidelines, hashes 53 ft 4 in from
 * each sideline (rulebook dimensions as widely published, NFHS), lines 4 in wide, number tops 9 yd
 * from the sideline and 6 ft high (NCAA 1-2-1-i). Caller destroys the RGB24 surface. */
cairo_surface_t *ground_draw(const struct camera *c);

#endif
