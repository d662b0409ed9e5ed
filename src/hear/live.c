#include "hear/live.h"

#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "hear/microphone.h"
#include "hear/stretches.h"
#include "sys/clock.h"

enum {
    READ_MS = 20,
    STUCK_MS = 5000, /* a microphone that hands out nothing for so long */
    /* samples */
    PIECE = SPEECH_RATE / 10,
    BEFORE = SPEECH_RATE / 4,     /* kept of what came before the key */
    MOST = 12 * SPEECH_RATE,      /* a call is two or three seconds long */
    NOBODY = 6 * SPEECH_RATE,     /* spoke until then: it was a key by mistake */
    AROUND = SPEECH_RATE / 4,     /* silence that a stretch has of its own */
    SILENT = SPEECH_RATE * 9 / 4, /* beyond that: the call is over; a second press comes sooner */
    NEARLY = SPEECH_RATE / 20,
};

enum order { REST, LISTEN, ENOUGH };

struct talk {
    size_t from, to; /* samples; to 0: nobody spoke */
};

struct live {
    pthread_t thread;
    bool begun;
    char *source;
    struct live_want want;
    pthread_mutex_t lock; /* of what follows */
    enum live_phase phase;
    enum order order;
    unsigned asked;   /* how often to listen */
    int64_t asked_us; /* when last; monotonic */
    bool hold_open, quit;
    double level;
    struct err gone;
    struct arena said_memory;
    struct speech_said said;
    /* the thread's own */
    unsigned doing; /* which time of those it was asked for */
    struct microphone *microphone;
    struct speech *ear;
    int16_t *at;
    size_t n, looked;    /* samples so far, and how many there were when a pause was looked for */
    struct talk guessed; /* what was understood of it so far, and was heard there: */
    struct speech_said guess;
    struct arena guess_memory;
    int stuck_ms;
};

/* --- what both sides read and write -------------------------------------------------------------- */

static void lock(struct live *l)
{
    pthread_mutex_lock(&l->lock);
}

static void unlock(struct live *l)
{
    pthread_mutex_unlock(&l->lock);
}

enum live_phase live_phase(struct live *l)
{
    lock(l);
    const enum live_phase p = l->phase;
    unlock(l);
    return p;
}

double live_level(struct live *l)
{
    lock(l);
    const double level = l->level;
    unlock(l);
    return level;
}

const char *live_gone(struct live *l)
{
    return live_phase(l) == LIVE_GONE ? l->gone.text : "";
}

static void order(struct live *l, enum order o)
{
    lock(l);
    l->order = o;
    if (o == LISTEN) {
        l->asked++;
        l->asked_us = clock_mono_us();
        l->hold_open = false;
    }
    if (o != ENOUGH && l->phase > LIVE_READY && l->phase < LIVE_GONE)
        l->phase = LIVE_READY;
    unlock(l);
}

void live_listen(struct live *l)
{
    order(l, LISTEN);
}

void live_enough(struct live *l)
{
    order(l, ENOUGH);
}

void live_drop(struct live *l)
{
    order(l, REST);
}

void live_hold_open(struct live *l)
{
    lock(l);
    l->hold_open = true;
    unlock(l);
}

static struct speech_said copied(struct arena *a, const struct speech_said *s)
{
    struct speech_said out = *s;
    struct speech_heard *words = arena_alloc(a, (s->n + 1) * sizeof *words);
    for (size_t i = 0; i < s->n; i++) {
        words[i] = s->words[i];
        words[i].is = arena_strdup(a, s->words[i].is);
    }
    out.words = words;
    return out;
}

void live_take(struct live *l, struct arena *a, struct speech_said *out)
{
    lock(l);
    *out = l->phase == LIVE_HEARD ? copied(a, &l->said) : (struct speech_said){0};
    if (l->phase == LIVE_HEARD)
        l->phase = LIVE_READY;
    unlock(l);
}

/* --- in the thread ----------------------------------------------------------------------------------- */

static void phase(struct live *l, enum live_phase p)
{
    lock(l);
    l->phase = p;
    unlock(l);
}

static bool gone(struct live *l, const struct err *why)
{
    lock(l);
    l->phase = LIVE_GONE;
    l->gone = *why;
    unlock(l);
    return false;
}

static double level_of(const int16_t *at, size_t n)
{
    double sum = 1;
    for (size_t i = 0; i < n; i++)
        sum += (double)at[i] * at[i];
    const double db = 10 * log10(sum / (double)(n + 1) / (32768.0 * 32768.0));
    return fmin(1, fmax(0, 1 + db / 60));
}

/* False when it is gone. */
static bool read_more(struct live *l, int wait_ms, size_t *got)
{
    struct err e;
    if (l->n == MOST) /* nobody listens: what is old goes */
        l->n = 0;
    const size_t room = MOST - l->n < PIECE ? MOST - l->n : PIECE;
    const int n = microphone_read(l->microphone, l->at + l->n, room, wait_ms, &e);
    *got = n > 0 ? (size_t)n : 0;
    if (n < 0)
        return gone(l, &e);
    lock(l);
    if (n > 0)
        l->level = level_of(l->at + l->n, *got);
    unlock(l);
    l->n += *got;
    l->stuck_ms = n > 0 ? 0 : l->stuck_ms + wait_ms;
    return true;
}

static bool drain(struct live *l)
{
    size_t got = 1;
    while (got && l->n < MOST)
        if (!read_more(l, 0, &got))
            return false;
    return true;
}

static void keep_last(struct live *l, size_t n)
{
    if (l->n <= n)
        return;
    memmove(l->at, l->at + l->n - n, n * sizeof *l->at);
    l->n = n;
}

/* Where somebody has spoken since the key, and the silence around it left out. */
static struct talk talk_of(const struct live *l)
{
    struct arena a = {0};
    const struct stretch_list s = stretches_of(&a, &(struct speech_samples){l->at, l->n});
    struct talk t = {0};
    if (s.n && s.at[s.n - 1].to > BEFORE + AROUND)
        t = (struct talk){s.at[0].from, s.at[s.n - 1].to};
    arena_free(&a);
    return t;
}

static bool same(const struct talk *x, const struct talk *y)
{
    const size_t from = x->from > y->from ? x->from - y->from : y->from - x->from;
    const size_t to = x->to > y->to ? x->to - y->to : y->to - x->to;
    return x->to > 0 && from < NEARLY && to < NEARLY;
}

static void understand(struct live *l, const struct talk *t)
{
    struct arena a = {0};
    struct speech_said said = {0};
    if (t->to > t->from)
        speech_hear(l->ear, &a, &(struct speech_samples){l->at + t->from, t->to - t->from}, &said);
    arena_free(&l->guess_memory);
    l->guess = copied(&l->guess_memory, &said);
    l->guessed = *t;
    arena_free(&a);
}

static bool think(struct live *l)
{
    lock(l);
    if (l->asked == l->doing && l->order != REST)
        l->phase = LIVE_THINKING;
    unlock(l);
    const struct talk t = talk_of(l);
    if (!same(&t, &l->guessed))
        understand(l, &t);
    l->n = 0;
    if (!drain(l))
        return false;
    lock(l);
    arena_free(&l->said_memory);
    l->said = copied(&l->said_memory, &l->guess);
    /* unless it was dropped, or the next was asked for, meanwhile */
    const bool wanted = l->order != REST && l->asked == l->doing;
    l->phase = wanted ? LIVE_HEARD : LIVE_READY;
    if (wanted)
        l->order = REST;
    unlock(l);
    return true;
}

/* At a pause what was said so far is understood already, since it may be all: then nobody waits. */
static bool look(struct live *l, bool hold_open)
{
    const struct talk t = talk_of(l);
    l->looked = l->n;
    if (t.to > 0 && t.to + NEARLY < l->n && !same(&t, &l->guessed))
        understand(l, &t);
    if (hold_open)
        return true;
    const bool ended = t.to > 0 ? t.to + SILENT < l->n : l->n > NOBODY;
    return !ended || think(l);
}

struct now {
    enum order order;
    unsigned asked;
    int64_t asked_us;
    bool hold_open, quit;
};

static struct now now(struct live *l)
{
    lock(l);
    const struct now n = {l->order, l->asked, l->asked_us, l->hold_open, l->quit};
    unlock(l);
    return n;
}

/* What came while the last call was being understood is old, but for what came since this one was asked for. */
static bool begin(struct live *l, const struct now *n)
{
    l->doing = n->asked;
    if (!drain(l))
        return false;
    const int64_t since_us = clock_mono_us() - n->asked_us;
    keep_last(l, BEFORE + (size_t)(since_us * SPEECH_RATE / 1000000));
    l->looked = l->n;
    l->stuck_ms = 0;
    l->guessed = (struct talk){0};
    phase(l, LIVE_LISTENING);
    return true;
}

/* A turn while nobody listens; false when the microphone is gone. */
static bool rest(struct live *l)
{
    size_t got;
    if (!read_more(l, READ_MS, &got))
        return false;
    keep_last(l, BEFORE);
    return true;
}

static bool listen(struct live *l, const struct now *n)
{
    size_t got;
    if (n->order == ENOUGH)
        return drain(l) && think(l);
    if (!read_more(l, READ_MS, &got))
        return false;
    if (l->stuck_ms >= STUCK_MS) {
        struct err e;
        err_set(&e, ERR_FAILED, "no sound comes from it");
        return gone(l, &e);
    }
    if (l->n >= MOST)
        return think(l);
    return l->n - l->looked < PIECE || look(l, n->hold_open);
}

static void *run(void *user)
{
    struct live *l = user;
    struct err e;
    bool ok =
        microphone_open(&l->microphone, l->source, &e) && l->want.ear(l->want.user, &l->ear, &e);
    if (ok)
        phase(l, LIVE_READY);
    else
        gone(l, &e);
    for (bool listening = false; ok;) {
        const struct now n = now(l);
        if (n.quit)
            break;
        if (n.order == REST && listening) {
            listening = false;
            phase(l, LIVE_READY);
        }
        if (n.order != REST && n.asked != l->doing) {
            ok = begin(l, &n);
            listening = true;
        }
        ok = ok && (listening ? listen(l, &n) : rest(l));
        listening = listening && live_phase(l) == LIVE_LISTENING;
    }
    microphone_close(l->microphone);
    return NULL;
}

/* --- its life ---------------------------------------------------------------------------------------- */

bool live_begin(struct live **out, const struct live_want *want, struct err *e)
{
    struct live *l = xcalloc(1, sizeof *l);
    l->source = xstrdup(want->source);
    l->want = *want;
    l->at = xcalloc(MOST, sizeof *l->at);
    pthread_mutex_init(&l->lock, NULL);
    l->begun = pthread_create(&l->thread, NULL, run, l) == 0;
    if (l->begun) {
        *out = l;
        return true;
    }
    live_free(l);
    return err_set(e, ERR_FAILED, "nobody can listen now: no thread can be begun");
}

void live_free(struct live *l)
{
    if (!l)
        return;
    lock(l);
    l->quit = true;
    unlock(l);
    if (l->begun)
        pthread_join(l->thread, NULL);
    pthread_mutex_destroy(&l->lock);
    arena_free(&l->said_memory);
    arena_free(&l->guess_memory);
    free(l->source);
    free(l->at);
    free(l);
}
