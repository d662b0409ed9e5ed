/* A commentary with its times, as text: what was said, from when to when.
 *
 * Read are WebVTT (W3C; parsed as its section 'File parsing' has it), SubRip (no standard; as players
 * take it) and plain text whose paragraphs begin with a time: [m:ss], m:ss or h:mm:ss, on their first
 * line or alone on the line before. Which of them it is, the text itself says. UTF-8 with or without a
 * byte order mark; CRLF, LF or CR. */
#ifndef TALK_TIMED_H
#define TALK_TIMED_H

#include <stdint.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/err.h"

/* From this byte of the text on it was said no earlier than then: captions may name times inside. */
struct timed_anchor {
    size_t at;
    int64_t us;
};

struct timed_cue {
    int64_t from_us, to_us; /* of the commentary's own clock; to_us -1: until the next begins */
    const char *text;       /* one line, without tags, entities resolved, blanks single */
    const char *speaker;    /* "": not said */
    int line;               /* of the file, where its time stands, 1-based */
    const struct timed_anchor *anchors; /* ascending in both */
    size_t n_anchors;
};

enum timed_kind { TIMED_WEBVTT, TIMED_SUBRIP, TIMED_STAMPS };

struct timed {
    enum timed_kind kind;
    const struct timed_cue *at; /* by from_us; those that begin at once as they stand in the file */
    size_t n;
};

struct timed_text {
    const char *bytes;
    size_t n;
    const char *source; /* its name in messages */
    /* What is broken or passed over, "source:line: ..." a line each; the rest is read. */
    struct buf *notes;
};

/* False with ERR_INPUT where nothing with a time is in it. */
bool timed_read(struct arena *a, const struct timed_text *file, struct timed *out, struct err *e);

#endif
