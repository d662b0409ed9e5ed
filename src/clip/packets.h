/* What libavformat reads of a clip: its streams and the time of every frame, without decoding. */
#ifndef CLIP_PACKETS_H
#define CLIP_PACKETS_H

#include <stdatomic.h>

#include "clip/probe.h"

/* Fills everything of media but the digests. Follows no reference out of the file. A file that is
 * cut short is read as far as it goes; one that the disk does not give up, or that is damaged, is
 * refused. Stops early (false) once *cancel is true; cancel may be NULL. */
bool packets_read(const char *path, const atomic_bool *cancel, struct media *out, struct err *e);

/* The file's size, and whether it is an MPEG transport or program stream: those have no index to
 * seek by, and want to be held in memory when they fit. */
int64_t packets_sniff(const char *path, bool *stream);
#define PACKETS_CACHE_BYTES (INT64_C(512) << 20)

#endif
