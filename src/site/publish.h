/* A web folder of the show: an index, a page for each section, pictures of the moments, the clips or
 * parts of them, captions for players. What is not changed is not written; see site/made.h. */
#ifndef SITE_PUBLISH_H
#define SITE_PUBLISH_H

#include <stdatomic.h>

#include "app/app.h"
#include "site/made.h"

enum publish_clips {
    PUBLISH_LINK, /* pages play the clips where they lie */
    PUBLISH_COPY, /* a copy of each clip in the folder, its marks as chapters */
    PUBLISH_CUT,  /* a short clip for each moment */
    PUBLISH_NONE, /* pictures alone */
};
bool publish_clips_named(const char *name, enum publish_clips *out);

struct publish_want {
    const char *folder;
    struct fix_choice choice; /* which clips, in which order; for_whom is not looked at */
    const char *const *whom;  /* sections and performers; none: every section */
    size_t n_whom;
    enum publish_clips clips;
    bool performers;           /* a page for each performer too, who has marks */
    bool labels_only;          /* no names of people; performers' pages never have any */
    bool one_file;             /* each page is whole in itself, with its pictures and its cuts */
    bool yes;                  /* pages made before and not asked for now may go */
    bool (*ask)(const char *); /* else it is asked here; NULL: it is refused */
    const char *url;           /* where the folder will be found, "" */
    const atomic_bool *cancel; /* may be NULL */
    /* Told as the work goes on: what ("pictures"), and how much of it. May be NULL. */
    void (*progress)(void *user, const char *what, size_t done, size_t all);
    void *user;
};

struct publish_page {
    const char *address;    /* under url, or a path */
    const char *file, *who; /* "trumpets.html", "trumpets"; who is NULL: the index */
    int64_t bytes;
};

struct publish_report {
    struct made_report files;
    const struct publish_page *pages; /* the index first */
    size_t n_pages;
    struct buf going;   /* pages that were taken away: "a.html, b.html and 7 more pages" */
    struct buf trouble; /* a line each: clips that are not there, names in notes ... */
};

/* False with e->code ERR_NONE: it was cancelled; what is in the folder is whole, and the next
 * publishing goes on from there. The report's texts live in mem; its buffers are the caller's, also after a failure. */
bool publish(struct app *a, const struct publish_want *want, struct arena *mem,
             struct publish_report *out, struct err *e);

#endif
