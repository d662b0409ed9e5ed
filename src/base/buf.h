/* A growing run of bytes, always NUL-terminated once something was added. */
#ifndef BASE_BUF_H
#define BASE_BUF_H

#include <stddef.h>

struct buf {
    char *p; /* zero-initialise: `struct buf b = {0};` */
    size_t n, cap;
};

void buf_add(struct buf *b, const void *bytes, size_t n);
void buf_str(struct buf *b, const char *s);
void buf_char(struct buf *b, char c);
void buf_printf(struct buf *b, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void buf_clear(struct buf *b); /* keeps the memory */
void buf_free(struct buf *b);
const char *buf_text(const struct buf *b); /* "" when empty; valid until the next change */

#endif
