/* What hearing a commentary and hearing a recording share: where it lies in the clip, and what becomes of
 * what is proposed. For the verb hear. */
#ifndef VERB_HEARING_H
#define VERB_HEARING_H

#include "app/hear.h"
#include "verb/verb.h"

/* --at and --lead; that --accept is a confidence is seen here, too, before anything long begins. */
bool hearing_clock(struct call *c, struct app *app, struct talk_clock *out, struct err *e);
/* Shows the drafts (--as), or keeps them and accepts some (--accept). */
bool hearing_out(struct call *c, struct app *app, const struct hear_choice *how,
                 const struct heard_talk *h, struct err *e);

/* hear SHOW CLIP --voice FILE: calls spoken in a recording. */
bool hear_voice(struct call *c, struct app *app, struct err *e);

#endif
