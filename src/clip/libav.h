/* FFmpeg's libraries, for the files of this room: after this header each of their functions is
 * called through a pointer, which libav_load() fills. Inner to the room; included last. */
#ifndef CLIP_LIBAV_H
#define CLIP_LIBAV_H

#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/avstring.h>
#include <libavutil/display.h>
#include <libavutil/imgutils.h>
#include <libavutil/sha.h>
#include <libswresample/swresample.h>
#include <libswscale/swscale.h>

#include "clip/libav_borrowed.h"

#endif
