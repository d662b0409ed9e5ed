/* Every screen, in the order that F-keys and pages show them; the first is the one to begin with.
 */
#ifndef SCREEN_SCREENS_H
#define SCREEN_SCREENS_H

#include "command/tools.h"

extern const struct screen *const screens[]; /* ends with NULL */
/* The commands and these screens. */
extern const struct tools review_tools;

#endif
