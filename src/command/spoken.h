/* A call that is spoken: a key is held, or pressed before and behind it, while the person says it. What was
 * heard stays open like a chord: Enter or the next call keeps it, Backspace drops it. The moment is that of
 * the key, lead taken off, however long hearing takes. Off until the command voice turns it on. */
#ifndef COMMAND_SPOKEN_H
#define COMMAND_SPOKEN_H

#include "command/desk.h"
#include "command/hold.h"
#include "command/who.h"
#include "talk/said_call.h"

enum spoken_phase {
    SPOKEN_OFF,
    SPOKEN_OPENING,   /* the microphone and the ear */
    SPOKEN_READY,     /* for the key */
    SPOKEN_STARTING,  /* the key was pressed */
    SPOKEN_LISTENING, /* and what is said counts */
    SPOKEN_THINKING,
    SPOKEN_OPEN, /* a call that waits for Enter */
};

enum { SPOKEN_SOURCE = 400 };

struct spoken_hand {
    struct hold hold;
    enum spoken_phase phase;
    char source[SPOKEN_SOURCE]; /* of the sound, hear/microphone.h; the one that was named last */
    struct app_voice *voice;
    struct live *live;
    bool reread;        /* the show was read again while the ear was being made */
    bool stale;         /* what may be said has changed since the ear was made */
    bool late;          /* no repeat of the key came in time; once more and it is let go */
    int level;          /* of the voice now, 0 .. SPOKEN_LEVELS */
    int64_t at_us;      /* the moment of the key, lead taken off */
    int presses;        /* of the key since then; a held one repeats itself */
    int64_t pressed_us; /* the last of them; monotonic */
    /* What was heard. */
    struct target targets[SAID_MOST];
    struct who before[SAID_MOST]; /* while the show is read again */
    int64_t fault_row;
    size_t n_targets;
    int fault, severity;
    bool praise;
    double confidence;
};

enum { SPOKEN_LEVELS = 10 };

const struct spoken_hand *spoken_hand(const struct desk *d);
bool spoken_on(const struct desk *d);   /* a microphone is open, or is being opened */
bool spoken_open(const struct desk *d); /* somebody speaks, or a call waits */

#endif
