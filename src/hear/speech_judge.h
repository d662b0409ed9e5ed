/* How sure it is that what a net made of a sound was said: from how much better or worse others explain
 * the same sound. Inner to the room. */
#ifndef HEAR_SPEECH_JUDGE_H
#define HEAR_SPEECH_JUDGE_H

#include "hear/ear.h"

/* Of the three paths; others may be NULL where they heard nothing. */
struct speech_scores speech_scores(const struct ear_path *net, const struct ear_path *sounds,
                                   const struct ear_path *english);

/* 0 .. 1: a logistic regression, fitted to the 240 calls and 230 sentences of other talk in tests/hear/spoken
 * that are to tune with, by three synthetic voices with pink noise 25 dB below the talk. People's voices were
 * not at hand. */
double speech_judge(const struct speech_scores *s);

#endif
