/* What libavformat reads of a clip: its streams and the time of every frame, without decoding. */
#ifndef PLAYER_PACKETS_H
#define PLAYER_PACKETS_H

#include <stdatomic.h>

#include "player/probe.h"

/* Fills everything of media but the digests. Follows no reference out of the file. Stops early
 * (false) once *cancel is true; cancel may be NULL. */
bool packets_read(const char *path, const atomic_bool *cancel, struct media *out, struct err *e);

/* The demuxers a clip may need, as libavformat's format_whitelist; none that opens other files. */
extern const char packets_formats[];

/* The file's size, and whether it is an MPEG transport or program stream: those have no index to
 * seek by, and want to be held in memory when they fit. */
int64_t packets_sniff(const char *path, bool *stream);
#define PACKETS_CACHE_BYTES (INT64_C(512) << 20)

#endif
