/* A draft that is put right may hold a word that the show does not know yet: it is proposed, and learnt
 * when the person says so. */
#ifndef COMMAND_TEACH_H
#define COMMAND_TEACH_H

#include "base/buf.h"
#include "command/desk.h"
#include "store/draft.h"

/* Behind a correction of these fields (DRAFT_WHO, DRAFT_FAULT): adds "; & learns 'plumbing'", the key
 * before it, where there is something to propose. */
void teach_propose(struct desk *d, const struct stored_draft *now, unsigned fields,
                   struct buf *out);

#endif
