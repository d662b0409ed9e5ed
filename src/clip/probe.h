/* What a clip is, read by libavformat without playing it. */
#ifndef CLIP_PROBE_H
#define CLIP_PROBE_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

struct media {
    int64_t size_bytes;
    int64_t length_us;    /* end of the last frame (sound only: of the sound) */
    int width, height;    /* as shown: upright, square pixels; 0 without video */
    int rotation;         /* degrees clockwise the picture must be turned: 0 90 180 270 */
    int fps_num, fps_den; /* nominal rate as a fraction; 0/1 without video */
    bool fps_varies;
    bool has_video, has_sound;
    int64_t start_us;  /* container time that is media time 0 */
    int64_t *frame_us; /* presentation times of all frames, ascending, in libmpv's media time
                        * (container time minus the earliest stream start); heap memory */
    size_t frames;
    char trouble[200];  /* why the disk did not give the frames; "" otherwise */
    char sha256[65];    /* lower-case hex of the whole file */
    char head_tail[65]; /* of its size (8 bytes, big-endian), its first MiB and its last MiB (what
                         * of it lies behind the first): found fast again */
};

enum { PROBE_DIGEST = 1 /* also fill sha256 (reads the whole file) */ };

/* Guard, then reads. media_free() in any case. */
bool clip_probe(const char *path, unsigned flags, struct media *out, struct err *e);
/* The same of a clip that may be large: it ends early, with an error, once *cancel is true. */
struct probe_watch {
    const atomic_bool *cancel;                 /* may be NULL */
    void (*progress)(void *user, double part); /* may be NULL: from time to time, 0 .. 1 */
    void *user;
};
bool clip_probe_watched(const char *path, unsigned flags, const struct probe_watch *watch,
                        struct media *out, struct err *e);
void media_free(struct media *m);

/* SHA-256 of bytes in memory (FIPS 180-4). */
bool clip_sha256(const void *bytes, size_t n, uint8_t out[32], struct err *e);

#endif
