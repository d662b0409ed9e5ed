/* What must hold for any score, and for any sets made from it. */
#ifndef FUZZ_PROVE_SCORE_H
#define FUZZ_PROVE_SCORE_H

#include "fuzz/fuzz.h"
#include "score/sets.h"

/* Reads the bytes with the reader, and makes sets of what comes out in several ways. */
typedef bool score_reader(struct arena *a, const struct table_text *file, struct score *out,
                          struct err *e);
void fuzz_score(score_reader *read, const uint8_t *data, size_t n);

#endif
