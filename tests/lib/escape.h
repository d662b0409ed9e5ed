/* Cuts what a program writes to a terminal into text and whole escape sequences, however the
 * reads fell (ECMA-48 sections 5.4 and 5.6: control sequences and control strings). */
#ifndef LIB_ESCAPE_H
#define LIB_ESCAPE_H

#include <stddef.h>

#include "base/buf.h"

struct escape {
    int state; /* zero-initialise */
    struct buf sequence;
};

/* One run of text, or one whole sequence that starts with ESC. Two-byte escapes count as text. */
struct escape_to {
    void (*text)(void *user, const char *s, size_t n);
    void (*sequence)(void *user, const char *s, size_t n);
    void *user;
};

void escape_feed(struct escape *e, const char *s, size_t n, const struct escape_to *to);
void escape_free(struct escape *e);

#endif
