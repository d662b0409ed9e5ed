/* System calls that fail on demand: linked in front of the real ones (ld --wrap). */
#ifndef SYS_FAULTS_H
#define SYS_FAULTS_H

#include <stdbool.h>

/* From now on the nth call (from 1) of open, read, write, fsync, fchmod, close or rename fails with
 * this errno; close really closes first. With n 0 nothing fails. */
void fault_at(int n, int error);
/* Every write takes one byte, every read gives at most three, and each is interrupted first. */
void fault_dribble(bool on);
/* Stops that; did the fault come? */
bool fault_end(void);
const char *fault_call(void); /* which call it was */

#endif
