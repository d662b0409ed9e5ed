/* Where the clip is: the player's state as the desk sees it, and going somewhere. */
#ifndef COMMAND_PLAYING_H
#define COMMAND_PLAYING_H

#include "command/desk.h"

/* Is a clip ready to be moved in? Says so when it is not. */
bool playing_ready(struct desk *d);
/* Takes in what the player did; true when anything a screen shows has changed. */
bool playing_poll(struct desk *d);
/* Length of a frame, 0 while it is not known. */
int64_t playing_frame_us(const struct desk *d);
/* What a key that is pressed now may be off in clip time, lead taken off; 0 while it stands still. */
int64_t playing_hand_us(const struct desk *d);
/* Seeks, and lets the next keys go on from there. */
void go_to(struct desk *d, int64_t at_us);
/* The time of the frame that shows a place (a set and count) reached at us: the first at or after
 * it. The nearest may lie before it, and would show the count before. */
int64_t place_us(const struct desk *d, int64_t us);
void go_to_place(struct desk *d, int64_t us);
/* The time of the frame that was seen a reaction lead before now (the beginning while the clip is
 * still opening); says so and returns false when there is no clip. */
bool seen_at(struct desk *d, int64_t *out);

#endif
