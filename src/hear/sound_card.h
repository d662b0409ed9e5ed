/* A microphone of the system's. Inner to the room; sound_card_none.c stands for it where ALSA is not. */
#ifndef HEAR_SOUND_CARD_H
#define HEAR_SOUND_CARD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

struct sound_card;
bool sound_card_open(struct sound_card **out, const char *name, struct err *e);
void sound_card_close(struct sound_card *c);
/* As microphone_read(). */
int sound_card_read(struct sound_card *c, int16_t *to, size_t most, int wait_ms, struct err *e);

#endif
