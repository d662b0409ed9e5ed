/* Between the readers of timed text. Inner to the room. */
#ifndef TALK_TIMED_INNER_H
#define TALK_TIMED_INNER_H

#include "talk/timed.h"

struct timed_line {
    const char *at; /* without its end */
    size_t n;
};

struct reading {
    struct arena *a;
    const struct timed_text *file;
    struct timed_line *lines; /* lines[i] is line i + 1 of the file */
    size_t n;
    struct timed_cue *cues;
    size_t n_cues, cap;
    size_t n_notes;
};

void read_webvtt(struct reading *r);
void read_subrip(struct reading *r);
void read_stamps(struct reading *r);

/* Lines from..to as what was said, tags and entities resolved where there may be some; nothing is added
 * where no text is. */
struct raw_cue {
    int64_t from_us, to_us;
    size_t time_line, first, last; /* lines [first, last), 0-based */
    size_t skip;                   /* bytes at the head of the first one that are its time */
    bool tags;
};
void reading_add(struct reading *r, const struct raw_cue *raw);

/* Says what is wrong with a line, the first twenty times. */
void reading_note(struct reading *r, size_t line, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* Does the line have these bytes somewhere? */
bool line_has(const struct timed_line *l, const char *what);
bool line_is_blank(const struct timed_line *l);
void line_blanks(const struct timed_line *l, size_t *at); /* goes past them */
bool line_next(const struct timed_line *l, size_t *at,
               const char *what); /* goes past that, if it is next */
/* The number that is next; how many digits it has in *n. */
int64_t digits(const struct timed_line *l, size_t *at, size_t *n);

/* WebVTT's "collect a WebVTT timestamp": mm:ss.ttt or h..h:mm:ss.ttt. */
bool webvtt_time(const struct timed_line *l, size_t *at, int64_t *us);

#endif
