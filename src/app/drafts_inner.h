/* Shared by the files about drafts. */
#ifndef APP_DRAFTS_INNER_H
#define APP_DRAFTS_INNER_H

#include "app/drafts.h"

/* A step about one draft, named "draft 0:13.4 T3, horn angle: WHAT" ("WHAT 0:13.4 ..." with
 * `before`). */
struct draft_step {
    int64_t draft;
    const char *what;
    bool before;
    store_step_fn *change;
};
bool draft_step(struct app *a, const struct draft_step *step, void *ctx, struct err *e);

/* A media time of the clip by the source's clock, and back. */
int64_t draft_said_at(const struct draft_source *src, int64_t media_us);
int64_t draft_media_at(const struct draft_source *src, int64_t said_us);
/* The source of a draft; false with ERR_FAILED when it is not there. */
bool draft_source_of(struct app *a, const struct stored_draft *d, struct arena *mem,
                     struct draft_source *out, struct err *e);

#endif
