#ifndef COMMAND_TAP_BIAS_H
#define COMMAND_TAP_BIAS_H

#include "command/desk.h"

enum { TAP_TRIES = 16 };

/* Tapping along with a square that flashes steadily, to know how late or early a person taps. */
struct tap_trial {
    bool on;
    int n;
    int64_t taps_us[TAP_TRIES]; /* monotonic, like all of these */
    int64_t first_us;           /* of the first flash */
    bool lit;
};

const struct tap_trial *tap_trial(const struct desk *d);
/* The square flashes, or goes dark. */
void tap_trial_tick(struct desk *d, int64_t now_us);
/* Its screen was left: taps that come later are not meant for it. */
void tap_trial_left(struct desk *d);
/* What command_tap_lead() does, at that time. */
void tap_trial_tap(struct desk *d, int64_t now_us);

#endif
