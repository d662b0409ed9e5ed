/* Sound as it comes, SPEECH_RATE samples a second of one channel. */
#ifndef HEAR_MICROPHONE_H
#define HEAR_MICROPHONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

/* A microphone by the name that ALSA has for it ("default" the usual one, "plughw:1" ...: arecord -L
 * lists them), or the path of a named pipe (something with a '/') into which another program writes
 * such samples, 16 bits each, the lower byte first. */
struct microphone;
bool microphone_open(struct microphone **out, const char *name, struct err *e);
void microphone_close(struct microphone *m); /* accepts NULL */

/* Up to `most` samples; waits so long for the first of them. 0: none came. -1 with e set: it is gone. */
int microphone_read(struct microphone *m, int16_t *to, size_t most, int wait_ms, struct err *e);

#endif
