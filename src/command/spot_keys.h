/* A crossing of painted lines in two or three keys: its yard line, then its row.
 *
 *     3 5 f   the 35 and the front hash       4 s   the 40 and the front sideline
 *
 * Rows: s front sideline, n the top of its numbers, f front hash, b back hash, m the top of the back
 * numbers, k back sideline. 5 is the 50, 0 the goal line, 05 the 5. */
#ifndef COMMAND_SPOT_KEYS_H
#define COMMAND_SPOT_KEYS_H

#include "field/ghost.h"
#include "show/grid.h"

enum spot_keys { SPOT_KEYS_MORE, SPOT_KEYS_DONE, SPOT_KEYS_WRONG };

/* The tops of the numbers stand nine yards from their sideline (NCAA football rule 1-2-1; from
 * memory). */
#define NUMBERS_TOP_IN 324.0

/* side: 1 or 2, of every line but the 50. *out in grid steps. Football fields only. */
enum spot_keys spot_keys_read(const struct grid *g, const char *keys, int side,
                              struct dot_place *out);
/* "35", "35 front hash": what was typed so far. */
void spot_keys_said(const char *keys, int side, char out[48]);

#endif
