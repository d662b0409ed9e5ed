/* What stands behind the band: turf, track, trees, far stands, and the paint on it. */
#ifndef DEMO_GROUND_H
#define DEMO_GROUND_H

#include <cairo.h>

#include "demo/lines.h"
#include "demo/view.h"

/* A field of 100 yd between goal lines and 160 ft between sidelines (rulebook dimensions as widely
 * published, NFHS). Caller destroys the RGB24 surface. */
cairo_surface_t *ground_draw(const struct view *w, const struct paint *p);

#endif
