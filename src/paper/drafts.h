/* Drafts of marks: what a commentary proposes, before anybody accepted it. */
#ifndef PAPER_DRAFTS_H
#define PAPER_DRAFTS_H

#include "base/buf.h"
#include "paper/column.h"
#include "show/show.h"
#include "talk/draft.h"

extern const struct column drafts_columns[];

void drafts_text(const struct show *show, const struct draft_list *l, struct buf *out);
void drafts_csv(const struct show *show, const struct draft_list *l, struct buf *out);
void drafts_json(const struct show *show, const struct draft_list *l, struct buf *out);

#endif
