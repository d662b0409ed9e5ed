/* A clip copied without encoding it again, for a folder that others open: with chapters, and with
 * nothing that its camera wrote beside picture and sound. */
#ifndef CLIP_REMUX_H
#define CLIP_REMUX_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

struct remux_chapter {
    int64_t from_us, to_us; /* media time of the clip; ascending by from_us */
    const char *title;      /* any text: what utf8_hides() tells of becomes '?', and only its first
                             * 200 bytes (never part of a character) are kept; NULL is "" */
};

struct remux_want {
    const char *path; /* the clip */
    const char *to;   /* the copy, which is replaced when it is there; another file than the clip */
    /* Where two overlap the earlier ends with the beginning of the later; what begins before 0
     * begins at 0; what has no length then, or the title "", is left out. */
    const struct remux_chapter *chapters;
    size_t n_chapters;
    const atomic_bool *cancel;                 /* may be NULL: gives up once it is true */
    void (*progress)(void *user, double part); /* may be NULL: from time to time, 0 .. 1 */
    void *user;
};

/* The kind of file that the copy of a clip will be, as the ending of its name: ".mp4" or ".mov"
 * for what is one of them, ".webm" or ".mkv" for Matroska; of other kinds ".mp4" where it holds
 * the clip's codecs, else ".mkv". Static text; NULL with e set (ERR_INPUT, or ERR_FAILED where the
 * disk fails) for what remux() refuses at its beginning. */
const char *remux_ending(const char *path, struct err *e);

/* Copies the picture that is shown and the sound that is heard (stream_pick()), packet by packet;
 * a second camera's picture, subtitles, positions and the like stay out, and so does every tag:
 * place, device, author, date. What the picture needs stays: rotation, shape, colours, times, and
 * what an edit list leaves out. An MP4 or MOV has its index in front, so that a browser starts at
 * once. The kind is that of remux_ending(), whatever `to` is called.
 *
 * Media time 0 of the copy is that of the clip, and every frame of clip/packets.h stands at the
 * same time, to a tick of the file's clock (Matroska: a millisecond). It is looked at before the
 * copy gets its name: where it cannot be (an edit list of several pieces, times that run
 * backwards) the clip is refused, and says that its moments can still be cut out.
 *
 * True when the copy is whole and durable under its name. False with e set: ERR_INPUT for what is
 * refused or damaged, ERR_FAILED where a disk fails or is full; false with e->code ERR_NONE when it
 * was cancelled. Then `to` is as it was, and no other file is left. Of a clip that is cut short
 * what is there is copied. */
bool remux(const struct remux_want *want, struct err *e);

#endif
