/* The open show: its file, its values, its clips. No curses here; owned by main. */
#ifndef APP_APP_H
#define APP_APP_H

#include "base/arena.h"
#include "base/err.h"
#include "rank/report.h"
#include "show/show.h"
#include "store/store.h"

struct app {
    struct store *store;
    struct arena memory; /* of show, clips and title; renewed by app_reload() */
    struct show show;
    struct clip_list clips;
    const char *title;
    const char *link_from; /* absolute folder that links of lists are relative to; NULL: as stored,
                            * from the show's folder when the clip lies in it */
    int64_t version;       /* of the file when show and clips were read; see store_version() */
};

bool app_open(struct app *a, const char *path, struct err *e);
bool app_reload(struct app *a, struct err *e);
void app_close(struct app *a); /* accepts a zeroed struct */
/* Writes a copy of the show. When the file was moved away or written over, work goes on in the
 * copy from then on; the show is read again. */
bool app_move_to(struct app *a, const char *path, struct err *e);

/* Who sits here: BOXCALL_AUTHOR, else the login name. */
const char *app_author(void);

/* The clip's file, found again when it was moved or renamed: the stored path, then the show's
 * folder, by name and then by size and digest. NULL with e set. The text lives in `memory`. */
const char *app_clip_path(struct app *a, const struct clip *c, struct err *e);

/* The same at once, without looking into any file: where the clip goes with the show's folder, else
 * the stored path; NULL when no file is there. */
const char *app_clip_here(const struct app *a, struct arena *mem, const struct clip *c);

/* --- fix lists ------------------------------------------------------------------------------ */

struct fix_choice {
    const char *for_whom;     /* section or performer; NULL or "" for the ensemble */
    const char *const *clips; /* labels, paths or ids; none means all */
    size_t n_clips;
    const char *since; /* YYYY-MM-DD, NULL */
    const char *date;  /* only clips of this date, NULL */
    enum rank_by by;
    bool moments;     /* gather every moment */
    bool labels_only; /* nobody is named who set a state */
    enum {
        CHOOSE_ALL,
        CHOOSE_ASKED,   /* only marks that wait for the staff's decision: their cause is define and
                         * they were made after the last decision about their fault, if any */
        CHOOSE_DECIDED, /* only marks of cause define that a decision has answered */
    } define;
};

bool app_fixes(struct app *a, const struct fix_choice *choice, struct arena *mem,
               struct fix_report *out, struct err *e);

/* A time of the clip as typed: 358.2, 5:58.2, 0:05:58.200, 1234f or SMPTE 00:01:00;02. */
/* Which sections marks mean, by position; in the arena. */
bool app_marked(struct app *a, struct arena *mem, const bool **out, struct err *e);

bool app_clip_time(const struct clip *c, const char *text, int64_t *us, struct err *e);

/* As a list speaks of it; its link is relative to app.link_from. */
struct report_clip app_report_clip(const struct app *a, struct arena *mem, const struct clip *c);

/* RFC 3339 of ms since 1970 UTC, with the offset of this laptop, so that its date is the one people
 * had; "" for a time that no calendar has. */
const char *app_local_time(struct arena *mem, int64_t ms);

/* Is it a date YYYY-MM-DD of the calendar? */
bool date_check(const char *text, const char *what, struct err *e);

/* Every mark that is seen for a section, whole band too. */
struct seen_choice app_all_seen(const struct app *a, struct arena *mem);

#endif
