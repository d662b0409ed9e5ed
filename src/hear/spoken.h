/* What is said in a recording: every stretch between pauses is one utterance, or none of those that the
 * net has. */
#ifndef HEAR_SPOKEN_H
#define HEAR_SPOKEN_H

#include "hear/onsets.h"
#include "hear/speech.h"

struct spoken {
    int64_t from_us, to_us; /* of the recording: the first word's beginning, the last one's end */
    const struct speech_heard *words; /* times of the recording */
    size_t n_words;
    double confidence;
};
struct spoken_list {
    const struct spoken
        *at; /* in time order; those in which the net heard something, however unlikely */
    size_t n;
    size_t stretches; /* in which somebody talked */
};

struct spoken_want {
    const char *path; /* any file with sound that FFmpeg reads; up to two hours are listened to */
    hear_progress progress; /* may be NULL */
    void *user;
};

/* False with e set when it cannot be heard; with e->code ERR_NONE when progress cancelled it. Silence is
 * heard, with nothing in it. */
bool spoken_hear(struct speech *v, const struct spoken_want *want, struct arena *a,
                 struct spoken_list *out, struct err *e);

#endif
