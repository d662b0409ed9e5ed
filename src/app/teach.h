/* Words that the show learns: what corrections propose, one that is taken up, and what waits heard again
 * in the new words. Nothing is added unasked. */
#ifndef APP_TEACH_H
#define APP_TEACH_H

#include "app/app.h"
#include "app/drafts.h"
#include "talk/teach.h"

/* --- proposed -------------------------------------------------------------------------------- */

/* What was heard, and what somebody made of it. Lives as long as the draft. */
struct correction correction_of(const struct stored_draft *d);
/* Of all drafts of the show that were not dropped. */
bool app_corrections(struct app *a, struct arena *mem, struct corrections *out, struct err *e);

/* --- taken up -------------------------------------------------------------------------------- */

struct teach {
    bool section;
    int of; /* the fault or section: a position in the app's show */
    const char *words;
};

/* A step "teach 'plumbing' for horn angle", added to what stands in the file now. False with ERR_INPUT
 * where the words are none, too long, or another's. The app's show is stale afterwards. */
bool app_teach(struct app *a, const struct teach *t, struct err *e);

/* The source of drafts heard again. */
struct heard_again {
    bool done; /* else its file is another now, or cannot be read */
    struct drafts_report report;
};
/* The same, and within the step the drafts of that source and clip are brought up to date, with the
 * clock and the lead that they were heard with. */
bool app_teach_hear(struct app *a, const struct teach *t, const struct draft_source *src,
                    struct heard_again *out, struct err *e);

#endif
