/* Picks: spots that a person points at and names. Inner to command/measuring.c. */
#ifndef COMMAND_MEASURING_PICK_H
#define COMMAND_MEASURING_PICK_H

#include "command/measuring.h"

/* The crosshair is on a spot: which one is asked. */
void measuring_name_pick(struct desk *d, struct measuring *m);
/* A key while that is asked; false: it means nothing there. */
bool measuring_naming_key(struct desk *d, struct measuring *m, const char *key);
/* The newest pick of this picture. */
void measuring_take_off(struct desk *d);
/* The crosshair goes to the crossing that says most: far from all that was picked, well in the picture;
 * once the field is known. */
void measuring_next_likely(struct desk *d, struct measuring *m);

#endif
