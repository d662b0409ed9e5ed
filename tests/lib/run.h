/* Runs a command line program to its end, so that a test reads like a story:
 *
 *     struct run r = run("boxcall", "fixes", show, NULL);
 *     assert_exit(r, 3);
 *     assert_contains(r.err, "roster.csv:14");
 */
#ifndef LIB_RUN_H
#define LIB_RUN_H

#include <stdbool.h>
#include <stddef.h>

#include "lib/child.h"
#include "lib/files.h"

struct run {
    int status;      /* exit code, or minus the signal that ended it */
    const char *out; /* standard output, NUL-terminated; lives until the test program ends */
    const char *err; /* standard error, the same */
    size_t out_n, err_n;
    const char *said; /* the command line, for messages */
};

struct run_setup {
    const char *in;         /* standard input; NULL: empty */
    size_t in_n;            /* its length; 0: strlen(in) */
    const char *dir;        /* working folder; NULL: the test's own */
    const char *home;       /* NULL: a fresh one */
    const char *const *env; /* as child_env's extra */
    const char *out_to;     /* file that takes standard output instead, such as /dev/full */
    size_t file_limit;      /* RLIMIT_FSIZE in bytes; 0: none */
};

/* Arguments end with NULL. A program that has not ended after three deadlines fails the test. */
struct run run(const char *program, ...) __attribute__((sentinel));
struct run run_with(const struct run_setup *setup, const char *program, ...)
    __attribute__((sentinel));
/* Standard input as the first argument: run_in("1,2\n", "boxcall", "add", show, "-", NULL). */
struct run run_in(const char *in, const char *program, ...) __attribute__((sentinel));

/* Is there such a program on PATH? For tests that must be skipped without it. */
bool have_program(const char *name);

void assert_exit_at(const struct run *r, int status, const char *file, int line);
void assert_contains_at(const char *text, const char *part, const char *file, int line);
void assert_lacks_at(const char *text, const char *part, const char *file, int line);
#define assert_exit(r, status)      assert_exit_at(&(r), status, __FILE__, __LINE__)
#define assert_contains(text, part) assert_contains_at(text, part, __FILE__, __LINE__)
#define assert_lacks(text, part)    assert_lacks_at(text, part, __FILE__, __LINE__)
/* Exit 0, and nothing on standard error. */
void assert_quiet_at(const struct run *r, const char *file, int line);
#define assert_quiet(r) assert_quiet_at(&(r), __FILE__, __LINE__)

#endif
