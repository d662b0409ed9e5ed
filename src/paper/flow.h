/* Words that flow into lines of a width, with a hanging indent. */
#ifndef PAPER_FLOW_H
#define PAPER_FLOW_H

#include <stdbool.h>

#include "base/buf.h"

struct flow {
    struct buf *out;
    int width;  /* columns; 0: one line */
    int indent; /* of every line but the first */
    int col;    /* where the next word would stand */
    bool begun; /* a word stands in the line */
};

/* What already stands in `out` on this line has so many columns; the first word follows it without
 * a blank. */
struct flow flow_from(struct buf *out, int width, int col, int indent);
/* One word, which no line end cuts unless it is longer than a line. link: OSC 8 target, NULL
 * without one. Control characters become '?'. */
void flow_word(struct flow *f, const char *word, const char *link);
/* Text, word by word. */
void flow_text(struct flow *f, const char *text);
/* Ends the line. */
void flow_end(struct flow *f);

#endif
