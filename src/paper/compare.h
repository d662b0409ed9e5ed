/* Writers for `boxcall compare`. */
#ifndef PAPER_COMPARE_H
#define PAPER_COMPARE_H

#include "paper/paper.h"
#include "rank/compare.h"

extern const struct column compare_columns[];

/* Of the part number i: a section or a performer. */
const char *compare_who(const struct comparison *c, size_t i);
/* Is the verdict that something changed, beyond noise? */
bool compare_changed(const struct change *x);

/* Parts of it, whole lines: what is compared; what is not shown, and how it can be ("--all"); how
 * many marks a halving takes. */
void compare_basis(const struct comparison *c, struct buf *out);
void compare_rest(const struct comparison *c, bool all, const char *how, struct buf *out);
void compare_halving(const struct comparison *c, int width, struct buf *out);

/* all: also the lines that did not change beyond noise. */
void compare_text(const struct comparison *c, bool all, struct buf *out);
void compare_csv(const struct comparison *c, struct buf *out);
void compare_json(const struct comparison *c, struct buf *out);

#endif
