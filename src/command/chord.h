/* Typing a chord while the clip plays: a hold that takes letters, digits and what joins them. The
 * moment is that of its first key. */
#ifndef COMMAND_CHORD_H
#define COMMAND_CHORD_H

#include "command/desk.h"
#include "command/hold.h"
#include "command/who.h"
#include "mark/chord.h"

struct chord_hand {
    struct hold hold;
    char typed[CHORD_KEYS]; /* "" while no chord is open */
    size_t n_typed;
    int64_t at_us; /* the moment of its first key, lead taken off */
    struct chord chord;
    bool refused; /* a number nobody, or several, have: the chord waits for Backspace or Esc */
    /* Whom the keys meant before the show was read again. */
    struct who before[CHORD_TARGETS];
    size_t n_before;
    void (*done)(struct desk *d, const struct chord *c);
    void (*whom)(struct desk *d, const struct chord *c); /* NULL: without a fault it is not whole */
};

const struct chord_hand *chord_hand(const struct desk *d);
bool chord_open(const struct desk *d);
/* A letter begins a chord that makes a mark; true when the key was taken. */
bool chord_begin(struct desk *d, const char *key);
/* A letter begins a chord that is handed to `done` instead, once it is complete and closed. What
 * was refused or dropped is not: then no chord is open any more. */
void chord_answer(struct desk *d, const char *key,
                  void (*done)(struct desk *d, const struct chord *c));
/* The same; Enter behind whom hands those alone to `whom`. */
void chord_answer_whom(struct desk *d, const char *key,
                       void (*done)(struct desk *d, const struct chord *c),
                       void (*whom)(struct desk *d, const struct chord *c));
/* The fault alone, for whom stands already: a fault's key, handed to `done` with them. What is typed
 * begins with '. */
void chord_answer_fault(struct desk *d, const struct target *whom, size_t n,
                        void (*done)(struct desk *d, const struct chord *c));
/* The next click on the picture says who: of a section alone that the open chord names, else anybody.
 * The performer's keys take the place of that section's, or are typed behind the chord. It says why,
 * when no click can. */
void chord_point(struct desk *d);
/* A letter begins, and more letters end, the key of a section alone; chosen: its position. */
bool chord_choose(struct desk *d, const char *key, void (*chosen)(struct desk *d, int section));

#endif
