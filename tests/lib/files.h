/* Files for tests: folders that clean themselves up, and comparisons that show the difference.
 * Every string handed back lives until the test program ends. */
#ifndef LIB_FILES_H
#define LIB_FILES_H

#include <stddef.h>

#include "base/arena.h"

/* What the test library hands out lives here; nothing in it is freed before the program ends. */
struct arena *test_arena(void);

/* A fresh empty folder, removed with everything in it when the test program ends (kept, and named
 * on stderr, when KEEP_TEMP is set). Absolute path without symbolic links. */
const char *temp_dir(void);
/* "DIR/NAME"; nothing is made. */
const char *path_in(const char *dir, const char *name);
/* DIR/NAME with exactly this text in it; makes missing folders. Returns the path. */
const char *write_file(const char *dir, const char *name, const char *text);
const char *write_bytes(const char *dir, const char *name, const void *bytes, size_t n);
/* The whole file, NUL-terminated; *n (may be NULL) is its length. Fails the test when missing. */
char *read_file(const char *path, size_t *n);
/* How many entries a folder has, without . and .. */
size_t count_entries(const char *dir);

/* Byte for byte; a failure names the first line that differs. */
void assert_same_file_at(const char *a, const char *b, const char *file, int line);
void assert_file_is_at(const char *path, const char *text, const char *file, int line);
#define assert_same_file(a, b)     assert_same_file_at(a, b, __FILE__, __LINE__)
#define assert_file_is(path, text) assert_file_is_at(path, text, __FILE__, __LINE__)

#endif
