/* Writers for the rep plan. */
#ifndef PAPER_PLAN_H
#define PAPER_PLAN_H

#include "base/zone.h"
#include "paper/paper.h"
#include "plan/event.h"

/* Groups by their position; at is NULL where everybody is meant. */
struct plan_parts {
    const int *at;
    size_t n;
};

/* How a plan is printed. */
struct plan_paper {
    const struct plan_report *r;
    bool full;               /* every fix with every moment, everything that is left */
    struct plan_parts parts; /* whose plan it is */
    const char *of;          /* how those groups are called together: "brass" */
};

extern const struct column plan_columns[];

/* The plan for a person, on a page: cautions first when nothing may be done; time, minutes, who,
 * what and why; what the staff must decide before, what is left, what is assumed, cautions. */
void plan_text(const struct plan_paper *p, struct buf *out);
void plan_csv(const struct plan_paper *p, struct buf *out);
/* {start, minutes, gain, blocks, left, heat, caution} */
void plan_json(const struct plan_paper *p, struct buf *out);

/* The plan as a calendar (RFC 5545): an event for the rehearsal, with every caution; one for each
 * block, with those about it; and a cancelled one for each that is gone. Needs the zone's pieces from a day before the rehearsal's to four days after. False when
 * libical cannot be loaded. */
struct plan_calendar {
    const struct plan_paper *paper;
    const struct plan_events *events;
    const char *zone; /* "America/New_York"; NULL: local times of no zone */
    struct zone_spans spans;
};
bool plan_ics(const struct plan_calendar *c, struct buf *out, struct err *e);

/* "rep", "sectional", "fixed", "break", "run"; "rest" for a fixed item that is rest */
const char *plan_block_kind(const struct plan_block *b);
/* Is the block on this paper? */
bool plan_on_paper(const struct plan_paper *p, const struct plan_block *b);

/* What `boxcall tick` calls a block or a chunk of it (NULL: the block): "3", "3.2". */
void plan_number_text(const struct plan_block *b, const struct plan_work *w, struct buf *out);
/* Is the plan's caution of anybody on this paper? What is about blocks of others alone is not. */
bool plan_caution_theirs(const struct plan_paper *p, size_t caution);
/* Of sectionals with nothing to mend and the same to do, only the first is on the page of everyone:
 * does an earlier one speak for it? And whom the first speaks for, with their numbers where they are
 * several: "snares, tenors, drum majors (11-12, 16)". */
bool plan_said_before(const struct plan_paper *p, size_t block);
size_t plan_speaks_for(const struct plan_paper *p, size_t block); /* 1: itself */
void plan_alike_text(const struct plan_paper *p, const struct plan_block *b, struct buf *out);
/* What nobody can rehearse before it is said what right looks like, in a sentence; "" nothing. */
void plan_decide_text(const struct plan_paper *p, struct buf *out);

/* --- words, on paper and on screen ------------------------------------------------------------- */

/* "12 13" */
void plan_sets_text(const struct plan_report *r, const struct plan_work *w, struct buf *out);
/* "set 12 13, 32 counts at 152, 4 reps of 1:05, the first walked at half tempo in 1:30" */
void plan_what_text(const struct plan_report *r, const struct plan_work *w, struct buf *out);
/* "12 13 (32 at 152)" */
void plan_counts_text(const struct plan_report *r, const struct plan_work *w, struct buf *out);
/* "12 13 ×4" */
void plan_times_text(const struct plan_report *r, const struct plan_work *w, struct buf *out);
/* "12 13 (32 at 152) ×4", with a walk: "×4, 1st walked" */
void plan_short_text(const struct plan_report *r, const struct plan_work *w, struct buf *out);
/* "trumpets: late to form (2) 0:13.0 0:14.2; ..." of so many fixes, each with so many moments; 0 is
 * all. */
struct plan_why {
    size_t fixes, moments;
    bool named;              /* with the section each is of */
    struct plan_parts parts; /* only what is of these groups */
};
/* Is the section one of the groups, or one that they belong to? True without groups. */
bool plan_of_parts(const struct plan_report *r, const struct plan_parts *parts, int section);
void plan_why_text(const struct plan_report *r, const struct plan_work *w, struct plan_why how,
                   struct buf *out);
/* The same of everything in a block's list. */
void plan_block_why(const struct plan_report *r, const struct plan_block *b, struct plan_why how,
                    struct buf *out);
/* Why the work's sets are walked first: "set 2: T1 and M4 come within ...". */
void plan_walks_text(const struct plan_report *r, const struct plan_work *w, struct buf *out);
/* What the plan assumes, in sentences. */
void plan_assumed_text(const struct plan_rules *rules, struct buf *out);

#endif
