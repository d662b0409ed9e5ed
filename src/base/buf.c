#include "base/buf.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"

static void reserve(struct buf *b, size_t more)
{
    if (b->n + more + 1 <= b->cap)
        return;
    size_t cap = b->cap ? b->cap : 256;
    while (cap < b->n + more + 1)
        cap *= 2;
    b->p = xrealloc(b->p, cap);
    b->cap = cap;
}

void buf_add(struct buf *b, const void *bytes, size_t n)
{
    reserve(b, n);
    if (n)
        memcpy(b->p + b->n, bytes, n);
    b->n += n;
    b->p[b->n] = '\0';
}

void buf_str(struct buf *b, const char *s)
{
    buf_add(b, s, strlen(s));
}

void buf_char(struct buf *b, char c)
{
    buf_add(b, &c, 1);
}

void buf_printf(struct buf *b, const char *fmt, ...)
{
    va_list ap, again;
    va_start(ap, fmt);
    va_copy(again, ap);
    int n = vsnprintf(NULL, 0, fmt, ap);
    va_end(ap);
    reserve(b, (size_t)n);
    vsnprintf(b->p + b->n, (size_t)n + 1, fmt, again);
    va_end(again);
    b->n += (size_t)n;
}

void buf_clear(struct buf *b)
{
    b->n = 0;
    if (b->p)
        b->p[0] = '\0';
}

void buf_free(struct buf *b)
{
    free(b->p);
    *b = (struct buf){0};
}

const char *buf_text(const struct buf *b)
{
    return b->p ? b->p : "";
}
