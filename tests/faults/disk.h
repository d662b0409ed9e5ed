/* The program on a disk that fails: one verb, run again and again with another system call failing
 * each time (shim.c), on the same small show. */
#ifndef FAULTS_DISK_H
#define FAULTS_DISK_H

#include <stdbool.h>
#include <stddef.h>

#include "verb/season.h"

/* One verb and its words. */
struct trial {
    const char *name;
    const char *args[12];
    bool reads;       /* it is to change nothing */
    bool makes;       /* it makes the show b.show */
    const char *each; /* a kind of fault of which every call is tried, once each; may be NULL */
};

/* What goes wrong today and waits for its mend: removed from here with it. A row that is not seen
 * any more fails the test. */
struct known {
    const char *trial, *kind; /* its name and the fault's kind; "" every one */
    const char *what;         /* how the complaint begins */
};

/* Runs the trial without a fault, then with every fault of every kind in turn (so many of each kind
 * at most, evenly spread; with FAULTS_ALL=1 in the environment all), and fails the test with all
 * that does not hold:
 *   - exit status 0: the change is there as without a fault, the output is the same;
 *   - else one line on standard error that names a file and does not say more than is true, and
 *     the show is as it was (or, when the trouble came after the commit, wholly changed);
 *   - never a signal, never a hang;
 *   - the show is sound, and the next `boxcall mark` goes in. */
void disk_try(const struct trial *t, const struct known *known, size_t n_known);

#endif
