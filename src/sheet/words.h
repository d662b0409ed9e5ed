/* What lines of lists say, as text for the pen: tamed, and with marks that keep what
 * is written from right to left from turning what stands beside it. Inner to the room. */
#ifndef SHEET_WORDS_H
#define SHEET_WORDS_H

#include "paper/fixes.h"

/* "!!! serious"; "" for praise. */
const char *words_severity(const struct rank_item *item);
/* "3 marks in 2 of 3 runs: T7 ×2, T3 ×1": no line ends before a number. At most
 * so many of them ("+3 more"). */
enum { WHO_EVERYBODY = 999 };
void words_who(const struct fixes_line *l, size_t most, struct buf *out);
void words_where(const struct fixes_line *l, struct buf *out);
/* "set 3, count 5–8; set 9, count 2 · newest: 0:59.3"; of one moment "set 9, count 2 · 0:59.3" */
void words_places(const struct fixes_line *l, struct buf *out);
/* The same with the newest note: "... · newest: 0:59.3 "breath at count 7"" */
void words_brief(const struct fixes_line *l, struct buf *out);
/* "0:13.0 "breath at count 7"; 0:20.1 ...": the newest `most` in the order of time, and how many are
 * left out ("and 3 earlier notes") */
enum { NOTES_ALL = 1 << 30 };
void words_notes(const struct fixes_line *l, int most, struct buf *out);
void words_measured(const struct fixes_line *l, struct buf *out);
/* "open since 2026-11-24" */
void words_state(const struct fixes_line *l, struct buf *out);
/* "Decided: heels down (A. Quill)", "Right is: ..."; returns how long the bold beginning is. "": 0 */
size_t words_right(const struct fixes_line *l, struct buf *out);
/* The day of the newest clip, "" without one. */
const char *words_newest(const struct fix_report *r);
/* "with all brass", "with the whole ensemble" */
void words_with(const struct fix_report *r, const struct report_part *part, struct buf *out);

#endif
