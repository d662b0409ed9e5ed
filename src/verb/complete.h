/* Completion for shells, printed from the verbs' rows. */
#ifndef VERB_COMPLETE_H
#define VERB_COMPLETE_H

#include "verb/verb.h"

void complete_bash(const struct verb *const *verbs, struct buf *out);
void complete_zsh(const struct verb *const *verbs, struct buf *out);
void complete_fish(const struct verb *const *verbs, struct buf *out);

#endif
