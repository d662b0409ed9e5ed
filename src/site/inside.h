/* What the files of this room share. */
#ifndef SITE_INSIDE_H
#define SITE_INSIDE_H

#include "page/names.h"
#include "page/page.h"
#include "site/publish.h"

/* A moment that a page shows, and what the folder has of it. */
struct need {
    int64_t mark;
    const char *uid;
    int64_t clip, at_us;
    bool still, cut; /* made */
};

struct site_clip {
    struct report_clip c;
    const char *file;  /* "tuesday" for clips/tuesday.mp4 and captions/tuesday.vtt */
    const char *found; /* the file; NULL: it is not there */
    const char *copy;  /* name of the copy in the folder; NULL without one */
    bool hidden;       /* where it lies names somebody: no address for pages without names */
};

struct site {
    struct app *app;
    const struct publish_want *want;
    struct arena *mem; /* as long as the publishing */
    struct made *made;
    struct page_plan *pages;
    size_t n_pages;
    struct site_clip *clips; /* the chosen ones, in time order */
    size_t n_clips;
    struct need *needs; /* by mark, each once */
    size_t n_needs, cap_needs;
    bool labels_only; /* the page that is written names nobody */
    bool was_quiet;   /* the folder named nobody before */
    struct publish_report *out;
};

/* Does somebody want it to stop? Then e->code is ERR_NONE. */
bool site_stopped(const struct site *s, struct err *e);
void site_tell(const struct site *s, const char *what, size_t done, size_t all);
/* Says what could not be made, and that it is to be tried again. */
void site_lacks(struct site *s, const struct err *why);

/* Which pages there are, and which clips. */
bool site_plan(struct site *s, struct err *e);
/* The moments that the pages will show. */
bool site_needs(struct site *s, struct err *e);
/* The clip as the show has it. */
const struct clip *site_stored(const struct site *s, int64_t id);
/* For qsort() of struct need; by it site_need() finds one. */
int site_by_mark(const void *a, const void *b);
const struct need *site_need(const struct site *s, int64_t mark);
/* Pictures, cuts, copies, captions. What cannot be made is said in the report, and goes on. */
bool site_media(struct site *s, struct err *e);
/* The names of their files. */
const char *site_still_name(struct arena *mem, const char *uid);
const char *site_cut_name(struct arena *mem, const char *uid);
bool site_captions(struct site *s, struct err *e);
/* Is there a page that the mark is for? */
bool site_shows(const struct site *s, const struct mark *m);
/* Leaves the others out of a list. */
void site_keep_shown(const struct site *s, struct mark_list *l);
bool site_write_pages(struct site *s, struct err *e);

/* May the pages go that an earlier publishing made and this one does not? Names them in the report. */
bool site_may_go(struct site *s, struct err *e);

/* Names of people in the clips' own names and in the paths that pages would play them from, which
 * pages without names do not have then; a line each in the report. */
bool site_names_of_clips(struct site *s, struct err *e);
/* Names of people that notes of the chosen clips hold, a line each in the report. */
bool site_names_in_notes(struct site *s, struct err *e);

#endif
