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

void line_blanks(const struct timed_line *l, size_t *at)
{
    while (*at < l->n && (l->at[*at] == ' ' || l->at[*at] == '\t' || l->at[*at] == '\f'))
        ++*at;
}

bool line_next(const struct timed_line *l, size_t *at, const char *what)
{
    const size_t n = strlen(what);
    if (l->n - *at < n || memcmp(l->at + *at, what, n) != 0)
        return false;
    *at += n;
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

/* A first number of other than two digits, or over 59, is hours. */
bool webvtt_time(const struct timed_line *l, size_t *at, int64_t *us)
{
    size_t n, more;
    int64_t hours = digits(l, at, &n), minutes, seconds;
    if (n == 0 || !line_next(l, at, ":"))
        return false;
    const bool is_hours = n != 2 || hours > 59;
    minutes = digits(l, at, &more);
    if (more != 2)
        return false;
    if (is_hours || (*at < l->n && l->at[*at] == ':')) {
        if (!line_next(l, at, ":"))
            return false;
        seconds = digits(l, at, &more);
        if (more != 2)
            return false;
    } else {
        seconds = minutes;
        minutes = hours;
        hours = 0;
    }
    if (!line_next(l, at, "."))
        return false;
    const int64_t ms = digits(l, at, &more);
    *us = (((hours * 60 + minutes) * 60 + seconds) * 1000 + ms) * 1000;
    return more == 3 && minutes <= 59 && seconds <= 59;
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
