/* A line the person is asked for, in the last row: a hold that takes every key until Enter or Esc.
 */
#ifndef COMMAND_LINE_H
#define COMMAND_LINE_H

#include "command/desk.h"
#include "command/prompt.h"

/* What is asked; each kind has a history of its own. */
struct line_kind {
    const char *label;
    bool offered; /* the text it begins with is a proposal: the first character takes its place */
    void (*done)(struct desk *d, const char *text);
    void (*cancelled)(struct desk *d); /* may be NULL */
};

/* Asks for a line that begins with this text. */
void line_ask(struct desk *d, const struct line_kind *kind, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));
/* Names before its label what the line is about: " note:" becomes " T3, horn angle, note:". */
void line_about(struct desk *d, const char *what);
/* The line as it is typed; NULL while none is. */
const struct prompt *line_typed(const struct desk *d);
/* What the newest line began with. */
const char *line_offered(const struct desk *d);
/* Ends it with that text, or cancelled (NULL); nothing while none is open. */
void line_answer(struct desk *d, const char *text);

#endif
