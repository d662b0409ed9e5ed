/* Names of people in what others have written, for where no name is to stand. */
#ifndef SHOW_PEOPLE_H
#define SHOW_PEOPLE_H

#include "show/show.h"

/* The part of a name, at least three bytes long, that stands in the text as a word of its own, letter
 * case ignored; "" when none does. In the arena. */
const char *people_part(struct arena *mem, const char *text, const char *name);
/* The same of any performer's name. */
const char *people_named(struct arena *mem, const char *text, const struct show *show);

#endif
