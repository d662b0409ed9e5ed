/* The sound of a clip from any moment on, sample by sample. Inner to the room. */
#ifndef CLIP_HEARD_H
#define CLIP_HEARD_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

struct heard;

enum { HEARD_MOST = 2 /* channels */ };

/* *out is NULL where the clip has no sound, or one of a kind that cannot be decoded. */
bool heard_open(struct heard **out, const char *path, const atomic_bool *cancel, struct err *e);
void heard_close(struct heard *h);     /* accepts NULL */
int heard_rate(const struct heard *h); /* 44100 or 48000 */
int heard_channels(const struct heard *h);

/* The next sample is the one at this media time. */
bool heard_seek(struct heard *h, int64_t from_us, struct err *e);
/* The next n samples of each channel, -1 .. 1; silence where the clip has none yet or none any more.
 * False where it cannot be read on. */
bool heard_read(struct heard *h, float *const channels[HEARD_MOST], int n, struct err *e);

#endif
