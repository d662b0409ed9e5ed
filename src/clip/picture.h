/* A picture of a clip as a JPEG: for a page that shows the moment it speaks of. */
#ifndef CLIP_PICTURE_H
#define CLIP_PICTURE_H

#include <stdbool.h>

#include "base/buf.h"
#include "base/err.h"
#include "clip/frames.h"

/* Adds a picture of kind FRAMES_RGB to `out` as one baseline JPEG in a JFIF file (ITU-T T.81 and
 * T.871: Y'CbCr of BT.601, full range), chroma of every pixel: a uniform is a few pixels wide, and a
 * clip of twice the size has that much. Quantised at step 4 of libavcodec's 2 to 31, chosen once for
 * all: 960 x 540 of a field with its band takes 84 KB (measured; 4:2:0 at step 3 takes 75 KB and is
 * 2 dB further from the picture). No comment, no Exif, nothing but the picture; the same picture
 * gives the same bytes. False with e set, and nothing added, where libavcodec cannot be loaded or
 * refuses (a side beyond 65500). */
bool picture_jpeg(const struct frame *rgb, struct buf *out, struct err *e);

#endif
