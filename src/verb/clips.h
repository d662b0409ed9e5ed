#ifndef VERB_CLIPS_H
#define VERB_CLIPS_H

#include "app/app.h"
#include "verb/verb.h"

/* add SHOW clip FILE [--label --date --run]: probes the file, finds out whether the show has it
 * already (same path or same digest), and stores it. */
bool add_clip(struct call *c, struct app *app, struct err *e);

#endif
