/* The picture of a moment that a screen speaks of, in the pane. */
#ifndef SCREEN_STILLS_H
#define SCREEN_STILLS_H

#include "command/desk.h"
#include "pane/pane.h"

struct stills;

struct stills *stills_open(void);
void stills_close(struct stills *s);

/* Each turn: asks for the picture that the screen shows and hands it to the pane once it is there.
 * anew: the pane was given another place, so what it had is gone. */
void stills_turn(struct stills *s, const struct desk *d, struct pane *pane, bool anew);
/* For poll(); -1: nothing is asked for. */
int stills_fd(const struct stills *s);
bool stills_busy(struct stills *s);

#endif
