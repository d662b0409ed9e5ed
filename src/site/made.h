/* A folder of files that can be made again: what is the same is not written, each file is there
 * whole or not at all, and what was made before and is no longer wanted goes. What somebody else put
 * there is never touched.
 *
 * What was made stands in the file ".boxcall-made", a line each: what it was made from (or what is in
 * it) as 16 hex digits, its size in bytes, its name. A line is added before a file is written, so
 * that a publishing that was cut off knows its own files. */
#ifndef SITE_MADE_H
#define SITE_MADE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

struct made;

/* Makes the folder unless it is there, and keeps other programs of ours out of it. */
bool made_open(struct made **out, const char *folder, struct err *e);
void made_close(struct made *m);               /* accepts NULL */
const char *made_folder(const struct made *m); /* absolute */

/* A file in the folder ("trumpets.html", "stills/ab12.jpg"; one level of folders is made) with these
 * bytes. Refused when a file of that name is there that was not made here, or was changed since. */
struct made_bytes {
    const void *p;
    size_t n;
};
bool made_put(struct made *m, const char *name, struct made_bytes bytes, struct err *e);

/* Would made_put() refuse this name, because somebody else has a file of it there? */
bool made_may(struct made *m, const char *name, struct err *e);

/* The next file that an earlier publishing made, that is still there and nobody has changed, from *at
 * on (0 at first); NULL behind the last. What is no longer wanted of them goes at the end. */
const char *made_before(struct made *m, size_t *at);

/* Is the file there, made from the same? Then it is kept. */
bool made_has(struct made *m, const char *name, uint64_t from);
/* What made_has() denied, made now. */
bool made_put_from(struct made *m, const char *name, uint64_t from, struct made_bytes bytes,
                   struct err *e);
/* The same of a file that a function writes by itself, all or nothing: made_begin() first, which
 * gives its path, then made_done(). */
bool made_begin(struct made *m, const char *name, uint64_t from, char **path, struct err *e);
bool made_done(struct made *m, const char *name, uint64_t from, struct err *e);

/* Was everything made last time from the same, and is it still there? Then all of it is kept, and
 * nothing has to be looked at. In any case made_finish() writes `from` down. */
bool made_all(struct made *m, uint64_t from);
/* Does the folder name nobody now? Tells whether that was said of it last time; the last word is kept. */
bool made_quiet(struct made *m, bool quiet);
/* Something could not be made: next time all of it is looked at again. */
void made_lacks(struct made *m);

struct made_report {
    int written, same, gone;
    int left; /* no longer wanted, but changed by somebody since: they stay */
};
/* Takes away what was made before and not now; waits for the disk. */
bool made_finish(struct made *m, struct made_report *out, struct err *e);

#endif
