#include "hear/microphone.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "hear/sound_card.h"
#include "sys/pipe_in.h"

struct microphone {
    struct sound_card *card; /* NULL: a pipe */
    int pipe;
    uint8_t half; /* of a sample whose other byte has not come yet */
    bool any_half;
};

bool microphone_open(struct microphone **out, const char *name, struct err *e)
{
    struct microphone *m = xcalloc(1, sizeof *m);
    m->pipe = -1;
    const bool ok = strchr(name, '/') ? (m->pipe = pipe_in_open(name, e)) >= 0
                                      : sound_card_open(&m->card, name, e);
    if (ok)
        *out = m;
    else
        microphone_close(m);
    return ok;
}

void microphone_close(struct microphone *m)
{
    if (!m)
        return;
    if (m->card)
        sound_card_close(m->card);
    if (m->pipe >= 0)
        pipe_in_close(m->pipe);
    free(m);
}

static int read_pipe(struct microphone *m, int16_t *to, size_t most, int wait_ms, struct err *e)
{
    uint8_t bytes[8192];
    const size_t held = m->any_half, room = most * 2 < sizeof bytes ? most * 2 : sizeof bytes;
    bytes[0] = m->half;
    const ssize_t got = pipe_in_read(m->pipe, bytes + held, room - held, wait_ms, e);
    if (got <= 0)
        return (int)got;
    const size_t all = held + (size_t)got;
    for (size_t i = 0; i < all / 2; i++)
        to[i] = (int16_t)(uint16_t)(bytes[2 * i] | bytes[2 * i + 1] << 8);
    m->any_half = all % 2;
    m->half = bytes[all - 1];
    return (int)(all / 2);
}

int microphone_read(struct microphone *m, int16_t *to, size_t most, int wait_ms, struct err *e)
{
    return m->card ? sound_card_read(m->card, to, most, wait_ms, e)
                   : read_pipe(m, to, most, wait_ms, e);
}
