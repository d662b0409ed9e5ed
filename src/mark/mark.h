/* The mark: a time-coded remark about a section or performers. Sections, performers, faults and
 * sets are positions in the show's arrays. */
#ifndef MARK_MARK_H
#define MARK_MARK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/err.h"
#include "mark/measure.h"
#include "show/show.h"

enum mark_state { MARK_OPEN, MARK_REPPED, MARK_CLEAN };

enum { SEVERITY_LEAST = 1, SEVERITY_MOST = 3 };

/* A moment is watched from a little before it to a little behind it. */
enum { MARK_LEAD_IN_US = 2000000, MARK_TAIL_US = 3000000 };

struct target {
    int section;
    int performer; /* -1: the whole section */
};

struct mark {
    int64_t id;            /* 0 before it was stored */
    int64_t clip;          /* row of the clip */
    int64_t at_us, end_us; /* media time of a frame; end_us is -1 for a moment */
    const struct target *targets;
    size_t n_targets;
    int fault;
    bool praise;
    int severity; /* 1 small .. 3 serious */
    enum cause cause;
    enum mark_state state;
    const char *note, *author;
    int set;                        /* -1 while the clip is not tied to sets */
    double count;                   /* 1-based, meaningful with set >= 0 */
    bool timed;                     /* late_counts was measured */
    double late_counts, late_error; /* signed: negative is early; half-width, counts */
    struct measure measure;         /* what was measured there */
    bool on_field;                  /* where it is on the field is known: */
    double x, y;                    /* grid steps, as dots have them (show/grid.h) */
};

/* The lead of who has not chosen one; and the longest, milliseconds. */
enum { LEAD_DEFAULT_MS = 600, LEAD_MOST_MS = 3000 };

/* Media time of what was seen: a person presses the key lead_ms after seeing it, at a clip that
 * runs at `speed` since it was at began_us (-1: it stands still, and there is no lead). Never
 * before began_us: what lies there was not on screen, or not in motion. */
int64_t mark_time(int64_t now_us, double lead_ms, double speed, int64_t began_us);

/* "T3;T5", "trumpets;M2": labels of performers or names of sections. Duplicates fold into one.
 * The targets live in the arena; NULL with e set. */
const struct target *targets_parse(struct arena *a, const struct show *show, const char *text,
                                   size_t *n, struct err *e);
/* "T3, T5" or "trumpets, M2" */
void targets_text(const struct show *show, const struct target *t, size_t n, struct buf *out);

const char *cause_name(enum cause c);           /* "define", "execute" */
const char *mark_state_name(enum mark_state s); /* "open", "repped", "clean" */

#endif
