/* Drafts on their way into the show, put right there, and out of it as marks. Each function that
 * writes is one step of undo, with a name that says what it was. */
#ifndef APP_DRAFTS_H
#define APP_DRAFTS_H

#include "app/app.h"
#include "base/buf.h"
#include "store/draft.h"

/* --- heard ----------------------------------------------------------------------------------- */

struct drafts_report {
    size_t added, renewed; /* renewed: they wait, nobody touched them, and they are others now */
    size_t gone;           /* they waited, nobody touched them, and are not proposed any more */
    size_t twice; /* proposed, but another source proposed these words at that moment already */
    size_t kept;  /* proposed, but of talk that somebody accepted, dropped or changed already */
};

/* What a source proposes for a clip (source->clip), all of it. The same content (digest) or the same
 * path for the same clip is the same source, which is heard again: what waits untouched is brought up
 * to date; what was accepted, dropped or changed stays, and talk that overlaps it by the source's own
 * clock is not proposed again. Where nothing differs, nothing is written. The end of a draft by that
 * clock follows from its end_us and the source's offset and rate. source->id is set. */
bool app_drafts_put(struct app *a, struct draft_source *source, const struct draft_list *l,
                    struct drafts_report *out, struct err *e);

/* --- in words -------------------------------------------------------------------------------- */

/* "T3, T5", "one of trumpets", "?" for nobody. */
void draft_who(const struct show *show, const struct draft *d, struct buf *out);
/* "horn angle", "keep horn angle", "?" */
void draft_what(const struct show *show, const struct draft *d, struct buf *out);
/* "0:13.4 T3, horn angle" */
void draft_describe(const struct show *show, const struct draft *d, struct buf *out);

/* --- accepted -------------------------------------------------------------------------------- */

/* What a draft lacks to be a mark: whom and what it speaks of must be in use in the show. */
enum draft_lack { DRAFT_LACKS_NOTHING, DRAFT_LACKS_WHO, DRAFT_LACKS_FAULT };
enum draft_lack draft_lacks(const struct show *show, const struct draft *d);

/* Makes it an ordinary mark of who sits here, placed in the drill: its note is the quote, behind the
 * size that was said ("2 counts: ..."), since what somebody estimated was not measured. One unnamed
 * performer becomes a mark on the section. *now lives in mem. */
bool app_draft_accept(struct app *a, int64_t draft, struct arena *mem, struct mark *now,
                      struct err *e);
struct drafts_accepted {
    size_t accepted, lacking, below; /* lacking: no fault or nobody; below: less sure */
};
/* All of a clip that wait and are at least as sure (0 .. 1), in one step. */
bool app_drafts_accept(struct app *a, int64_t clip, double at_least, struct drafts_accepted *out,
                       struct err *e);

/* --- put right ------------------------------------------------------------------------------- */

bool app_draft_drop(struct app *a, int64_t draft, struct err *e);
/* `what` says it for undo ("severity 2"). A cause that was its fault's own follows a new fault. */
bool app_draft_change(struct app *a, int64_t draft, const struct draft_change *c, const char *what,
                      struct err *e);
/* Several targets: a draft for each. One: the quote is divided at a moment of the clip, where it lies
 * within the talk, else in its middle; both have its target and fault. The first keeps the row. */
bool app_draft_split(struct app *a, int64_t draft, int64_t at_us, size_t *parts, struct err *e);
/* With the next that waits and comes from the same source: the targets of both, one quote behind the
 * other, the fault of the one that has one. The row is that of the earlier; `both` says what was joined.
 * ERR_INPUT where a fault or a moment would be lost: both have one and they differ, or the later is of
 * more than DRAFT_JOIN_US after the earlier. */
enum { DRAFT_JOIN_US = 30000000 };
bool app_draft_join(struct app *a, int64_t draft, struct buf *both, struct err *e);

#endif
