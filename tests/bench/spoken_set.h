/* The sentences of tests/hear/spoken as sound, and the show that they are about. */
#ifndef BENCH_SPOKEN_SET_H
#define BENCH_SPOKEN_SET_H

#include "hear/speech.h"
#include "talk/said_call.h"

enum { SPOKEN_VOICES = 7 };
struct spoken_voice {
    const char *name, *half, *program, *voice;
};
extern const struct spoken_voice spoken_voices[SPOKEN_VOICES];

struct spoken_case {
    int voice; /* of spoken_voices */
    bool is_call;
    const char *says;
    struct said_call means; /* of a call */
    struct speech_samples sound;
};
struct spoken_set {
    const struct show *show;
    struct spoken_case *at;
    size_t n;
};

/* Every so-manieth sentence of the half, spoken by its voices in turn. Ends the program when it cannot. */
struct spoken_set spoken_set_read(const char *half, size_t every);
/* Its sound with pink noise so many dB below the talk's mean square (0: without); until the next call. */
struct speech_samples spoken_samples(const struct spoken_case *c, double snr_db);
/* Is it that call? In whatever order its targets were said. */
bool spoken_same(const struct spoken_case *c, const struct said_call *heard);

#endif
