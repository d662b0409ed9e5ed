/* Time as people write and read it: m:ss.mmm, frames, and SMPTE time code.
 *
 * Clip time is int64 microseconds. Everything here is integer arithmetic: what is printed is the
 * nearest value (halves away from zero) and carries, so 59.9995 s prints as 1:00.000, never as
 * 0:60.000 or 0:59.999. */
#ifndef COUNT_TIMECODE_H
#define COUNT_TIMECODE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"

/* The longest time that is read: 100 hours. */
#define TIME_MAX_US INT64_C(360000000000)

/* m:ss.mmm ("5:58.200"), from one hour h:mm:ss.mmm; negative times with a minus sign in front. */
void time_format(int64_t us, char out[24]);
/* m:ss.t ("5:58.2"), from one hour h:mm:ss.t. */
void time_format_short(int64_t us, char out[24]);

/* Reads "358.2", "12.5s", "5:58.2", "0:05:58.200"; blanks around are allowed, a sign is not.
 * A decimal comma is read where it cannot part thousands: "5:58,2", "12,5".
 * Minutes and seconds behind a colon have two digits, 00 to 59. Digits past the microsecond are
 * rounded. False: *us is untouched and e (ERR_INPUT) quotes s and says what to write. */
bool time_parse(const char *s, int64_t *us, struct err *e);
/* The same behind a '+' or '-', which must be there: "+2.5", "-0:04 ", "+2.5 s". */
bool time_parse_shift(const char *s, int64_t *us, struct err *e);

/* Frames per second as an exact fraction, 30000/1001 and not 29.97. {0, 0} is unknown. */
struct rate {
    int num, den;
};

/* The broadcast rates: 24000/1001 24 25 30000/1001 30 50 60000/1001 60. Containers also say
 * 2997/100 and the like: the broadcast rate within 0.01 % of num/den, {0, 0} when there is none. */
struct rate rate_standard(int num, int den);
/* Does drop-frame counting exist for it? (30000/1001 and 60000/1001) */
bool rate_drops(struct rate r);

/* Time at which frame n (from 0) is due, and the frame whose due time is nearest. num and den
 * must be positive. */
int64_t frame_time(int64_t n, struct rate r);
int64_t frame_at(int64_t us, struct rate r);

/* SMPTE ST 12-1 labels: hh:mm:ss:ff, drop-frame hh:mm:ss;ff. Drop-frame numbering skips the first
 * two labels (four at 59.94) of every minute except minutes 00 10 20 30 40 50, so that labels
 * keep pace with the clock: 17982 frames in ten minutes instead of 18000.
 * False, with "--:--:--:--" in out, when the rate is not a broadcast rate, when drop is asked of a
 * rate that has none, and for frames before 0 or past 23:59:59. */
bool smpte_format(int64_t frame, struct rate r, bool drop, char out[16]);
/* Reads a label; ';' before the frames says drop-frame. A label that drop-frame numbering skips
 * (00:01:00;00) names no frame and is refused. False: *frame is untouched, e says why. */
bool smpte_parse(const char *s, struct rate r, int64_t *frame, struct err *e);

#endif
