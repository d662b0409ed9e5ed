/* A decoded picture as it is handed out: scaled, in the wanted kind, upright. Inner to the room. */
#ifndef CLIP_PAINT_H
#define CLIP_PAINT_H

#include <libavutil/frame.h>
#include <stdbool.h>
#include <stdint.h>

#include "clip/frames.h"
#include "clip/stream.h"
#include "clip/tone.h"

struct SwsContext;

struct paint {
    enum frames_kind kind;
    struct stream_shape shape; /* as it is handed out: upright */
    struct SwsContext *scaler;
    uint8_t *scaled, *upright;  /* as the clip lies; turned. The same without a rotation */
    struct tone *tone;          /* NULL: the colours stay; never of FRAMES_LUMA */
    uint16_t *deep;             /* with a tone: scaled, R G B of the clip's own */
    uint8_t *plain;             /* that one, R G B of the usual range */
    struct SwsContext *recoder; /* from there to the wanted kind */
};

/* Both sides are 1 or more; even for FRAMES_YUV. */
void paint_open(struct paint *p, enum frames_kind kind, struct stream_shape shape,
                const AVCodecParameters *stream);
void paint_close(struct paint *p); /* accepts a zeroed struct */
/* Fills p->upright; false where the picture is of a kind that cannot be converted. */
bool paint_frame(struct paint *p, const AVFrame *in);

#endif
