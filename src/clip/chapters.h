/* Chapters for a file that is written. Inner to the room. */
#ifndef CLIP_CHAPTERS_H
#define CLIP_CHAPTERS_H

#include <libavformat/avformat.h>
#include <stdint.h>

#include "clip/remux.h"

/* Gives `mux` the chapters of `want` as remux.h says, none beyond length_us. */
void chapters_add(AVFormatContext *mux, const struct remux_want *want, int64_t length_us);

#endif
