/* The fix list on the desk: whose it is, and which line and moment are chosen. */
#ifndef COMMAND_FIXES_H
#define COMMAND_FIXES_H

#include "command/desk.h"
#include "rank/history.h"

/* What a line is, whatever its number. */
struct line_name {
    int64_t section, fault; /* rows; section 0: the list's own */
    bool praise, there;
};

struct fixes {
    bool
        shown; /* by its screen, which says so; what is not shown is let go when the show is read */
    struct arena memory;
    bool define;                   /* of what waits for a decision, and what was decided */
    struct fix_report report;      /* of `define`: the asking marks */
    struct history_report history; /* of its own lines */
    struct report_part decided;    /* with `define`: below all others */
    char for_whom[200];
    size_t line, moment;
    struct line_name name; /* of the line */
    int64_t asked;         /* row of the fault that the open line is about */
};

const struct fixes *fixes_now(const struct desk *d);
/* Which list the next fixes_load() reads. */
void fixes_choose_define(struct desk *d, bool define);
/* Reads the list for somebody ("" everybody); false, and said, when there is no such. */
bool fixes_load(struct desk *d, const char *for_whom);
/* The same from its first line on. */
bool fixes_turn(struct desk *d, const char *for_whom);
void fixes_shown(struct desk *d, bool shown);
/* The chosen line from rehearsal to rehearsal; NULL where it has no history (a line of the groups
 * above, praise). */
const struct line_history *fixes_history(const struct desk *d);
/* Chooses a line by its number, and its moment. */
void fixes_choose(struct desk *d, size_t line, size_t moment);
size_t fixes_lines(const struct desk *d);
/* The line's item and the part of the report it stands in; NULL past the end. */
const struct rank_item *fixes_item(const struct desk *d, size_t line, const struct report_part **p);
/* How many moments the chosen line has, and the chosen one (NULL: none). */
size_t fixes_moments(const struct desk *d, const struct report_moment **nth);

#endif
