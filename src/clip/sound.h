/* The sound of a clip as samples: one channel, float, 44100 a second or another rate, in one pass. */
#ifndef CLIP_SOUND_H
#define CLIP_SOUND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

enum { SOUND_RATE = 44100 };

struct sound_chunk {
    const float *samples; /* -1 .. 1, valid during the call */
    size_t n;
    int64_t at_us; /* media time of the first one: container time minus the container's start,
                    * as the player counts it */
    double part;   /* how much of the clip is done, 0 .. 1; 0 while its length is not known */
};
/* Returns false to stop. Chunks follow each other without a gap: what the clip leaves out is handed
 * over as silence. */
typedef bool (*sound_sink)(void *user, const struct sound_chunk *chunk);

/* Decodes the best audio stream of a local regular file up to length_us of media time (0: to its
 * end); nothing that the file refers to is opened. False with e set when it cannot (no such file,
 * no sound, not a clip, a disk that does not give it up, a hole of more than ten minutes), and
 * false with e->code ERR_NONE when the sink stopped it. Damaged passages are skipped, as a player
 * does. */
bool sound_decode(const char *path, int64_t length_us, sound_sink sink, void *user, struct err *e);

/* The same at another rate, or of a file that is no clip. */
struct sound_want {
    const char *path;
    int64_t length_us;
    int rate;            /* samples a second */
    const char *instead; /* what to do about a file that has no sound: "tap the beat instead" */
};
bool sound_decode_as(const struct sound_want *want, sound_sink sink, void *user, struct err *e);

#endif
