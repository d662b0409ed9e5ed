/* What is said about a mark that is there. */
#ifndef COMMAND_CHANGE_MARK_H
#define COMMAND_CHANGE_MARK_H

#include "command/desk.h"
#include "mark/mark.h"

/* The chosen mark, or the newest; says so when there is neither. */
struct mark *mark_in_hand(struct desk *d);
/* Changes these fields of a mark as a step of its own named `what`, and shows it as it is then. */
bool change_mark(struct desk *d, int64_t mark, const struct mark_change *c, const char *what);
/* Gives a mark this note, "" takes it away. offered: the note as the person saw it; when somebody
 * wrote another meanwhile, that is said. */
void note_set(struct desk *d, int64_t mark, const char *offered, const char *text);

/* The line that is open names the mark it is about. */
void mark_name_line(struct desk *d, const struct mark *m);

#endif
