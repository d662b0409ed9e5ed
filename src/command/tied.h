/* The clip's map: where its ties put it in the drill. */
#ifndef COMMAND_TIED_H
#define COMMAND_TIED_H

#include "command/desk.h"

/* Reads the clip's ties and builds its map; on failure what was there stays. */
bool map_read(struct desk *d, struct err *e);
void map_forget(struct desk *d);
/* Where the playhead is in the drill; false outside every stretch. */
bool desk_spot(const struct desk *d, struct spot *out);
/* The tie nearest to the playhead, NULL when there is none. */
const struct tie *nearest_tie(const struct desk *d);

#endif
