/* In place of ALSA, where it was not there when boxcall was built. */
#include "hear/sound_card.h"

bool sound_card_open(struct sound_card **out, const char *name, struct err *e)
{
    (void)out;
    return err_set(
        e, ERR_FAILED,
        "%s: this boxcall was built without microphones; install libasound2-dev and build "
        "it again",
        name);
}

void sound_card_close(struct sound_card *c)
{
    (void)c;
}

int sound_card_read(struct sound_card *c, int16_t *to, size_t most, int wait_ms, struct err *e)
{
    (void)c, (void)to, (void)most, (void)wait_ms;
    err_set(e, ERR_FAILED, "no microphone");
    return -1;
}
