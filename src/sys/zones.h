/* The system's time zone database (TZDIR, else /usr/share/zoneinfo), as the C library reads it. */
#ifndef SYS_ZONES_H
#define SYS_ZONES_H

#include "base/err.h"
#include "base/zone.h"

/* Is it the name of a zone there, as "America/New_York"? The error names a near one. */
bool zone_known(const char *name, struct err *e);
/* The zone of this laptop: TZ, else /etc/localtime. False when its name cannot be told. */
bool zone_here(char out[ZONE_NAME]);
/* What holds from one moment to another. A zone must be known; false when its file cannot be read, or
 * has too many changes in that time. The environment's TZ is another one meanwhile, so no thread may
 * ask for local times. */
bool zone_read(const char *name, int64_t from, int64_t to, struct zone_spans *out, struct err *e);

#endif
