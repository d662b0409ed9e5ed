/* The review on a terminal. */
#ifndef SCREEN_LOOP_H
#define SCREEN_LOOP_H

#include "command/desk.h"

/* What the person set for the terminal. */
struct screen_settings {
    const char *pane, *color; /* see struct term_settings */
};

/* Runs until the person leaves. */
bool screen_run(struct desk *d, const struct screen_settings *set, struct err *e);

#endif
