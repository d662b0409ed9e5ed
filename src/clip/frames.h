/* The pictures of a clip without a player: decoded one after the other, upright, at any size, with
 * the times that the player counts. For measuring and for stills.
 *
 *     struct frames *f;
 *     struct frames_want want = {.path = path, .kind = FRAMES_LUMA, .width = 160};
 *     if (!frames_open(&f, &want, e)) ...
 *     while (frames_next(f, &frame, e)) ...      frame.at_us, frame.px
 *     frames_close(f);                           and e->code tells the end from a failure */
#ifndef CLIP_FRAMES_H
#define CLIP_FRAMES_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

enum frames_kind {
    FRAMES_LUMA, /* 1 byte a pixel, 0 black to 255 white: the luma Y' of the clip's own matrix
                  * (ITU-R BT.601 or BT.709, as it says; BT.709 from 720 rows on when it does not),
                  * brought to the full range */
    FRAMES_RGB,  /* 3 bytes a pixel, R G B, full range; of a clip of high dynamic range or of a wide
                  * gamut brought to those of Rec. ITU-R BT.709 */
    FRAMES_YUV,  /* the same in planes Y', Cb, Cr one after the other, 4:2:0 with chroma at the left
                  * as in MPEG-2, 1 byte each: BT.709's matrix and limited range, whatever the
                  * clip's; both sides even */
};

struct frames_want {
    const char *path;
    enum frames_kind kind;
    int width, height; /* 0 and 0: as shown (square pixels); one of them 0: the shape is kept */
    int most;          /* when both are 0: made smaller until neither side is longer; 0: never */
    int64_t from_us, to_us; /* media time, from_us included, to_us not; to_us 0: to the end */
    bool showing; /* begin with the picture that shows at from_us: the last one at or before it,
                   * else the first of all */
    const atomic_bool *cancel; /* may be NULL: stops early once it is true */
};

struct frame {
    const uint8_t *px; /* rows without a gap; stands until the next call */
    int width, height;
    int64_t at_us; /* media time, ascending: of the frame list of clip/packets.h */
};

struct frames;

/* Fails (ERR_INPUT, or ERR_FAILED where the disk does) with one line that names the file: refused
 * by the guard, no picture, a kind that cannot be decoded, a size beyond 16384. */
bool frames_open(struct frames **out, const struct frames_want *want, struct err *e);
/* The next picture. False at the end (e->code ERR_NONE, also when it was cancelled) and where the
 * clip cannot be read on. Pictures that are damaged beyond decoding are left out. */
bool frames_next(struct frames *f, struct frame *out, struct err *e);
/* Goes on from another moment of the clip, forwards or backwards: what frames_next() hands out from
 * here on is what it would after frames_open() with this from_us, to the bit. want.to_us stays. A
 * moment a little ahead is reached by decoding on, any other by a seek; false with e set where the
 * file had to be opened again (it has no index) and could not be. */
bool frames_seek(struct frames *f, int64_t from_us, struct err *e);
void frames_close(struct frames *f); /* accepts NULL */

#endif
