/* How people get to a set, as staff write it in the table of sets. Nothing: everybody straight, in
 * equal steps. Else items with ';' between them:
 *
 *   hold 8            everybody stands for the first 8 counts, then moves
 *   halt 4            everybody is there 4 counts before the end, and stands
 *   follow T1-T8      follow the leader: T1 leads, T2 comes behind, and so on
 *   follow T1 T3 T2   the same by name; several files may go at once
 *
 * A range runs by number within one prefix, up or down (T8-T1: T8 leads; T1-8 is T1-T8). */
#ifndef SHOW_PATH_H
#define SHOW_PATH_H

#include <stdbool.h>
#include <stddef.h>

#include "base/arena.h"
#include "base/err.h"

struct buf;
struct set;
struct set_list;
struct show;

enum { PATH_FILE_MOST = 400 };

struct path_file {
    const char **labels; /* the leader's first; each once; blanks around them are gone */
    size_t n;            /* 2..PATH_FILE_MOST */
};

struct path {
    int hold, halt; /* counts; together less than the set has, unless both are 0 */
    struct path_file *files;
    size_t n_files;
};

/* text: NULL is "". counts: of the set; -1: not known, so nothing is said of them. False with ERR_INPUT: what is wrong
 * and what may be written; *out is empty then. Are they on the roster? path_read() does not know. */
bool path_read(struct arena *a, const char *text, int counts, struct path *out, struct err *e);

/* Does the path of every set fit its counts, those that a table left as they were too? Else false
 * with the set's place. */
bool sets_check_paths(const struct set_list *l, const char *source, struct err *e);

/* What becomes of a set's path when people walk: "set 5: its path names T9, U3, who are not on the
 * roster". False, and nothing added, when there is nothing to say. */
bool path_note(const struct show *show, const struct set *set, struct buf *out);

#endif
