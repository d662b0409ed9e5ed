/* New marks. */
#ifndef COMMAND_NEW_MARK_H
#define COMMAND_NEW_MARK_H

#include "base/buf.h"
#include "command/desk.h"
#include "mark/mark.h"

/* Stores a new mark at at_us and makes it the newest. */
bool make_mark(struct desk *d, int64_t at_us, const struct target *targets, size_t n, int fault);
/* The same of more than that: its moment, targets, fault, severity and praise. */
bool make_said_mark(struct desk *d, const struct mark *said);
/* "T3;T5 horn angle": both may be several words. The targets live in mem. */
struct marked_words {
    const struct target *targets;
    size_t n;
    int fault;
};
bool marked_words_read(const struct desk *d, struct arena *mem, const char *text,
                       struct marked_words *out, struct err *e);
/* "0:13.0 T3, horn angle  set 2 count 5", as messages name a mark. */
void mark_describe(const struct desk *d, const struct mark *m, struct buf *out);

#endif
