#include "base/arena.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { BLOCK = 16 * 1024, ALIGN = _Alignof(max_align_t) };

struct arena_block {
    struct arena_block *next;
    size_t used, size;
    _Alignas(max_align_t) unsigned char data[];
};

void *xrealloc(void *p, size_t n)
{
    void *q = realloc(p, n ? n : 1);
    if (!q)
        abort();
    return q;
}

void *xcalloc(size_t n, size_t size)
{
    void *q = calloc(n ? n : 1, size ? size : 1);
    if (!q)
        abort();
    return q;
}

char *xstrdup(const char *s)
{
    size_t n = strlen(s) + 1;
    return memcpy(xrealloc(NULL, n), s, n);
}

void *array_grow(void *p, size_t n, size_t *cap, size_t size)
{
    if (n < *cap)
        return p;
    *cap = *cap ? *cap * 2 : 16;
    return xrealloc(p, *cap * size);
}

void *arena_alloc(struct arena *a, size_t n)
{
    n = (n + ALIGN - 1) / ALIGN * ALIGN;
    struct arena_block *b = a->blocks;
    if (!b || b->size - b->used < n) {
        size_t size = n > BLOCK ? n : BLOCK;
        b = xcalloc(1, sizeof *b + size);
        b->size = size;
        b->next = a->blocks;
        a->blocks = b;
    }
    void *p = b->data + b->used;
    b->used += n;
    return p;
}

char *arena_strndup(struct arena *a, const char *s, size_t n)
{
    char *p = arena_alloc(a, n + 1);
    if (n)
        memcpy(p, s, n);
    return p;
}

void *arena_take(struct arena *a, void *p, size_t n)
{
    void *q = arena_alloc(a, n);
    if (n)
        memcpy(q, p, n);
    free(p);
    return q;
}

char *arena_strdup(struct arena *a, const char *s)
{
    return s ? arena_strndup(a, s, strlen(s)) : arena_alloc(a, 1);
}

char *arena_printf(struct arena *a, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    char *text;
    int n = vasprintf(&text, fmt, ap);
    va_end(ap);
    if (n < 0)
        abort();
    char *p = arena_strndup(a, text, (size_t)n);
    free(text);
    return p;
}

void arena_free(struct arena *a)
{
    for (struct arena_block *b = a->blocks, *next; b; b = next) {
        next = b->next;
        free(b);
    }
    a->blocks = NULL;
}
