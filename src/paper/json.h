/* What the JSON writers of this room share (RFC 8259 through jansson). */
#ifndef PAPER_JSON_H
#define PAPER_JSON_H

#include <jansson.h>

#include "paper/paper.h"

json_t *json_text(const char *s);
json_t *json_set(const struct show *show, int set); /* label or null */
json_t *json_count(int set, double count);          /* number or null */
void json_put(json_t *root, struct buf *out);       /* takes the reference */

#endif
