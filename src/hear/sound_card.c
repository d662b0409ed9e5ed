#include "hear/sound_card.h"

#include <errno.h>
#include <stdlib.h>

#include <alsa/asoundlib.h>

#include "base/arena.h"
#include "hear/speech.h"

#include "hear/alsa_borrowed.h"

struct alsa alsa;
static bool loaded;

struct sound_card {
    snd_pcm_t *pcm;
};

/* ALSA would tell stderr, which the review draws on. */
static void silent(const char *file, int line, const char *function, int error, const char *fmt,
                   ...)
{
    (void)file, (void)line, (void)function, (void)error, (void)fmt;
}

static bool load(struct err *e)
{
    static const struct borrowed rows[] = {ALSA_ROWS};
    if (!borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &alsa, &loaded}, e))
        return false;
    snd_lib_error_set_handler(silent);
    return true;
}

bool sound_card_open(struct sound_card **out, const char *name, struct err *e)
{
    enum { BUFFER_US = 2000000 }; /* while a call is understood nobody reads */
    if (!load(e))
        return false;
    struct sound_card *c = xcalloc(1, sizeof *c);
    int failed = snd_pcm_open(&c->pcm, name, SND_PCM_STREAM_CAPTURE, SND_PCM_NONBLOCK);
    if (!failed)
        failed = snd_pcm_set_params(c->pcm, SND_PCM_FORMAT_S16, SND_PCM_ACCESS_RW_INTERLEAVED, 1,
                                    SPEECH_RATE, 1, BUFFER_US);
    if (!failed)
        failed = snd_pcm_start(c->pcm);
    if (failed >= 0) {
        *out = c;
        return true;
    }
    if (failed == -ENOENT || failed == -ENODEV || failed == -ENXIO)
        err_set(e, ERR_INPUT, "there is none called %s here; arecord -L lists their names", name);
    else
        err_set(e, ERR_FAILED, "%s: %s", name, snd_strerror(failed));
    sound_card_close(c);
    return false;
}

void sound_card_close(struct sound_card *c)
{
    if (c->pcm)
        snd_pcm_close(c->pcm);
    free(c);
}

/* What came too fast to be read is gone, and it goes on. */
static int go_on(struct sound_card *c, int failed, struct err *e)
{
    failed = snd_pcm_recover(c->pcm, failed, 1);
    if (failed >= 0 && snd_pcm_state(c->pcm) == SND_PCM_STATE_PREPARED)
        failed = snd_pcm_start(c->pcm);
    if (failed >= 0)
        return 0;
    err_set(e, ERR_FAILED, "%s", snd_strerror(failed));
    return -1;
}

/* It is read before it is waited for, and after that whatever the waiting says: ALSA wakes nobody until half
 * of its buffer is full. */
int sound_card_read(struct sound_card *c, int16_t *to, size_t most, int wait_ms, struct err *e)
{
    snd_pcm_sframes_t n = snd_pcm_readi(c->pcm, to, most);
    if (n == -EAGAIN && wait_ms > 0) {
        snd_pcm_wait(c->pcm, wait_ms);
        n = snd_pcm_readi(c->pcm, to, most);
    }
    if (n == -EAGAIN)
        return 0;
    return n < 0 ? go_on(c, (int)n, e) : (int)n;
}
