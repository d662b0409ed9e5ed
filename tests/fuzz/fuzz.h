/* What the fuzz targets share. A target is one file with one LLVMFuzzerTestOneInput(): bytes in,
 * nothing out, and what must hold for any bytes stands in it as PROVE(). It is built twice:
 *   - replay_TARGET, always: runs the target's seeds and mutations of them, the same each time;
 *   - fuzz_TARGET, on request, with clang's libFuzzer: sh tests/fuzz/run.sh TARGET SECONDS. */
#ifndef FUZZ_FUZZ_H
#define FUZZ_FUZZ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/err.h"
#include "show/show.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t n);

/* Ends the program with the place when it does not hold. */
#define PROVE(holds) ((holds) ? (void)0 : fuzz_broken(#holds, __FILE__, __LINE__))
void fuzz_broken(const char *what, const char *file, int line) __attribute__((noreturn));

/* An error that was returned: a code, one line of valid text without control characters. */
void prove_error(const struct err *e);
void prove_utf8(const char *text, size_t n);

/* The first n bytes as a string that ends at the first NUL; heap memory, so that a read past its
 * end is seen. */
char *fuzz_string(const uint8_t *data, size_t n);

/* A band with every kind of key: sections one and two letters long, numbers with one to three
 * digits, faults with families, four sets; "14.5" is both a label and a set with a count. */
const struct show *fuzz_band(void);

/* A folder of this program's own, in memory where the system has such a place; removed at the
 * end. */
const char *fuzz_folder(void);
/* Removes FOLDER/x.show with its log; writes these bytes there unless n is 0. Returns the path. */
const char *fuzz_show_file(const void *bytes, size_t n);

#endif
