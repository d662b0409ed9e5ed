/* What sections and faults are called: the column words alone, as the file has it now. */
#ifndef STORE_WORDS_H
#define STORE_WORDS_H

#include "store/store.h"
#include "talk/teach.h"

/* Of all that are in use: faults, then sections, each as the staff have them. */
bool store_names(struct store *s, struct arena *a, struct named_list *out, struct err *e);
/* The column becomes these; all else of the row stays. The show is stale afterwards. */
bool store_words_put(struct store *s, const struct named *whose, const char *words, struct err *e);

#endif
