/* Errors are values: what went wrong, where, and what to do about it.
 *
 * A function that can fail takes a `struct err *` last and returns bool (false = failed) or a
 * pointer (NULL = failed). Nothing below main prints a message or exits. */
#ifndef BASE_ERR_H
#define BASE_ERR_H

#include <stdarg.h>
#include <stdbool.h>

/* The code is also the program's exit status. */
enum err_code {
    ERR_NONE = 0,
    ERR_FAILED = 1, /* the system refused: disk full, no permission, no such clip ... */
    ERR_USAGE = 2,  /* the command line was wrong */
    ERR_INPUT = 3,  /* a file or value that a person gave is wrong */
    ERR_SHOW = 4,   /* the show file was refused and not touched */
};

struct err {
    enum err_code code;
    char text[600]; /* one line, no newline: "what:where: why; what to do" */
};

/* Sets the message and returns false, so that a caller may `return err_set(e, ...)`.
 * Control characters in the finished text are replaced by '?', since it may quote a file. */
bool err_set(struct err *e, enum err_code code, const char *fmt, ...)
    __attribute__((format(printf, 3, 4)));

/* Puts "prefix: " before the message that is already there. Returns false. */
bool err_in(struct err *e, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

#endif
