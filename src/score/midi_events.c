#include "score/midi_events.h"

#include <stdlib.h>
#include <string.h>

#include "score/draft.h"

struct reading {
    struct arena *a;
    const struct table_text *file;
    const uint8_t *p;
    size_t at, end; /* of the chunk that is being read */
    int track, n_tracks;
    int64_t tick;
    uint8_t running;
    struct midi_events *out;
    struct err *e;
};

/* --- bytes ----------------------------------------------------------------------------------- */

#define MIDI_BAD(r, ...)                                                                           \
    (err_set((r)->e, ERR_INPUT, __VA_ARGS__),                                                      \
     err_in((r)->e, "%s: byte %zu", (r)->file->source, (r)->at + 1))

static bool left(struct reading *r, size_t n)
{
    if (r->end - r->at >= n)
        return true;
    if (!r->track)
        return MIDI_BAD(r, "the file ends within its header; copy or save it again");
    return r->end == r->file->n
               ? MIDI_BAD(r, "the file ends before its track %d does; copy or save it again",
                          r->track)
               : MIDI_BAD(r, "track %d ends within an event; save the file again", r->track);
}

static uint32_t big_endian(const uint8_t *p, int n)
{
    uint32_t x = 0;
    while (n-- > 0)
        x = x << 8 | *p++;
    return x;
}

/* Seven bits a byte, the last one without its high bit; at most four bytes. */
static bool variable(struct reading *r, uint32_t *out)
{
    *out = 0;
    for (int i = 0; i < 4; i++) {
        if (!left(r, 1))
            return false;
        const uint8_t byte = r->p[r->at++];
        *out = *out << 7 | (byte & 0x7f);
        if (byte < 0x80)
            return true;
    }
    return MIDI_BAD(r, "a number has more than four bytes; the file is damaged");
}

/* --- events ---------------------------------------------------------------------------------- */

static bool keep(struct reading *r, struct midi_event event)
{
    struct midi_events *out = r->out;
    if (out->n >= SCORE_TEMPOS)
        return MIDI_BAD(r, "more than %d tempos, meters and markers; no show has so many",
                        SCORE_TEMPOS);
    event.tick = r->tick;
    event.order = out->n;
    out->at = array_grow(out->at, out->n, &out->cap, sizeof event);
    out->at[out->n++] = event;
    return true;
}

static bool keep_tempo(struct reading *r, const uint8_t *p, size_t n)
{
    const uint32_t us = n < 3 ? 0 : big_endian(p, 3);
    if (!us)
        return MIDI_BAD(r, "a tempo without a length of its quarter; the file is damaged");
    return keep(r, (struct midi_event){.kind = MIDI_TEMPO, .us = us});
}

static bool keep_meter(struct reading *r, const uint8_t *p, size_t n)
{
    enum { SMALLEST = 6 /* 64ths, as a power of two */ };
    if (n < 2 || !p[0] || p[1] > SMALLEST)
        return MIDI_BAD(r, "a meter that is none (%d over 2 to the power of %d); set it again",
                        n > 0 ? p[0] : 0, n > 1 ? p[1] : 0);
    return keep(r, (struct midi_event){.kind = MIDI_METER, .meter = {p[0], 1 << p[1]}});
}

static bool keep_text(struct reading *r, uint8_t type, const uint8_t *p, size_t n)
{
    const char *text = draft_text(r->a, (const char *)p, n);
    if (type == 3) {
        if (r->track == 1 && !*r->out->title)
            r->out->title = text;
        return true;
    }
    return keep(r, (struct midi_event){.kind = type == 6 ? MIDI_MARKER : MIDI_CUE, .text = text});
}

static bool meta(struct reading *r, bool *ended)
{
    uint32_t n;
    if (!left(r, 1))
        return false;
    const uint8_t type = r->p[r->at++];
    if (!variable(r, &n) || !left(r, n))
        return false;
    const uint8_t *p = r->p + r->at;
    bool ok = true;
    if (type == 0x51)
        ok = keep_tempo(r, p, n);
    else if (type == 0x58)
        ok = keep_meter(r, p, n);
    else if (type == 3 || type == 6 || type == 7)
        ok = keep_text(r, type, p, n);
    *ended = type == 0x2f;
    r->at += ok ? n : 0;
    return ok;
}

static bool system_exclusive(struct reading *r)
{
    uint32_t n;
    if (!variable(r, &n) || !left(r, n))
        return false;
    r->at += n;
    return true;
}

/* A voice's message: its status may be that of the one before. A meta event between two of them
 * ends a run of messages by the letter; programs that go on with it are read. */
static bool voice(struct reading *r)
{
    if (r->p[r->at] >= 0x80)
        r->running = r->p[r->at++];
    if (!r->running)
        return MIDI_BAD(r, "a message without a status; the file is damaged");
    const size_t n = (r->running & 0xe0) == 0xc0 ? 1 : 2; /* program and pressure have one */
    if (!left(r, n))
        return false;
    for (size_t i = 0; i < n; i++, r->at++)
        if (r->p[r->at] >= 0x80)
            return MIDI_BAD(r, "a message's value beyond 127; the file is damaged");
    return true;
}

static bool event(struct reading *r, bool *ended)
{
    uint32_t delta;
    if (!variable(r, &delta) || !left(r, 1))
        return false;
    r->tick += delta;
    const uint8_t status = r->p[r->at];
    if (status < 0xf0)
        return voice(r);
    if (status != 0xff && status != 0xf0 && status != 0xf7)
        return MIDI_BAD(r, "a message (%02x) that no file may hold; the file is damaged", status);
    r->at++;
    return status == 0xff ? meta(r, ended) : system_exclusive(r);
}

/* --- chunks ---------------------------------------------------------------------------------- */

static bool track(struct reading *r)
{
    bool ended = false;
    r->tick = 0;
    r->running = 0;
    while (!ended && r->at < r->end)
        if (!event(r, &ended))
            return false;
    if (r->tick > r->out->end)
        r->out->end = r->tick;
    return true;
}

/* The chunk at r->at: its name's place, with r->at and r->end set to its bytes. */
static const char *chunk(struct reading *r)
{
    const char *name = (const char *)r->p + r->at;
    r->end = r->file->n;
    if (!left(r, 8))
        return NULL;
    const uint32_t n = big_endian(r->p + r->at + 4, 4);
    r->at += 8;
    if (!left(r, n))
        return NULL;
    r->end = r->at + n;
    return name;
}

static bool division(struct reading *r, uint32_t x)
{
    const int fps = 256 - (int)(x >> 8), in_frame = x & 0xff;
    if (x < 0x8000) {
        r->out->ppq = (int)x;
        return x > 0 || MIDI_BAD(r, "a quarter of no ticks; the file is damaged");
    }
    if ((fps != 24 && fps != 25 && fps != 29 && fps != 30) || !in_frame)
        return MIDI_BAD(r,
                        "%d frames of %d ticks are no time code; save the file with ticks a "
                        "quarter",
                        fps, in_frame);
    /* 29 says 29.97, drop-frame: SMPTE ST 12-1's 30000/1001 */
    r->out->ticks_a_second = (fps == 29 ? 30000.0 / 1001 : fps) * in_frame;
    return true;
}

static bool header(struct reading *r)
{
    if (!chunk(r))
        return false;
    if (!left(r, 6))
        return false;
    const uint32_t format = big_endian(r->p + r->at, 2);
    r->n_tracks = (int)big_endian(r->p + r->at + 2, 2);
    if (format == 2)
        return MIDI_BAD(r, "a file of format 2 holds patterns without a time in common; save it as "
                           "format 0 or 1");
    if (format > 2)
        return MIDI_BAD(r, "format %u is not known; save it as format 0 or 1", format);
    if (!r->n_tracks)
        return MIDI_BAD(r, "no tracks; save the file again");
    r->at += 4;
    if (!division(r, big_endian(r->p + r->at, 2)))
        return false;
    r->at = r->end;
    return true;
}

static int by_tick(const void *a, const void *b)
{
    const struct midi_event *x = a, *y = b;
    if (x->tick != y->tick)
        return x->tick < y->tick ? -1 : 1;
    return x->order < y->order ? -1 : 1;
}

bool midi_events_read(struct arena *a, const struct table_text *file, struct midi_events *out,
                      struct err *e)
{
    struct reading r = {
        .a = a, .file = file, .p = (const uint8_t *)file->bytes, .out = out, .e = e};
    *out = (struct midi_events){.title = ""};
    if (!header(&r))
        return false;
    for (r.track = 1; r.track <= r.n_tracks;) {
        const char *name = chunk(&r);
        if (!name)
            return false;
        if (memcmp(name, "MTrk", 4) == 0) {
            if (!track(&r))
                return false;
            r.track++;
        }
        r.at = r.end;
    }
    if (out->n)
        qsort(out->at, out->n, sizeof *out->at, by_tick);
    return true;
}
