/* The temporal dimension of a media fragment: W3C Media Fragments URI 1.0 (Recommendation of 25
 * September 2012), section 4.2.1, in normal play time: "t=65.2", "t=npt:3,7", "t=0:01:05,0:01:10". */
#ifndef SHOW_FRAGMENT_H
#define SHOW_FRAGMENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct fragment_time {
    int64_t from_us, to_us; /* to_us is -1 up to the end of the medium; else from_us < to_us */
};

/* What a fragment (what stands behind '#', with percent-encoding) says; of several t the last one that
 * is valid. False when none is. Digits past the microsecond are rounded; no time is beyond 1e6 hours. */
bool fragment_time(const char *fragment, struct fragment_time *out);

/* Percent-decoding (RFC 3986, section 2.1) of n bytes into out, which has room for n + 1. False for a
 * '%' without two hexadecimal digits, and for a NUL. */
bool fragment_decode(const char *s, size_t n, char *out);

#endif
