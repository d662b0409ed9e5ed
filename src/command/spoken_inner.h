/* A spoken call: spoken_mic.c has the microphone, spoken_call.c what is said into it, spoken.c follows both. */
#ifndef COMMAND_SPOKEN_INNER_H
#define COMMAND_SPOKEN_INNER_H

#include "command/spoken.h"

struct spoken_hand *spoken_mine(const struct desk *d);
const char *spoken_key(const struct desk *d, const char *command); /* of the review */

bool spoken_turn_on(struct desk *d, struct err *e);
void spoken_off(struct desk *d);
bool spoken_anew(
    struct desk *d); /* with other words: what may be said has changed; false: said why not */
void spoken_rest(struct desk *d);   /* back to waiting for the key; the clip is heard again */
void spoken_forget(struct desk *d); /* the same, and what is being said is dropped */
void spoken_let_go(struct desk *d); /* the key, if it is: that was all */
void spoken_heard(struct desk *d);  /* something was: it becomes an open call, or not */
bool spoken_found_again(struct desk *d, struct spoken_hand *h); /* after the show was read again */

#endif
