/* Memory that lives and dies together. A caller owns the arena it passes; whatever a pure room
 * hands back points into that arena and is freed with it.
 *
 * Out of memory ends the program (abort): every acknowledged mark is on disk by then, so nothing
 * is lost, and no caller has to carry a path that nobody could test by hand. */
#ifndef BASE_ARENA_H
#define BASE_ARENA_H

#include <stddef.h>

struct arena {
    struct arena_block *blocks; /* zero-initialise: `struct arena a = {0};` */
};

/* Zeroed memory, aligned for any type. n may be 0. */
void *arena_alloc(struct arena *a, size_t n);
/* Copies n bytes from the heap into the arena and frees the heap memory; p may be NULL with n 0. */
void *arena_take(struct arena *a, void *p, size_t n);
char *arena_strdup(struct arena *a, const char *s); /* NULL gives "" */
char *arena_strndup(struct arena *a, const char *s, size_t n);
char *arena_printf(struct arena *a, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void arena_free(struct arena *a); /* accepts a zeroed arena; leaves it zeroed */

/* Heap memory that never comes back NULL. */
void *xrealloc(void *p, size_t n);
void *xcalloc(size_t n, size_t size);
char *xstrdup(const char *s);

/* Makes room for one more element in a growing array:
 *     p = array_grow(p, n, &cap, sizeof *p);  p[n++] = x;  */
void *array_grow(void *p, size_t n, size_t *cap, size_t size);

#endif
