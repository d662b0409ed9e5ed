/* Rehearsals for tests and benchmarks: sound from a band of rows of tables, whose beats, sets and
 * moments are known to the sample. What a phone in the stands might record, and no recording.
 *
 * A scene is planned (kind, tempo, air, seed) and made. The same plan makes the same samples.
 *
 *     const struct scene_plan plan = scene_plan(1, SCENE_CROWD, 3);
 *     struct scene s;
 *     scene_make(&plan, &s);
 *     ... s.samples, s.beat ...
 *     scene_close(&s);
 *
 * What is true. A beat is the beginning of a count as the band means it: strokes fall on it, or a
 * few ms beside it since people play them; a note of a wind is said to begin where it has risen to
 * 10 dB below its full loudness (perceived beginnings lie 6 to 15 dB below it: J. Vos, R. Rasch,
 * 'The perceptual onset of musical tones', Perception & Psychophysics 29, 1981, from memory). Where
 * a chord or a roll opens a hold, that is a beat too; a silent hold opens with none. Counts that are
 * clicked off before set 1 are beats. Times are those of the direct sound at the microphone. */
#ifndef TESTS_HEAR_SCENE_H
#define TESTS_HEAR_SCENE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "count/tempo.h"

enum { SCENE_RATE = 44100, SCENE_EACH = 9, SCENE_BANKS = 2, SCENE_SETS = 12, SCENE_AGAIN = 2 };

enum scene_kind {
    SCENE_METRONOME, /* an amplified metronome, to the sample; some with softer subdivisions */
    SCENE_DRUM_LINE, /* snares, tenors, split bass drums; flams, rolls */
    SCENE_HATS,      /* eighths or sixteenths as loud as the beat, bass and snare below */
    SCENE_OFF_BEAT,  /* accents off the beat, the beat itself only partly stated */
    SCENE_WINDS,     /* chords with slow attacks, no percussion */
    SCENE_FULL,      /* winds louder than the drums */
    SCENE_ECHO,      /* a far stand answers, and a tail of 1.5 to 2.5 s */
    SCENE_CROWD,     /* 20, 10, 5 or 0 dB over a crowd */
    SCENE_RAMP,      /* written accelerandi and ritardandi */
    SCENE_HOLD,      /* sets that end in a hold of 1.5 to 4 s */
    SCENE_TALK,      /* instructions of 6 to 12 s between playings */
    SCENE_KINDS
};

enum scene_noise { NOISE_NONE, NOISE_LIGHT, NOISE_CROWD };

/* What lies between the band and the samples. */
struct scene_air {
    double slap_s,
        slap_db; /* a far stand's answer, its energy beside the direct sound's; 0 s: none */
    double rt60_s, tail_db; /* the diffuse tail, the same; 0 s: none */
    enum scene_noise noise;
    double snr_db; /* mean squares of the band, while it plays, over the noise's */
};

struct scene_plan {
    enum scene_kind kind;
    int number; /* 0 .. SCENE_EACH - 1: which line-up, form and variant of the kind */
    double bpm; /* written tempo of the first set, 72 .. 184 */
    struct scene_air air;
    uint64_t seed;
    bool spliced; /* patterns spliced from two rows, strokes added and dropped at random */
    bool exact;   /* nobody drifts, jitters or spreads */
};

/* A set that is played once more, after talk; the sets after it follow. */
struct scene_again {
    size_t set;
    double at_s;
};

struct scene {
    float *samples; /* one channel, SCENE_RATE a second, heap */
    size_t n;
    double *beat; /* s, rising, heap */
    size_t n_beats;
    struct move set[SCENE_SETS]; /* as written: the band keeps to it within 1.5 %, in holds 15 % */
    size_t n_sets;
    double begin_s; /* set 1 count 1 */
    struct scene_again again[SCENE_AGAIN];
    size_t n_again;
};

/* Bank 0 to work with, bank 1 to be judged by: other seeds, tempi and patterns. */
struct scene_plan scene_plan(int bank, enum scene_kind kind, int number);
void scene_make(const struct scene_plan *plan, struct scene *out);
void scene_close(struct scene *s);

/* For other programs: stem.wav (16 bit PCM), stem.txt (the beats, one second value a line) and
 * stem.sets: a line 'counts tempo tempo_end hold_s' for each set, then 'begin SECONDS', and for each
 * set that is played once more 'again SET SECONDS' (SET from 1). False when it cannot be written. */
bool scene_write(const struct scene *s, const char *stem);
/* All scenes of a bank as DIR/KIND-NUMBER.wav and so on; makes the folder. */
bool scene_write_bank(const char *dir, int bank);

const char *scene_name(enum scene_kind kind);
/* SCENE_KINDS when no kind has this name. */
enum scene_kind scene_kind(const char *name);

#endif
