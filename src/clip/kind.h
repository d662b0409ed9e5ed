/* The kind of file that holds a clip's streams as they are. Inner to the room. */
#ifndef CLIP_KIND_H
#define CLIP_KIND_H

#include <libavformat/avformat.h>
#include <stdbool.h>

#include "clip/open.h"

/* What is copied of a clip, by its place in a table; NULL there: it has none. */
enum { VIDEO, SOUND, STREAMS };

struct kind {
    const char *muxer, *ending; /* "mp4", ".mp4" */
};

/* Is the clip's file of the kind whose name in libavformat begins so? */
bool kind_is(const AVFormatContext *file, const char *begins);
/* The kind for a copy of these streams, as clip/remux.h says; NULL with e set. */
const struct kind *kind_of(const struct container *clip, AVStream *const streams[STREAMS],
                           struct err *e);

#endif
