#include "clip/still.h"

#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "base/arena.h"
#include "clip/frames.h"

enum { EARLIER_US = 1000 }; /* a stored moment may be rounded to its millisecond */

struct wish {
    char *path;
    int64_t at_us;
    int width, height;
};

struct still {
    pthread_t thread;
    pthread_mutex_t lock; /* of all below */
    pthread_cond_t asked;
    struct wish wish;     /* path NULL: none */
    atomic_bool given_up; /* what is being decoded is not wanted any more */
    bool working, answered, closing;
    uint8_t *answer, *taken;
    struct wish of; /* the answer's; its path is not kept */
    int fd;
};

/* Puts a picture into the middle of a black one. */
static uint8_t *framed(const struct frame *f, const struct wish *w)
{
    uint8_t *out = xcalloc((size_t)w->width * (size_t)w->height, 4);
    const int left = (w->width - f->width) / 2, top = (w->height - f->height) / 2;
    for (int y = 0; y < f->height; y++) {
        const uint8_t *from = f->px + (size_t)y * (size_t)f->width * 3;
        uint8_t *to = out + ((size_t)(y + top) * (size_t)w->width + (size_t)left) * 4;
        for (int x = 0; x < f->width; x++)
            memcpy(to + (size_t)x * 4, from + (size_t)x * 3, 3);
    }
    return out;
}

/* By its width, or by its height where it would be too high. NULL without a picture. */
static uint8_t *decode(const struct wish *w, const atomic_bool *given_up)
{
    for (int by_height = 0; by_height < 2; by_height++) {
        struct frames_want want = {.path = w->path,
                                   .kind = FRAMES_RGB,
                                   .from_us = w->at_us > EARLIER_US ? w->at_us - EARLIER_US : 0,
                                   .cancel = given_up};
        *(by_height ? &want.height : &want.width) = by_height ? w->height : w->width;
        struct frames *frames;
        struct frame f;
        struct err ignored;
        if (!frames_open(&frames, &want, &ignored))
            return NULL;
        const bool got = frames_next(frames, &f, &ignored);
        uint8_t *out = got && f.width <= w->width && f.height <= w->height ? framed(&f, w) : NULL;
        frames_close(frames);
        if (out || !got)
            return out;
    }
    return NULL;
}

static void tell(struct still *s)
{
    const uint64_t one = 1;
    if (write(s->fd, &one, sizeof one) < 0)
        s->answered = false; /* cannot be: the counter is never full */
}

static void answer(struct still *s, const struct wish *w, uint8_t *picture)
{
    free(s->answer);
    s->answer = picture;
    s->of = *w;
    s->answered = true;
    tell(s);
}

static void *work(void *ctx)
{
    struct still *s = ctx;
    pthread_mutex_lock(&s->lock);
    while (!s->closing) {
        if (!s->wish.path) {
            pthread_cond_wait(&s->asked, &s->lock);
            continue;
        }
        struct wish w = s->wish;
        s->wish.path = NULL;
        s->working = true;
        atomic_store(&s->given_up, false);
        pthread_mutex_unlock(&s->lock);
        uint8_t *picture = decode(&w, &s->given_up);
        pthread_mutex_lock(&s->lock);
        s->working = false;
        free(w.path);
        if (s->wish.path || s->closing)
            free(picture); /* something else is wanted by now */
        else
            answer(s, &w, picture);
    }
    pthread_mutex_unlock(&s->lock);
    return NULL;
}

struct still *still_open(void)
{
    struct still *s = xcalloc(1, sizeof *s);
    s->fd = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    pthread_mutex_init(&s->lock, NULL);
    pthread_cond_init(&s->asked, NULL);
    if (s->fd >= 0 && pthread_create(&s->thread, NULL, work, s) == 0)
        return s;
    if (s->fd >= 0)
        close(s->fd);
    pthread_cond_destroy(&s->asked);
    pthread_mutex_destroy(&s->lock);
    free(s);
    return NULL;
}

void still_close(struct still *s)
{
    if (!s)
        return;
    pthread_mutex_lock(&s->lock);
    s->closing = true;
    atomic_store(&s->given_up, true);
    pthread_cond_signal(&s->asked);
    pthread_mutex_unlock(&s->lock);
    pthread_join(s->thread, NULL);
    pthread_cond_destroy(&s->asked);
    pthread_mutex_destroy(&s->lock);
    close(s->fd);
    free(s->wish.path);
    free(s->answer);
    free(s->taken);
    free(s);
}

void still_ask(struct still *s, const struct still_want *want)
{
    pthread_mutex_lock(&s->lock);
    free(s->wish.path);
    s->wish = (struct wish){xstrdup(want->path), want->at_us, want->width, want->height};
    s->answered = false;
    atomic_store(&s->given_up, true);
    pthread_cond_signal(&s->asked);
    pthread_mutex_unlock(&s->lock);
}

int still_fd(const struct still *s)
{
    return s->fd;
}

bool still_busy(struct still *s)
{
    pthread_mutex_lock(&s->lock);
    const bool busy = s->wish.path || s->working;
    pthread_mutex_unlock(&s->lock);
    return busy;
}

bool still_take(struct still *s, struct still_picture *out)
{
    uint64_t n;
    pthread_mutex_lock(&s->lock);
    const bool has = read(s->fd, &n, sizeof n) > 0 && s->answered; /* told of, and still wanted */
    if (has) {
        s->answered = false;
        free(s->taken);
        s->taken = s->answer;
        s->answer = NULL;
        *out = (struct still_picture){s->taken, s->of.width, s->of.height, s->of.at_us};
    }
    pthread_mutex_unlock(&s->lock);
    return has;
}
