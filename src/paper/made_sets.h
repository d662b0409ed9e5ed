/* Sets that were made from a score, before they are stored. */
#ifndef PAPER_MADE_SETS_H
#define PAPER_MADE_SETS_H

#include "base/buf.h"
#include "score/sets.h"

/* For a person who decides about them: what the music is, one line a set, what to look at. */
void made_sets_text(const struct score *score, const struct sets_made *made, struct buf *out);
/* The table that `add SHOW sets` reads (sets_columns), of any list of sets. */
void made_sets_csv(const struct set_list *l, struct buf *out);

#endif
