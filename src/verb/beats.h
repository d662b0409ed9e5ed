#ifndef VERB_BEATS_H
#define VERB_BEATS_H

#include "app/beats.h"
#include "verb/verb.h"

/* --bpm, --distance and --temperature as beats are found with; which clip is the caller's. */
bool beats_asked(const struct call *c, struct beats_choice *out, struct err *e);

/* app_beats() that tells its progress where it takes long, and can be stopped. */
bool beats_listen(struct call *c, struct beats_choice *how, struct beats *out, struct err *e);

#endif
