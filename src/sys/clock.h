/* Time and chance come through this door, so that tests can hold them still. */
#ifndef SYS_CLOCK_H
#define SYS_CLOCK_H

#include <stddef.h>
#include <stdint.h>

/* Milliseconds since 1970-01-01 UTC. BOXCALL_CLOCK (milliseconds) freezes it, for tests. */
int64_t clock_wall_ms(void);
/* Monotonic microseconds; only differences mean anything. */
int64_t clock_mono_us(void);
/* Today's date at this laptop as YYYY-MM-DD. */
void clock_today(char out[11]);
/* n random bytes from the system. */
void random_bytes(void *out, size_t n);
/* Where a generator of chance begins that only decides what a person is shown: BOXCALL_CHANCE (a
 * number) makes it the same each time, for tests. Ids never come from it. */
uint64_t chance_seed(void);

#endif
