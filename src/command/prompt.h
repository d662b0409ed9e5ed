/* A line the person types: UTF-8, moving, history, cancel. It holds PROMPT_MOST bytes, or what it
 * began with; what does not fit is refused and the line says so. It cannot be entered until it was
 * shortened then: text that lost its end without a word would look complete. */
#ifndef COMMAND_PROMPT_H
#define COMMAND_PROMPT_H

#include <stdbool.h>
#include <stddef.h>

enum { PROMPT_MOST = 65536, PROMPT_HISTORY = 50, PROMPT_KINDS = 12 };

struct prompt {
    int kind; /* whose history; 0: no line is being typed */
    const char *label;
    char *text;        /* NUL-terminated once a line was begun */
    size_t n, at, cap; /* bytes, cursor, room */
    bool full;         /* something was refused since it was last shortened */
    bool offered;      /* the text is a proposal: the first character typed takes its place */
    char *history[PROMPT_KINDS][PROMPT_HISTORY];
    size_t n_history[PROMPT_KINDS];
    size_t browse; /* position in the history, n_history when on the own line */
    char *own;     /* what was typed before browsing; NULL: nothing */
};

enum prompt_result { PROMPT_GOES_ON, PROMPT_DONE, PROMPT_CANCELLED };

void prompt_begin(struct prompt *p, int kind, const char *label, const char *text);
enum prompt_result prompt_key(struct prompt *p, const char *key);
/* Start of the character before a place; combining marks go with their letter. */
size_t prompt_before(const struct prompt *p, size_t at);
void prompt_free(struct prompt *p);

#endif
