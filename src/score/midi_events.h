/* The events of a Standard MIDI File that a drill needs, from its bytes. Inner to the room. */
#ifndef SCORE_MIDI_EVENTS_H
#define SCORE_MIDI_EVENTS_H

#include <stdint.h>

#include "score/score.h"

enum midi_kind { MIDI_TEMPO, MIDI_METER, MIDI_MARKER, MIDI_CUE };

struct midi_event {
    int64_t tick;
    size_t order; /* in the file: of two at one tick the later one holds */
    enum midi_kind kind;
    union {
        uint32_t us; /* a quarter */
        struct meter meter;
        const char *text;
    };
};

struct midi_events {
    struct midi_event *at; /* by tick, then order; heap */
    size_t n, cap;
    int64_t end;       /* tick at which the longest track ends */
    const char *title; /* the first track's name, "" */
    int ppq;           /* ticks a quarter; 0: ticks are a time, and ticks_a_second holds */
    double ticks_a_second;
};

/* The caller frees out->at, whatever comes of it. */
bool midi_events_read(struct arena *a, const struct table_text *file, struct midi_events *out,
                      struct err *e);

#endif
