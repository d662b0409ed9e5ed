/* The streams of a clip: which one is shown, which one is heard, and the picture's shape. */
#ifndef CLIP_STREAM_H
#define CLIP_STREAM_H

#include <libavformat/avformat.h>
#include <stdbool.h>

/* As libmpv chooses: the stream marked default, else the first; cover art is not a clip. NULL when
 * there is none. */
AVStream *stream_pick(AVFormatContext *file, enum AVMediaType type);

struct stream_shape {
    int width, height; /* as shown: upright, square pixels */
    int rotation;      /* degrees clockwise the picture must be turned: 0 90 180 270 */
    bool mirrored;     /* before that it must be put upside down, as from a camera in front */
};

struct stream_shape stream_shape(AVFormatContext *file, AVStream *s);

#endif
