#ifndef COMMAND_TAP_H
#define COMMAND_TAP_H

#include "count/taps.h"

enum { TAPS_MOST = 512 };

struct taps {
    int64_t at_us[TAPS_MOST]; /* clip time of each tap, the person's bias taken off */
    size_t n;
    bool fitted; /* `fit` speaks about the taps so far */
    struct arena memory;
    struct tap_fit fit;
};

#endif
