#include "samples.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/sound.h"

void bench_must(bool ok, const struct err *e)
{
    if (ok)
        return;
    fprintf(stderr, "%s\n", e->text);
    exit(1);
}

static bool keep(void *user, const struct sound_chunk *chunk)
{
    struct samples *s = user;
    while (s->n + chunk->n > s->cap) {
        s->cap = s->cap ? s->cap * 2 : 1 << 20;
        s->at = xrealloc(s->at, s->cap * sizeof *s->at);
    }
    memcpy(s->at + s->n, chunk->samples, chunk->n * sizeof *s->at);
    s->n += chunk->n;
    return true;
}

struct samples samples_of(const char *clip)
{
    struct err e;
    struct samples s = {0};
    bench_must(sound_decode(clip, 0, keep, &s, &e), &e);
    return s;
}
