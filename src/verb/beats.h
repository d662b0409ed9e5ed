#ifndef VERB_BEATS_H
#define VERB_BEATS_H

#include "app/app.h"
#include "count/beats.h"
#include "verb/verb.h"

/* Decodes the clip's sound and finds its beats, expecting the tempo that the map or --bpm says;
 * beats are put back by --distance. Lives in c->memory. */
bool beats_of_clip(struct call *c, struct app *app, const struct clip *clip, const struct map *map,
                   struct beats *out, struct err *e);

#endif
