/* Inside of the scenes; tests of single instruments and rooms include it too. */
#ifndef TESTS_HEAR_SCENE_INNER_H
#define TESTS_HEAR_SCENE_INNER_H

#include "scene.h"

/* --- chance -------------------------------------------------------------------------------- */

struct dice {
    uint64_t seed;
};
double dice_even(struct dice *d); /* 0 .. 1 */
double dice_between(struct dice *d, double lo, double hi);
double dice_normal(struct dice *d, double sigma);
size_t dice_below(struct dice *d, size_t n); /* 0 .. n - 1 */

/* --- time (scene_sheet.c) ------------------------------------------------------------------ */

enum { LEG_COUNTS = 32, LEGS = 16, TALKS = SCENE_AGAIN };
enum { COUNTED_OFF = -1 };

/* A set as it is played once. */
struct leg {
    int set;                   /* or COUNTED_OFF */
    size_t n;                  /* counts */
    double at[LEG_COUNTS + 1]; /* s; at[n] is where the last count ends */
    double hold_s;             /* from there on, as played */
};

struct span {
    double from_s, to_s;
};

/* What is written and when it is played. */
struct sheet {
    struct leg leg[LEGS];
    size_t n;
    bool held; /* holds sound */
    struct span talk[TALKS];
    size_t n_talk;
    double end_s;
};

enum form { FORM_STEADY, FORM_RAMP, FORM_HOLD, FORM_TALK };

struct timing {
    enum form form;
    bool machine; /* a device keeps the time */
    bool sticks;  /* somebody could click it off */
    struct dice *dice;
};

/* Writes the sets and plays them: sheet, and sets, beats, begin and again of the scene. */
void sheet_make(const struct scene_plan *plan, const struct timing *how, struct sheet *sheet,
                struct scene *out);
/* When a place is reached, in counts from the leg's beginning, 0 .. n. */
double leg_time(const struct leg *l, double counts);

/* --- instruments (scene_play.c) ------------------------------------------------------------ */

struct track {
    float *at;
    size_t n;
};

enum voice {
    VOICE_BEEP,
    VOICE_BLOCK,
    VOICE_BELL,
    VOICE_STICKS,
    VOICE_SNARE,
    VOICE_TENOR,
    VOICE_BASS,
    VOICE_HAT,
    VOICE_CYMBAL,
    VOICE_CLAP,
    VOICES
};

struct stroke {
    enum voice voice;
    double at_s, loud;
    double tune; /* times the voice's own pitch */
};
void play_stroke(struct track *t, struct dice *d, const struct stroke *s);

enum timbre { TIMBRE_BRASS, TIMBRE_REED, TIMBRE_FLUTE, TIMBRES };

struct note {
    enum timbre timbre;
    double at_s; /* where it is heard to begin */
    double length_s;
    double loud, hz;
    double attack_s; /* from nothing to full */
};
/* One turn of each timbre. */
struct waves;
struct waves *waves_make(void);
void waves_free(struct waves *w);
void play_note(struct track *t, struct dice *d, const struct waves *w, const struct note *n);

/* --- parts (scene_parts.c) ----------------------------------------------------------------- */

struct hand;
/* A sign of a pattern, where it stands in time. */
struct sign {
    char c;
    double counts;     /* from the leg's beginning */
    double at_s, to_s; /* to_s: where the next sign other than '-' stands */
    double step_s;     /* of the pattern, there */
};

enum plays { PLAYS_SETS, PLAYS_OFF, PLAYS_ALL };

/* Who plays what. A row of signs fills `bar` counts in equal steps; '.' rests, '-' goes on. */
struct part {
    const char *const *rows; /* up to a NULL */
    int bar;
    int players;
    double spread_s; /* of the players around a beat, standard deviation */
    double loud;
    double rests; /* chance to be silent for a set */
    char tap;     /* the sign that chance puts in or takes out */
    char gap;     /* and what stands there instead */
    enum plays plays;
    bool wind;
    bool keeps; /* one row for the whole scene */
    void (*read)(struct hand *, const struct sign *);
    void (*hold)(struct hand *, const struct leg *); /* what sounds in a hold, or NULL */
};

struct performance {
    const struct scene_plan *plan;
    const struct sheet *sheet;
    const struct waves *waves;
    struct dice *dice;
};
void part_play(const struct performance *p, const struct part *part, struct track *t);

void read_click(struct hand *h, const struct sign *s);
void read_sticks(struct hand *h, const struct sign *s);
void read_snare(struct hand *h, const struct sign *s);
void read_tenor(struct hand *h, const struct sign *s);
void read_bass(struct hand *h, const struct sign *s);
void read_hat(struct hand *h, const struct sign *s);
void read_groove(struct hand *h, const struct sign *s);
void read_accent(struct hand *h, const struct sign *s);
void read_melody(struct hand *h, const struct sign *s);
void read_harmony(struct hand *h, const struct sign *s);
void read_low(struct hand *h, const struct sign *s);
void hold_roll(struct hand *h, const struct leg *l);
void hold_chord(struct hand *h, const struct leg *l);

/* --- air (scene_room.c, scene_noise.c) ----------------------------------------------------- */

/* The far stand and the tail, added to the dry sound. */
void room_add(struct track *t, const struct scene_air *air);
/* A phone's microphone keeps wind out: two poles below 100 Hz, as is common (no source). */
void phone_hear(struct track *t);
/* Fill a silent track, at any level. */
void noise_light(struct track *t, struct dice *d);
void noise_crowd(struct track *t, struct dice *d);
/* Somebody speaks, at about rms 1. */
void talk_add(struct track *t, struct dice *d, const struct span *when);

/* Root mean square while the band plays, holds included. */
double track_level(const struct track *t, const struct sheet *sheet);
/* t += gain * more */
void track_mix(struct track *t, const struct track *more, double gain);

#endif
