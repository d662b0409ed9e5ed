/* A library that is loaded when something of it is first needed. libmpv and libavformat bring 230
 * more, which take a tenth of a second to load, and most verbs never look into a clip.
 *
 * A room lists the functions it calls in a .borrow file; borrow.sh makes of that a header which the
 * room's files include after the library's own. There each function's name stands for a pointer in
 * one struct, so that calls are written as ever, and are checked against the library's prototypes. */
#ifndef SYS_BORROW_H
#define SYS_BORROW_H

#include <stdbool.h>
#include <stddef.h>

#include "base/err.h"

struct borrowed {
    const char *library, *function; /* "libmpv.so.2", "mpv_create" */
    size_t at;                      /* where in the struct its pointer is kept, in bytes */
};

/* Fills the pointers of `into`, unless that was done. Any thread may. The libraries stay for as long
 * as the program runs. False: one is not there, or lacks a function. */
struct borrow_list {
    const struct borrowed *rows;
    size_t n;
    void *into;
    bool *done;
};
bool borrow(const struct borrow_list *list, struct err *e);

#endif
