/* The reaction lead: measured as the job is, by dots that slip (mark/slip.h) and are named by a
 * chord. From the picture that first shows a slip to the chord's first key, since that key's moment
 * is a mark's; what the terminal and the keyboard take is in both. Nothing changes until the person
 * chooses. */
#ifndef COMMAND_LEAD_H
#define COMMAND_LEAD_H

#include "command/desk.h"
#include "mark/slip.h"
#include "rank/stat.h"

enum {
    LEAD_TRIES = 9, /* right answers; their 2nd to 8th hold the median with 96 % */
    LEAD_PATIENCE_US = 4000000,
};

enum lead_phase {
    LEAD_IDLE,
    LEAD_READY,  /* the dots march, for the person to look at */
    LEAD_MARCH,  /* somebody will slip */
    LEAD_SLIP,   /* and did */
    LEAD_NAMING, /* the chord is open */
    LEAD_DONE,   /* the result is shown */
};

struct lead_result {
    bool is;
    double ms[LEAD_TRIES]; /* from the fastest to the slowest */
    struct stat_median median;
    int spoilt;
};

struct lead_trial {
    enum lead_phase phase;
    struct slip_field field;
    struct slip_try slip;
    uint64_t chance;
    int64_t began_us, now_us; /* the march, and what is drawn of it; monotonic */
    int64_t seen_us;          /* when the slip was drawn first */
    double first_ms;          /* from then to the first key of the open chord */
    int n, spoilt;            /* answers that count, and that do not */
    double ms[LEAD_TRIES];
    struct lead_result result; /* the last one that was measured to its end */
    /* Rows of the field's sections and faults, while the show is read again. */
    int64_t sections[SLIP_GROUPS], faults[SLIP_KINDS];
};

const struct lead_trial *lead_trial(const struct desk *d);
/* Letters and digits, while it is measured; false: not meant for it. */
bool lead_key(struct desk *d, const char *key, int64_t now_us);
void lead_tick(struct desk *d, int64_t now_us);
void lead_left(struct desk *d); /* its screen was */

/* What a lead would do to a mark, at normal speed: one typed at at_us (the playhead, or an example
 * where that has no room for it) would be there_us, and this many counts earlier than with the
 * default. bpm is 0, and counts say nothing, where no tempo is known. */
struct lead_effect {
    int64_t at_us, there_us;
    double bpm, earlier;
};
struct lead_effect lead_effect(const struct desk *d, double lead_ms);

#endif
