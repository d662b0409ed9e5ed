/* A file that libavformat writes: beside its place until it is whole. Inner to the room. */
#ifndef CLIP_OUTPUT_H
#define CLIP_OUTPUT_H

#include <libavformat/avformat.h>
#include <stdbool.h>

#include "base/err.h"

struct output {
    const char *to; /* the caller's */
    char *temp;
    AVFormatContext *mux; /* streams, side data and chapters are added before output_begin() */
};

/* Makes the temporary file and a muxer of this name ("mp4", "mov", "matroska", "webm"). An MP4 or
 * MOV gets its index in front, and times to the microsecond where a stream begins later. False with
 * nothing left of it. */
bool output_open(struct output *o, const char *to, const char *muxer, struct err *e);
/* Writes the header; the streams' time bases are the muxer's from here on. */
bool output_begin(struct output *o, struct err *e);
/* Takes the packet, which is empty then; its times count in `base`. */
bool output_packet(struct output *o, AVPacket *packet, AVRational base, struct err *e);
/* Ends the file: all of it is written, in no one's way yet. */
bool output_end(struct output *o, struct err *e);
/* Gives it its name, durably. In any case output_close() follows. */
bool output_place(struct output *o, struct err *e);
/* Removes what has no name yet. Accepts a zeroed struct. */
void output_close(struct output *o);

/* The muxer's refusal, or the disk's, as one line. Returns false. */
bool output_failed(const struct output *o, int code, struct err *e);

#endif
