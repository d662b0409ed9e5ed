/* What the clip really shows, as JSON (RFC 8259): the answer sheet for tests and demonstrations. */
#ifndef DEMO_TRUTH_H
#define DEMO_TRUTH_H

#include "demo/shot.h"
#include "demo/sound.h"
#include "demo/stance.h"

struct truth {
    const struct drill *drill;
    const struct tempo *tempo;
    const struct company *company;
    const struct view *view; /* of the first frame */
    const struct shot *shot;
    const struct grid *grid; /* of the field that is painted */
    const struct sound *sound;
    bool has_sound, has_bars, varies;
    int fps_num, fps_den;
    uint64_t seed;
    const int64_t *frame_us; /* when each frame is shown */
    size_t n_frames;
    double length_s;
};

bool truth_write(const char *path, const struct truth *t, struct err *e);

#endif
