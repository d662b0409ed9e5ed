/* A show file for the targets that need one. */
#ifndef FUZZ_SEASON_H
#define FUZZ_SEASON_H

#include "app/app.h"
#include "fuzz/fuzz.h"

/* A show file with something in every table, made once; *n is how long it is. */
const uint8_t *fuzz_season(size_t *n);

/* Opens the file and reads all of it, and takes its last steps back and forth. Whatever it holds,
 * it is refused in words, or every position handed out is one of the show. */
void fuzz_read_everything(const char *path);

#endif
