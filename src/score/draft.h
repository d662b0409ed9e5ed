/* A score while a reader makes it. Inner to the room. */
#ifndef SCORE_DRAFT_H
#define SCORE_DRAFT_H

#include "score/score.h"

struct draft {
    struct arena *a;
    struct score made;
    size_t cap_measures, cap_tempos, cap_markers;
};

/* Each at or behind what was added before it. A tempo at the place of another takes its place; a
 * marker at the place of another is passed over, and so is one without text. False when there are
 * too many; the message has no place yet. */
bool draft_measure(struct draft *d, struct score_measure m, struct err *e);
bool draft_tempo(struct draft *d, double at, double bpm, struct err *e);
bool draft_marker(struct draft *d, double at, const char *text, struct err *e);

/* Text as a file has it (UTF-8, or else Latin-1) in the arena: trimmed, runs of white space one
 * blank, tame, at most 120 bytes. */
const char *draft_text(struct arena *a, const char *bytes, size_t n);

/* Hands the score over, its times reckoned and its arrays in the arena. */
void draft_done(struct draft *d, struct score *out);
void draft_free(struct draft *d);

#endif
