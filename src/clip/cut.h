/* Short clips cut out of a long one: small, upright, and shown at once by any browser.
 *
 *     struct cuts *c;
 *     if (!cuts_open(&c, &(struct cuts_want){.path = path}, e)) ...
 *     for each mark, in order of time:
 *         if (!cuts_make(c, &(struct cut){.from_us = from, .to_us = to, .to = "7.mp4"}, e)) ...
 *     cuts_close(c); */
#ifndef CLIP_CUT_H
#define CLIP_CUT_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

struct cuts;

struct cuts_want {
    const char *path;
    const atomic_bool *cancel;                 /* may be NULL: gives up once it is true */
    void (*progress)(void *user, double part); /* may be NULL: how much of the cut that is being
                                                  * made is done, 0 .. 1 */
    void *user;
};

struct cut {
    int64_t from_us,
        to_us;      /* media time of the clip, from included, to not; 0 <= from_us < to_us */
    const char *to; /* the file to make, which is replaced when it is there; ".mp4" */
};

/* Opens the clip once for all its cuts. False with e set as frames_open() fails. */
bool cuts_open(struct cuts **out, const struct cuts_want *want, struct err *e);

/* Makes one cut: an MP4 with its index in front and no tags.
 * Picture: H.264 (libx264 at a constant rate factor of 26 and at most 530 kbit/s; MPEG-4 Part 2 at
 * quantiser 5 where this libavcodec has no libx264, which browsers do not show), at most 640 wide
 * and high in the shape in which the clip is shown, upright, square pixels, even sides, 4:2:0 in 8
 * bits, of the usual dynamic range and gamut (clip/frames.h). No picture waits for a later one. A
 * keyframe at the beginning, and never more than half a second from one to the next (unless one
 * picture is shown longer).
 * Times: the first picture is the one that shows at from_us, at time 0; every other one keeps its
 * time, so that a moment m of the clip stands at m - from_us in the cut, to the microsecond. Where
 * no picture shows yet at from_us the first one comes at its time behind it.
 * Sound: AAC, as many channels as the clip has but at most 2, where there is any; silent where the
 * clip has a gap.
 * It ends at to_us, or with the clip. The same cut is the same file. 5 s with sound take at most some
 * 430 KB (measured: 310 KB of a band seen from the box, 400 KB from a camera that never stands still
 * or of pure noise; 3 to 40 KB of the tests' clips).
 *
 * Cuts in order of time are cheap, in any other as right. True when the file is whole and durable
 * under its name. False with e set: ERR_INPUT where nothing can be shown between the two or the clip
 * is damaged there, ERR_FAILED where a disk fails or is full; false with e->code ERR_NONE when it
 * was cancelled. Then cut->to is as it was, no other file is left, and the next cut may be tried. */
bool cuts_make(struct cuts *c, const struct cut *cut, struct err *e);
void cuts_close(struct cuts *c); /* accepts NULL */

/* One cut alone. */
bool cut_make(const struct cuts_want *want, const struct cut *cut, struct err *e);

#endif
