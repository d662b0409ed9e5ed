/* One line of a fix list, as writers and screens take it, and what it says in words: the same on a
 * sheet, in a table, and on the screen. */
#ifndef PAPER_FIXES_H
#define PAPER_FIXES_H

#include "paper/column.h"
#include "paper/flow.h"
#include "paper/paper.h"

struct fixes_line {
    const struct fix_report *r;
    const struct fixes_style *style; /* may be NULL in CSV, which has no names of people */
    const struct report_part *part;
    const struct rank_item *item;
};

/* The moments a line stands for, of its marks that are not yet clean; of all when all are. Goes on
 * from *at (0 at first); NULL behind the last. */
const struct report_moment *fixes_next(const struct fixes_line *l, size_t *at);
/* How many there are. */
size_t fixes_moment_count(const struct fixes_line *l);

/* "T7 ×2, trumpets ×1": who, most marks first, at most `most` of them ("+3 more"). */
enum { WHO_PERFORMERS = 1, WHO_SECTIONS = 2, WHO_ALL = 3 };
void fixes_who(const struct show *show, const struct rank_item *item, int which, size_t most,
               struct flow *f);
/* "set 3, count 5–8: 0:13.0 0:14.2; set 9, count 2: 0:59.3": every moment, by set. Times are links
 * when the style says so. */
void fixes_where(const struct fixes_line *l, struct flow *f);
/* "set 3, count 5–8; set 9, count 2": the same without the times. */
void fixes_places(const struct fixes_line *l, struct flow *f);
/* "0:13.0 "breath at count 7"": the note of a moment; false when it has none. */
bool fixes_note(const struct fixes_line *l, const struct report_moment *m, struct flow *f);
/* All notes of the line, "; " between them. */
void fixes_notes(const struct fixes_line *l, struct buf *out);
/* The moment as a mark, for writers of marks. */
struct mark fixes_mark(const struct report_moment *m);
/* "early by 2.1 ± 0.3 counts; interval 1.4 ± 0.2 of 2, at side 1, on 35; on front hash": what is known
 * of a moment; nothing where nothing is. */
void fixes_figures(const struct fixes_line *l, const struct report_moment *m, struct buf *out);
/* "early by 2.1 ± 0.3 counts at 0:13.0 and interval 1.4 ± 0.2 of 2 at 0:15.2 (the furthest off of 3)":
 * what was measured, in a flow that has not begun: every lateness, and the one that is furthest off of
 * each other kind. False when nothing was. */
bool fixes_measured(const struct fixes_line *l, struct flow *f);
/* "open since 2026-11-24", "repped 2026-11-26 (Ana Quill)", "back since ..., was clean ...". */
void fixes_state(const struct fixes_line *l, struct flow *f);
/* The date that fixes_state() names first; nothing when it is not known. */
void fixes_since(const struct fixes_line *l, struct buf *out);
/* "3 marks", "3 marks in 2 of 4 runs" */
void fixes_often(const struct fixes_line *l, struct flow *f);
/* "Lines 2 to 6 are about equally frequent: their order may be chance."; "" when the order of all
 * is clear. */
void fixes_equal(const struct rank_list *l, struct buf *out);

/* "12.0 of 20.0 minutes were watched.", and whether the list rests on little */
void fixes_cover(const struct fix_report *r, struct buf *out);

/* Members of a JSON object that are lists, of a struct fixes_line. */
struct json_t;
void fixes_performers_json(const void *row, struct json_t *o);
void fixes_sections_json(const void *row, struct json_t *o);
void fixes_moments_json(const void *row, struct json_t *o);
void fixes_history_json(const void *row, struct json_t *o);
void fixes_sets_json(const void *row, struct json_t *o);

/* The sheet (one or more lines of text for a fault), the table of `brief`, and what stands under
 * both. */
void fixes_sheet(const struct fix_report *r, const struct report_part *part,
                 const struct fixes_style *style, struct buf *out);
void fixes_brief(const struct fix_report *r, const struct report_part *part,
                 const struct fixes_style *style, struct buf *out);

/* "tuesday 5:58.2", "5:58.2" of a list over one clip. */
void fixes_moment(const struct fix_report *r, struct when at, struct buf *out);

#endif
