/* Sound on its way into a cut: encoded as AAC. Inner to the room. */
#ifndef CLIP_VOICE_H
#define CLIP_VOICE_H

#include <libavcodec/avcodec.h>
#include <stdbool.h>
#include <stdint.h>

#include "clip/heard.h"
#include "clip/output.h"

struct voice {
    struct heard *from; /* the caller's; NULL: no sound, and nothing below is done */
    AVCodecContext *codec;
    AVStream *to;
    AVFrame *frame;
    AVPacket *packet;
    int64_t samples; /* that were encoded */
};

/* Adds a stream to `o`, before output_begin(), for the sound of `from`, whose next sample is the
 * cut's first. */
bool voice_open(struct voice *v, struct output *o, struct heard *from, struct err *e);
/* All whole frames of it up to this time of the cut. */
bool voice_until(struct voice *v, struct output *o, int64_t until_us, struct err *e);
/* The rest, exactly until then. */
bool voice_end(struct voice *v, struct output *o, int64_t end_us, struct err *e);
void voice_close(struct voice *v); /* accepts a zeroed struct */

#endif
