#include "score/midi.h"

#include <math.h>
#include <stdlib.h>

#include "score/draft.h"
#include "score/midi_events.h"

/* "If no Set Tempo events are present, 120 beats per minute are assumed" (Standard MIDI Files 1.0). */
enum { DEFAULT_US = 500000 };

/* A change of meter so near to a barline (quarters) stands on it: some programs are a tick off. */
static const double at_barline = 0.05;

/* --- places ---------------------------------------------------------------------------------- */

/* Where ticks are a time, quarters follow from the tempos: so far at this tick with that tempo. */
struct clock {
    const struct midi_events *events;
    int64_t tick;
    double at;
    uint32_t us;
};

static double place(const struct clock *k, int64_t tick)
{
    if (k->events->ppq)
        return (double)tick / k->events->ppq;
    return k->at + (double)(tick - k->tick) / k->events->ticks_a_second * 1e6 / k->us;
}

static void turn(struct clock *k, const struct midi_event *tempo)
{
    k->at = place(k, tempo->tick);
    k->tick = tempo->tick;
    k->us = tempo->us;
}

/* --- measures -------------------------------------------------------------------------------- */

struct bars {
    struct draft *draft;
    struct meter meter;
    double at; /* of the measure that is next */
};

static bool add_bar(struct bars *b, double length, struct err *e)
{
    const char *number = arena_printf(b->draft->a, "%zu", b->draft->made.n_measures + 1);
    struct score_measure m = {b->at, length, b->meter, number};
    b->at += length;
    return draft_measure(b->draft, m, e);
}

/* Measures up to a place; what is left before it is a measure of its own, or stays for the end. */
static bool bars_to(struct bars *b, double to, bool cut, struct err *e)
{
    const double whole = meter_length(b->meter);
    while (to - b->at > whole - at_barline)
        if (!add_bar(b, whole, e))
            return false;
    if (to - b->at <= at_barline)
        return true;
    return add_bar(b, cut ? to - b->at : whole, e);
}

/* --- the score ------------------------------------------------------------------------------- */

/* Cue points are instructions for a picture; they mark the drill only where nothing else does. */
static enum midi_kind marker_kind(const struct midi_events *events)
{
    for (size_t i = 0; i < events->n; i++)
        if (events->at[i].kind == MIDI_MARKER)
            return MIDI_MARKER;
    return MIDI_CUE;
}

static bool take(struct draft *d, const struct midi_events *events, struct err *e)
{
    struct clock clock = {.events = events, .us = DEFAULT_US};
    struct bars bars = {.draft = d, .meter = {4, 4}};
    const enum midi_kind marker = marker_kind(events);
    bool ok = draft_tempo(d, 0, 60e6 / DEFAULT_US, e), said = false;
    for (size_t i = 0; ok && i < events->n; i++) {
        const struct midi_event *m = &events->at[i];
        const double at = place(&clock, m->tick);
        if (m->kind == MIDI_TEMPO) {
            if (!said)
                d->made.tempo_assumed = at;
            said = true;
            ok = draft_tempo(d, at, 60e6 / m->us, e);
            turn(&clock, m);
        } else if (m->kind == MIDI_METER) {
            ok = bars_to(&bars, at, true, e);
            bars.meter = m->meter;
        } else if (m->kind == marker) {
            ok = draft_marker(d, at, m->text, e);
        }
    }
    ok = ok && bars_to(&bars, place(&clock, events->end), false, e);
    if (!said)
        d->made.tempo_assumed = bars.at;
    return ok;
}

bool midi_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e)
{
    struct midi_events events;
    struct draft d = {.a = a};
    bool ok = midi_events_read(a, file, &events, e);
    if (ok) {
        d.made.title = events.title;
        ok = take(&d, &events, e) || err_in(e, "%s", file->source);
    }
    if (ok && !d.made.n_measures)
        ok = err_set(e, ERR_INPUT, "%s: no music: its tracks end where they begin", file->source);
    if (ok)
        draft_done(&d, out);
    draft_free(&d);
    free(events.at);
    return ok;
}
