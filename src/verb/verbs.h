/* All verbs, in the order help shows them; ends with NULL. */
#ifndef VERB_VERBS_H
#define VERB_VERBS_H

#include "verb/verb.h"

extern const struct verb *const verbs[];

#endif
