#include "hear/spoken.h"

#include <math.h>
#include <stdlib.h>

#include "clip/sound.h"
#include "hear/stretches.h"

/* A stretch of more than this is no call, whatever is in it, and would take long to search. */
static const size_t most_samples = (size_t)20 * SPEECH_RATE;
static const int64_t most_us = INT64_C(2) * 3600 * 1000000;

struct recording {
    int16_t *at;
    size_t n, cap;
    int64_t from_us;
    bool begun;
    const struct spoken_want *want;
};

static bool take(void *user, const struct sound_chunk *chunk)
{
    struct recording *r = user;
    if (!r->begun)
        r->from_us = chunk->at_us;
    r->begun = true;
    for (size_t i = 0; i < chunk->n; i++) {
        r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
        const float x = chunk->samples[i] == chunk->samples[i] ? chunk->samples[i] : 0;
        r->at[r->n++] = (int16_t)lround(32767 * (double)fmaxf(-1, fminf(1, x)));
    }
    return !r->want->progress || r->want->progress(r->want->user, chunk->part / 4);
}

static void add(struct spoken *to, struct arena *a, const struct speech_said *said, int64_t from_us)
{
    struct speech_heard *words = arena_alloc(a, said->n * sizeof *words);
    for (size_t i = 0; i < said->n; i++)
        words[i] = (struct speech_heard){said->words[i].is, said->words[i].from_us + from_us,
                                         said->words[i].to_us + from_us};
    *to = (struct spoken){.from_us = words[0].from_us,
                          .to_us = words[said->n - 1].to_us,
                          .words = words,
                          .n_words = said->n,
                          .confidence = said->confidence};
}

/* False when progress cancelled it. */
static bool listen(struct speech *v, const struct recording *r, struct arena *a,
                   struct spoken_list *out)
{
    const struct stretch_list l = stretches_of(a, &(struct speech_samples){r->at, r->n});
    struct spoken *at = arena_alloc(a, (l.n + 1) * sizeof *at);
    *out = (struct spoken_list){.at = at, .stretches = l.n};
    for (size_t i = 0; i < l.n; i++) {
        const size_t from = l.at[i].from, n = l.at[i].to - from;
        struct speech_said said = {0};
        if (n <= most_samples)
            speech_hear(v, a, &(struct speech_samples){r->at + from, n}, &said);
        if (said.n)
            add(&at[out->n++], a, &said, r->from_us + (int64_t)from * 1000000 / SPEECH_RATE);
        if (r->want->progress &&
            !r->want->progress(r->want->user, 0.25 + 0.75 * (double)(i + 1) / (double)l.n))
            return false;
    }
    return true;
}

bool spoken_hear(struct speech *v, const struct spoken_want *want, struct arena *a,
                 struct spoken_list *out, struct err *e)
{
    struct recording r = {.want = want};
    const struct sound_want sound = {want->path, most_us, SPEECH_RATE, "record it again"};
    const bool ok = sound_decode_as(&sound, take, &r, e) && listen(v, &r, a, out);
    free(r.at);
    return ok;
}
