/* Whom a remark speaks of, by their rows in the show file: the one way to remember people across a
 * reload, since positions in the show move then. */
#ifndef COMMAND_WHO_H
#define COMMAND_WHO_H

#include "mark/mark.h"

struct who {
    int64_t section, performer; /* rows; performer 0: the whole section */
};

struct who who_of(const struct show *show, const struct target *t);
/* False when they are not in the show any more. */
bool who_find(const struct show *show, const struct who *w, struct target *out);
/* Position of a fault or a set by its row; -1 when it is not there any more. */
int fault_of_row(const struct show *show, int64_t id);
int set_of_row(const struct show *show, int64_t id);

#endif
