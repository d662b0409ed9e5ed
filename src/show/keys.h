/* Chord letters of sections and faults; used by the table readers of this room. */
#ifndef SHOW_KEYS_H
#define SHOW_KEYS_H

#include "show/show.h"
#include "show/table.h"

enum { KEY_LONGEST = 4 };

/* Reads a key cell: up to 4 letters a-z (capitals become small), or empty. */
bool key_cell(struct arena *a, const struct table_row *row, int column, const char **out,
              struct err *e);

#endif
