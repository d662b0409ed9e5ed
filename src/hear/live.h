/* A call while it is spoken: a microphone and an ear in a thread of their own. Between calls what comes is
 * thrown away but for the last quarter of a second, so that a word begun with the key is whole; a call is
 * kept until it is understood. Nothing is written anywhere. */
#ifndef HEAR_LIVE_H
#define HEAR_LIVE_H

#include "hear/speech.h"

enum live_phase {
    LIVE_OPENING,   /* the microphone and the ear */
    LIVE_READY,     /* nobody wants to know what is said */
    LIVE_LISTENING, /* what is said now is the call */
    LIVE_THINKING,  /* it was said, and is being understood */
    LIVE_HEARD,     /* live_take() hands out what it was */
    LIVE_GONE,      /* no microphone, or none any more: live_gone() says why */
};

struct live_want {
    const char *source; /* microphone_open() */
    /* Makes the ear, in the thread; it stays the caller's. */
    bool (*ear)(void *user, struct speech **out, struct err *e);
    void *user;
};

struct live;
bool live_begin(struct live **out, const struct live_want *want, struct err *e);
void live_free(struct live *l); /* waits for the thread; accepts NULL */

enum live_phase live_phase(struct live *l);
double live_level(struct live *l);     /* 0 silence .. 1 as loud as it gets, while listening */
const char *live_gone(struct live *l); /* "" until it is */

/* Listens from now on. It ends by itself when somebody spoke and was silent for a while, unless it is
 * held open; when nobody speaks; after twelve seconds. */
void live_listen(struct live *l);
void live_hold_open(struct live *l);
void live_enough(struct live *l); /* that was all of it */
void live_drop(struct live *l);   /* and it is forgotten */
/* What was said, no words when it was nothing; then it is ready again. */
void live_take(struct live *l, struct arena *a, struct speech_said *out);

#endif
