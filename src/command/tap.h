/* Tapping along while the clip plays: a hold. Enter keeps the line through the taps as a tie, Esc
 * drops them. */
#ifndef COMMAND_TAP_H
#define COMMAND_TAP_H

#include "command/desk.h"
#include "command/hold.h"
#include "count/taps.h"

enum { TAPS_MOST = 512 };

struct taps {
    struct hold hold;
    int64_t at_us[TAPS_MOST]; /* clip time of each tap, the person's bias taken off */
    size_t n;
    int64_t sound_us; /* taps by ear: how long the sound took; 0: by eye */
    bool fitted;      /* `fit` speaks about the taps so far */
    struct arena memory;
    struct tap_fit fit;
};

/* NULL while nobody taps. */
const struct taps *taps_open(const struct desk *d);

#endif
