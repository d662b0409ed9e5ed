/* Did the camera move? Out of the cameras of a clip, each with its error. A tripod stands still, but
 * for a bump: still, moved, still again. */
#ifndef FIELD_STILL_H
#define FIELD_STILL_H

#include <stddef.h>
#include <stdint.h>

#include "field/camera.h"

/* One frame that was held, in the order of time (microseconds). */
struct held_at {
    int64_t us;
    struct camera camera;
    double sd_px; /* how well it is known where it looks, pixels; 0: as well as any */
};

/* Numbers of frames, both taken in, in which the camera looks one way: a second at least, all of them
 * within a pixel, or within four of their sd, of where the stretch looks; single frames that are not
 * are passed over. */
struct still_stretch {
    size_t from, to;
};

/* Fills `out` and returns how many there are, `most` at most. */
size_t still_stretches(const struct held_at *at, size_t n, struct still_stretch *out, size_t most);

/* A tripod that never moved: one stretch from the first frame to the last. */
bool still_all(const struct held_at *at, size_t n);

/* The times at which a camera that stood still began to look elsewhere and stood still again within
 * three seconds. Fills `us` and returns how many there are, `most` at most. */
size_t still_bumps(const struct held_at *at, size_t n, int64_t *us, size_t most);

#endif
