/* What the JSON writers of this room share (RFC 8259 through jansson). */
#ifndef PAPER_JSON_H
#define PAPER_JSON_H

#include <jansson.h>

#include "paper/paper.h"

json_t *json_text(const char *s);
json_t *json_set(const struct show *show, int set); /* label or null */
/* Members of o: "set", a label or null; "count", null outside counts; "hold", is it in a hold? */
void json_place(json_t *o, const struct show *show, int set, double count);
/* Members of o: "late_counts" and "late_error", "measure" (null, or its kind, value, error and of),
 * "across", "depth" and "spot"; null what is not known. */
void json_measured(json_t *o, const struct show *show, const struct mark *m);
void json_put(json_t *root, struct buf *out); /* takes the reference */

#endif
