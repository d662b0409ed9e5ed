/* What the verb hear does with words: for its own file. */
#ifndef VERB_TEACH_H
#define VERB_TEACH_H

#include "app/app.h"
#include "verb/verb.h"

/* All --teach NAME=WORDS, in one step; the show is read again. */
bool hear_teach(struct call *c, struct app *app, struct err *e);
/* --words: what corrections could teach. */
bool hear_words(struct call *c, struct app *app, struct err *e);

#endif
