/* The rehearsal's clock in minutes: where fixed items and rest stand, and when a block that begins
 * now is over. Inner to the room.
 *
 * Fixed items first (FIRST ones from the start on, LAST ones up to the end, AT ones at their time).
 * With a heat policy the breaks are windows too, those of plan/rest.h. Without one they come between
 * blocks: a break of `pause` minutes right before the block that would make the work since the last
 * rest longer than `work`, no sooner, as a later one serves more of what follows. A rest is such a
 * break, an item that is rest, and a gap of `pause` minutes or more before a fixed item; no work
 * goes on into a fixed item that would make it too long, unless the item alone does. */
#ifndef PLAN_TRACK_H
#define PLAN_TRACK_H

#include "plan/plan.h"
#include "plan/rhythm.h"

/* Where people are on the clock. */
struct place {
    int t;   /* minutes on the day's clock, steps in a section's own list */
    int w;   /* minutes of work since the last rest, at most track.work */
    int row; /* hard reps in a row */
};

struct track {
    int minutes;                  /* length of the rehearsal */
    struct track_window *windows; /* by time, apart from each other */
    size_t n_windows;
    bool short_of_rest; /* the fixed items leave the heat policy's rest no room */
    int work, pause;    /* the rhythm of breaks between blocks; 0: none */
    int *free;          /* free[t]: minutes from t to the next window or the end; t < minutes */
    int *next;  /* next[t]: position of the first window that ends after t, n_windows: none */
    int *spent; /* spent[t]: minutes before t that no window has; t <= minutes + 1 */
    struct arena *arena;
};

bool plan_track_build(const struct plan_input *in, struct arena *a, struct track *out,
                      struct err *e);

/* Minutes of the longest stretch that the rhythm allows; and the rules' least where it gives way. */
int plan_track_longest(const struct track *t);
void plan_track_give_way(const struct track *t, struct plan_rules *rules);

/* Does work end well here? False where a fixed item follows that would make it too long. */
bool plan_track_ends_well(const struct track *t, const struct place *at);
/* Behind the next window; false when there is none, or work does not end well here. */
bool plan_track_pass(const struct track *t, struct place *at);
/* A block of so many minutes from a place on: moves the place behind it; *begins, if not NULL, is
 * its first minute. rest_first: people must rest before it. False when there is no room for it. */
struct track_block {
    int minutes;
    bool rest_first;
    bool however_long; /* longer than the rhythm's work, too */
};
bool plan_track_put(const struct track *t, struct track_block b, struct place *at, int *begins);

#endif
