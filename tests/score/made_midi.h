/* Standard MIDI Files written byte by byte, for the tests. */
#ifndef SCORE_MADE_MIDI_H
#define SCORE_MADE_MIDI_H

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/buf.h"
#include "show/table.h"

enum { SMF_EVENTS = 4000, SMF_BYTES = 40 };

struct smf_event {
    long tick;
    int track, order;
    size_t n;
    uint8_t bytes[SMF_BYTES];
};

/* Events in any order; smf_bytes() sorts them into tracks. Zero-initialise, set division. */
struct smf {
    int format, tracks; /* 0 tracks: one */
    unsigned division;
    bool running; /* leave out a status that is the one before */
    bool unknown; /* a chunk that no standard knows before the tracks */
    long end;     /* tick of the ends of all tracks */
    struct smf_event *at;
    size_t n;
};

static inline struct smf_event *smf_add(struct smf *s, int track, long tick)
{
    if (!s->at)
        s->at = xcalloc(SMF_EVENTS, sizeof *s->at);
    if (s->n == SMF_EVENTS)
        abort();
    struct smf_event *x = &s->at[s->n];
    *x = (struct smf_event){.tick = tick, .track = track, .order = (int)s->n++};
    return x;
}

static inline void smf_meta(struct smf *s, int track, long tick, int type, const void *data,
                            size_t n)
{
    struct smf_event *x = smf_add(s, track, tick);
    if (n + 3 > SMF_BYTES)
        abort();
    x->bytes[0] = 0xff;
    x->bytes[1] = (uint8_t)type;
    x->bytes[2] = (uint8_t)n;
    memcpy(x->bytes + 3, data, n);
    x->n = n + 3;
}

static inline void smf_tempo(struct smf *s, long tick, unsigned us)
{
    const uint8_t p[] = {(uint8_t)(us >> 16), (uint8_t)(us >> 8), (uint8_t)us};
    smf_meta(s, 0, tick, 0x51, p, 3);
}

static inline void smf_meter(struct smf *s, long tick, int beats, int power)
{
    const uint8_t p[] = {(uint8_t)beats, (uint8_t)power, 24, 8};
    smf_meta(s, 0, tick, 0x58, p, 4);
}

static inline void smf_text(struct smf *s, int type, long tick, const char *text)
{
    smf_meta(s, 0, tick, type, text, strlen(text));
}

static inline void smf_voice(struct smf *s, int track, long tick, int status, int a, int b)
{
    struct smf_event *x = smf_add(s, track, tick);
    x->bytes[0] = (uint8_t)status;
    x->bytes[1] = (uint8_t)a;
    x->bytes[2] = (uint8_t)b;
    x->n = (status & 0xe0) == 0xc0 ? 2 : 3;
}

static inline void smf_number(struct buf *out, uint32_t x, int bytes)
{
    while (bytes-- > 0)
        buf_char(out, (char)(x >> (8 * bytes)));
}

static inline void smf_variable(struct buf *out, uint32_t x)
{
    for (int shift = 21; shift > 0; shift -= 7)
        if (x >> shift)
            buf_char(out, (char)(0x80 | (x >> shift & 0x7f)));
    buf_char(out, (char)(x & 0x7f));
}

static inline int smf_by_tick(const void *a, const void *b)
{
    const struct smf_event *x = a, *y = b;
    if (x->tick != y->tick)
        return x->tick < y->tick ? -1 : 1;
    return x->order - y->order;
}

static inline void smf_put_track(const struct smf *s, int track, struct buf *out)
{
    struct buf t = {0};
    long at = 0;
    int status = 0;
    for (size_t i = 0; i < s->n; i++) {
        const struct smf_event *x = &s->at[i];
        if (x->track != track)
            continue;
        smf_variable(&t, (uint32_t)(x->tick - at));
        at = x->tick;
        const size_t skip = s->running && x->bytes[0] < 0xf0 && x->bytes[0] == status;
        status = x->bytes[0] < 0xf0 ? x->bytes[0] : 0; /* a meta event ends the run */
        buf_add(&t, x->bytes + skip, x->n - skip);
    }
    smf_variable(&t, (uint32_t)(s->end > at ? s->end - at : 0));
    buf_add(&t, "\xff\x2f\0", 3);
    buf_str(out, "MTrk");
    smf_number(out, (uint32_t)t.n, 4);
    buf_add(out, t.p, t.n);
    buf_free(&t);
}

/* The whole file; frees the events. */
static inline struct buf smf_bytes(struct smf *s)
{
    struct buf out = {0};
    const int tracks = s->tracks ? s->tracks : 1;
    if (s->n)
        qsort(s->at, s->n, sizeof *s->at, smf_by_tick);
    buf_str(&out, "MThd");
    smf_number(&out, 6, 4);
    smf_number(&out, (uint32_t)s->format, 2);
    smf_number(&out, (uint32_t)tracks, 2);
    smf_number(&out, s->division, 2);
    if (s->unknown)
        buf_add(&out, "XYZZ\0\0\0\3abc", 11);
    for (int i = 0; i < tracks; i++)
        smf_put_track(s, i, &out);
    free(s->at);
    s->at = NULL;
    s->n = 0;
    return out;
}

static inline struct table_text smf_text_of(const struct buf *b)
{
    return (struct table_text){buf_text(b), b->n, "song.mid", NULL};
}

#endif
