/* Stems of English words, by libstemmer. Inner to the room. */
#ifndef TALK_STEMS_H
#define TALK_STEMS_H

#include "base/arena.h"

struct stems;
struct stems *stems_new(void);
/* Of a word in small letters. */
const char *stems_of(struct stems *s, struct arena *a, const char *word);
void stems_free(struct stems *s);

#endif
