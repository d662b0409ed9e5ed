/* A plan as the events of a calendar, one for the rehearsal and one for each block: which is which from one plan of a day to the
 * next, and those that there were and are not any more. */
#ifndef PLAN_EVENT_H
#define PLAN_EVENT_H

#include <stdint.h>

#include "plan/report.h"

enum { EVENT_UID = 37 };
enum { PLAN_FRAME = -1 }; /* beside enum plan_kind: the whole rehearsal */

/* A block that an earlier plan of the day had. */
struct plan_gone {
    const char *uid;
    int start_min;        /* of its plan */
    int start_s, seconds; /* as in a block */
    const char *who;      /* the section of a sectional; "" for everyone */
    const char *title;
};

struct plan_events {
    const char *show_uuid; /* the same in all copies of a show */
    int64_t made_ms;       /* when the plan was stored, ms since 1970 UTC */
    int sequence;          /* rises with every plan of the day that is stored */
    const struct plan_gone *gone;
    size_t n_gone;
};

/* What tells the blocks of a plan apart: the first rep block, the second; a section's sectional; a
 * fixed item by its name. Not the sets and not the hour, so that the next plan's first block takes
 * the place of this one's in a calendar and nothing stays behind of it. */
struct plan_event {
    int kind;         /* enum plan_kind, or PLAN_FRAME */
    const char *name; /* the section of a sectional, what is fixed; else "" */
    int number;       /* among those of that kind and name, from 0 */
};
struct plan_event plan_event_of(const struct plan_report *r, size_t block);
struct plan_event plan_event_frame(void);
/* A UUID of version 8 (RFC 9562, section 5.8) of show, day and event. */
void plan_event_uid(const char *show_uuid, const char *date, const struct plan_event *event,
                    char out[EVENT_UID]);

/* "Sets 12-14", "Set 12", "Sectional: trumpets", "Break", "Run of the show", "warm-up", of the
 * frame "Rehearsal: Larkspur"; first and last are labels of sets, "" for none. */
struct plan_title {
    int kind; /* enum plan_kind, or PLAN_FRAME */
    const char *name, *first, *last;
};
void plan_title_text(const struct plan_title *t, struct buf *out);

#endif
