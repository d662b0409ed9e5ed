/* The calls of the open clip. All of them are known by time and row; whole marks are read from the
 * show file when somebody looks at one, so that a clip of a million marks opens at once. A long
 * list is read in slices between keys; until the new one is whole, the one before it stands. */
#ifndef COMMAND_CALLS_H
#define COMMAND_CALLS_H

#include "command/desk.h"
#include "mark/mark.h"

struct call_at {
    int64_t at_us, id;
};

/* The clip or the show is another: reads the first slice at once, which for most clips is all.
 * keep: the same clip, so what is known stands until the new list is whole. */
bool calls_read(struct desk *d, bool keep, struct err *e);
void calls_forget(struct desk *d);
/* Is it being read on, turn by turn? */
bool calls_reading(const struct desk *d);
/* Only calls with these words are shown; "" all. */
void calls_filter(struct desk *d, const char *words);
const char *calls_words(const struct desk *d);
/* Has it these words in its target, section, fault, family, note or author? */
bool call_has(const struct desk *d, const struct mark *m, const char *words);

/* What this desk did itself; the list is not read again. */
void calls_add(struct desk *d, const struct mark *m);
void calls_remove(struct desk *d, const struct mark *m);
/* A mark as it is now; its text may live in calls_memory(). */
void calls_change(struct desk *d, const struct mark *now);
struct arena *calls_memory(struct desk *d);

/* A mark by its row; NULL when it is not there. It stands until the next turn. */
struct mark *desk_mark(const struct desk *d, int64_t id);
/* How many there are, and how many the filter lets through. */
size_t calls_all(const struct desk *d);
size_t calls_shown(const struct desk *d);
/* Of those that are shown: number `i` in time order, how many come before a time, and where one
 * stands (calls_shown() when it is not among them). */
struct call_at calls_nth(const struct desk *d, size_t i);
size_t calls_before(const struct desk *d, int64_t us);
size_t calls_place(const struct desk *d, const struct call_at *c);
/* Place of the last one at or before the playhead; calls_shown() when there is none. */
size_t calls_here(const struct desk *d);

#endif
