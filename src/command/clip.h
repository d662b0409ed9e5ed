/* The clip on the desk. */
#ifndef COMMAND_CLIP_H
#define COMMAND_CLIP_H

#include "command/desk.h"

/* Opens a clip at start_us (-1: where it was left). */
bool desk_clip(struct desk *d, const struct clip *c, int64_t start_us, bool play, struct err *e);
/* The clip to begin with: the one named, else the one left last, else the first not yet opened. */
const struct clip *desk_first_clip(struct desk *d, const char *named, struct err *e);
/* Stores where the playhead is, to go on from there another time. */
void clip_leave(struct desk *d);
/* Reads the marks of the clip again. */
bool marks_read(struct desk *d, struct err *e);

#endif
