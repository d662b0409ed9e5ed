#include <stdio.h>
#include <string.h>

#include "talk/timed_inner.h"

bool line_has(const struct timed_line *l, const char *what)
{
    return memmem(l->at, l->n, what, strlen(what)) != NULL;
}

bool line_is_blank(const struct timed_line *l)
{
    for (size_t i = 0; i < l->n; i++)
        if (l->at[i] != ' ' && l->at[i] != '\t')
            return false;
    return true;
}

int64_t digits(const struct timed_line *l, size_t *at, size_t *n)
{
    int64_t value = 0;
    *n = 0;
    for (; *at < l->n && l->at[*at] >= '0' && l->at[*at] <= '9'; ++*at, ++*n)
        if (value < 100000000)
            value = value * 10 + (l->at[*at] - '0');
    return value;
}

void reading_note(struct reading *r, size_t line, const char *fmt, ...)
{
    enum { MOST = 20 };
    char text[400];
    va_list args;
    if (r->n_notes++ >= MOST || !r->file->notes)
        return;
    va_start(args, fmt);
    vsnprintf(text, sizeof text, fmt, args);
    va_end(args);
    buf_printf(r->file->notes, "%s:%zu: %s\n", r->file->source, line + 1, text);
}
