/* A decoded picture as it is handed out: scaled, in the wanted kind, upright. Inner to the room. */
#ifndef CLIP_PAINT_H
#define CLIP_PAINT_H

#include <libavutil/frame.h>
#include <stdbool.h>
#include <stdint.h>

#include "clip/frames.h"
#include "clip/stream.h"

struct SwsContext;

struct paint {
    enum frames_kind kind;
    struct stream_shape shape; /* as it is handed out: upright */
    struct SwsContext *scaler;
    uint8_t *scaled, *upright; /* as the clip lies; turned. The same without a rotation */
};

/* Both sides are 1 or more; even for FRAMES_YUV. */
void paint_open(struct paint *p, enum frames_kind kind, struct stream_shape shape);
void paint_close(struct paint *p); /* accepts a zeroed struct */
/* Fills p->upright; false where the picture is of a kind that cannot be converted. */
bool paint_frame(struct paint *p, const AVFrame *in);

#endif
