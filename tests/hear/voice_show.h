/* The show that spoken calls are tested with: the demo's band with the faults that every show begins with. */
#ifndef VOICE_SHOW_H
#define VOICE_SHOW_H

#include "show/show.h"

/* Made once; stays. */
const struct show *voice_show(void);

#endif
