/* Pictures on their way into a cut: encoded, each with its time. Inner to the room. */
#ifndef CLIP_FILM_H
#define CLIP_FILM_H

#include <libavcodec/avcodec.h>
#include <stdbool.h>
#include <stdint.h>

#include "clip/frames.h"
#include "clip/output.h"

struct film_time {
    int64_t at_us, long_us;
};

struct film {
    AVCodecContext *codec;
    AVStream *to;
    AVFrame *frame; /* the picture that waits to know how long it shows */
    AVPacket *packet;
    bool waiting;
    int64_t at_us, key_us;   /* of that picture; of the last keyframe */
    struct film_time *times; /* of each picture, in the order in which they were added */
    size_t n, cap, written;
};

/* Adds a stream to `o`, before output_begin(), for pictures that `f` hands out as FRAMES_YUV. */
bool film_open(struct film *m, struct output *o, const struct frames *f, struct err *e);
/* The next picture, at this time of the cut, ascending; its size is that of the first. */
bool film_add(struct film *m, struct output *o, const struct frame *f, int64_t at_us,
              struct err *e);
/* The last picture shows until then. */
bool film_end(struct film *m, struct output *o, int64_t end_us, struct err *e);
void film_close(struct film *m); /* accepts a zeroed struct */

#endif
