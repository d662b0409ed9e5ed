/* shim.c stands in front of the C library; this is all of it that is called by name. */
#ifndef FAULTS_SHIM_H
#define FAULTS_SHIM_H

/* Writes BOXCALL_FAULT_COUNT now; otherwise it is written when the process ends by exit(). */
void faults_tell_counts(void);

#endif
