/* One file out of a ZIP archive, in memory (PKWARE's APPNOTE.TXT 6.3, 4.3.7, 4.3.12, 4.3.16: from
 * memory; checked against zip(1) in the tests). A name in the archive is compared and never used as
 * a path. Inner to the room. */
#ifndef SCORE_ZIP_H
#define SCORE_ZIP_H

#include "base/buf.h"
#include "score/score.h"

/* Appends the bytes of the file of that name: stored or deflated, at most SCORE_BYTES, and, beyond
 * 1 MB, at most 200 times what they take in the archive. *found is false, and nothing is wrong, when
 * there is none. False: encrypted, damaged, cut, too large. */
bool zip_take(const struct table_text *archive, const char *name, struct buf *out, bool *found,
              struct err *e);

#endif
