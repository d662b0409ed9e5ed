/* What takes keys first for a while: a chord, taps, a row being measured, listening, a line being
 * typed. Each is a kind (functions) and a hold within a part of its own file; one that begins while
 * another is open lies on top of it until it ends. */
#ifndef COMMAND_HOLD_H
#define COMMAND_HOLD_H

#include "command/desk.h"

struct hold_kind {
    /* Each may be NULL; true: it was meant for the hold. */
    bool (*key)(struct desk *d, const char *key);   /* before the key table is asked */
    bool (*line)(struct desk *d, const char *line); /* a command line, before it is run */
    /* Enter and Esc, as the lines "note" and "back" when nothing took the keys. */
    void (*end)(struct desk *d, bool keep);
    void (*screen_left)(struct desk *d); /* another screen was opened */
    void (*drop)(struct desk *d); /* something else is done that makes it pointless; says nothing */
    bool text;                    /* pasted text goes into it */
    int tick_ms;                  /* the desk is to be asked again after so long; 0: no need */
};

struct hold {
    const struct hold_kind *kind; /* NULL while it is not open */
    struct hold *under;
};

/* On top of all others; one that is open already stays where it is. */
void hold_begin(struct desk *d, struct hold *h, const struct hold_kind *kind);
/* Takes it away, wherever it lies; one that is not open stays so. */
void hold_end(struct desk *d, struct hold *h);

bool hold_key(struct desk *d, const char *key);
bool hold_takes_text(const struct desk *d); /* the one on top does */
bool hold_line(struct desk *d, const char *line);
void hold_screen_left(struct desk *d);
void hold_drop(struct desk *d);
/* The shortest tick_ms of those that are open; `otherwise` when none has one. */
int hold_tick_ms(const struct desk *d, int otherwise);

#endif
