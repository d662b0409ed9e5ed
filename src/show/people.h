/* Names of people in what others have written, for where no name is to stand. */
#ifndef SHOW_PEOPLE_H
#define SHOW_PEOPLE_H

#include "base/buf.h"
#include "show/show.h"

/* The parts of performers' names and of the author's (may be "") that stand in the text as words of
 * their own, letter case ignored, each once: "'Ada', 'Reed'". Parts under three bytes are words of
 * the language. */
void people_in(const char *text, const struct show *show, const char *author, struct buf *out);

#endif
