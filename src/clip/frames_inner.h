/* What stands behind the pictures, for the files of this room. */
#ifndef CLIP_FRAMES_INNER_H
#define CLIP_FRAMES_INNER_H

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>

#include "clip/frames.h"
#include "clip/open.h"
#include "clip/order.h"
#include "clip/paint.h"

struct frames {
    struct frames_want want;
    char *path;
    struct container file;
    AVStream *stream;
    AVCodecContext *codec;
    AVPacket *packet;
    struct paint paint;
    AVFrame *frame; /* the last one that was decoded */
    bool waiting;   /* it is not handed out yet */
    AVFrame *shown; /* want.showing: the one before it, not behind from_us */
    int64_t shown_us;
    AVFrame *given;     /* that one, handed out */
    bool fresh;         /* nothing was handed out since the beginning was set */
    int64_t key_us;     /* of the first keyframe: nothing before it can be decoded */
    int64_t before_us;  /* of the picture before the last one, INT64_MIN: none was decoded */
    int64_t last_us;    /* of the last one */
    int64_t fed;        /* stamp of the packet that was decoded last */
    bool decode_only;   /* do stamps say when a picture is decoded, not when it shows? */
    struct order order; /* then: when each shows */
    bool may_skip;      /* does the codec say which pictures no other one needs? */
    bool skips;         /* are those left out that lie before the beginning? */
    int tries;          /* of the seek to the beginning */
    bool landed;        /* a picture at or before the beginning was seen: none is missing */
    bool ended;         /* the file has no more packets, the decoder may hold pictures */
    int end_code;
    struct err trouble; /* of opening the file again */
};

/* All but the first seek: file, decoder, size. frames_close() in any case. */
bool frames_load(struct frames *f, struct err *e);
/* The file alone, which is closed. */
bool frames_open_file(struct frames *f, struct err *e);

#endif
