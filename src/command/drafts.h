/* The drafts that wait for the open clip, on the desk: which is chosen, and what is done with it. */
#ifndef COMMAND_DRAFTS_H
#define COMMAND_DRAFTS_H

#include "app/drafts.h"
#include "command/desk.h"

enum { DRAFTS_SETTLED = 64 };

/* Those that wait for any clip, while none is open. */
struct drafts_elsewhere {
    int64_t waiting;
    size_t clips;
    int64_t clip; /* row of one of them; 0 none */
};

struct drafts {
    bool
        shown; /* by its screen, which says so; what is not shown is let go when the show is read */
    struct arena memory;
    struct stored_draft_list list; /* those that wait, by time */
    struct draft_source_list sources;
    struct draft_counts counts; /* of all of the clip */
    int64_t counted;            /* row of that clip; 0: to be counted anew */
    struct drafts_elsewhere elsewhere;
    bool elsewhere_known;
    size_t line;
    int64_t id, at_us; /* of the chosen one, whatever its number is; id 0: none */
    bool looping;      /* the clip loops around it since it was chosen */
    bool due;          /* it was chosen while the show was read: to be played with the next turn */
    int64_t typing;    /* row of the draft that the open chord is about */
    /* What this desk settled, the newest last: one that comes back by undo is chosen. */
    int64_t settled[DRAFTS_SETTLED];
    size_t n_settled;
};

const struct drafts *drafts_now(const struct desk *d);
/* How many wait for the open clip, whether they are shown or not; counted once. */
int64_t drafts_waiting(const struct desk *d);
struct drafts_elsewhere drafts_elsewhere(const struct desk *d);
/* Reads them and plays around the first; false, and said, when they cannot be read. */
bool drafts_load(struct desk *d);
void drafts_shown(struct desk *d, bool shown);
/* NULL: none waits. Stands until the next change. */
const struct stored_draft *drafts_chosen(const struct desk *d);
/* What it was heard in; NULL: not known. */
const struct draft_source *drafts_source(const struct desk *d);
/* Chooses a line and plays around it, again and again. */
void drafts_choose(struct desk *d, size_t line);
void drafts_play(struct desk *d);

/* --- for drafts_change.c ---------------------------------------------------------------------- */

/* Reads them again behind a change of this desk's own. The chosen one, if it waits no more, gives way
 * to the next; `chosen` > 0 is chosen instead. */
bool drafts_again(struct desk *d, int64_t chosen);
void drafts_settled(struct desk *d, int64_t id);
/* A letter begins a chord that says whom (Enter), or whom and what, the chosen draft is about. */
bool drafts_key(struct desk *d, const char *key);
void drafts_typing(struct desk *d, int64_t id);

#endif
