/* What sets are called. Inner to the room. */
#ifndef SCORE_LABELS_H
#define SCORE_LABELS_H

#include "score/starts.h"

struct label {
    const char *label, *name;
};

/* A marker's text where it is short, one word that can be typed as a set, and not there already.
 * A longer one that begins with a rehearsal mark ('D Grand turn', 'Letter D: turn') is called by it
 * and has the rest as its name. Else the set's number, with a letter where that is taken, and the
 * text as its name. names: what those without a text are called. */
void labels_make(struct arena *a, const struct start_list *starts, const char *const *names,
                 struct label *out);

#endif
