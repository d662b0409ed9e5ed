/* A commentary's remarks as drafts, each with the words that made it and how sure it is.
 *
 * Nothing is learnt from data that a person could not read: words mean what the tables say
 * (talk/lexicon.h), clauses that speak of one thing are one remark, and the words that lean decide whether
 * it praises. */
#ifndef TALK_UNDERSTAND_H
#define TALK_UNDERSTAND_H

#include "talk/draft.h"
#include "talk/lexicon.h"
#include "talk/timed.h"

/* Between the commentary's clock and the clip's: clip = offset_us + rate * commentary - lead_us. */
struct talk_clock {
    int64_t offset_us;
    double rate;     /* 1: they run alike */
    int64_t lead_us; /* from seeing it to saying it */
};

struct understood {
    struct draft_list drafts;
    size_t n_words, n_known; /* said; of these in the lexicon */
};

/* By time; the lexicon's show is the one they speak of. */
void talk_understand(struct arena *a, const struct lexicon *l, const struct timed *timed,
                     const struct talk_clock *clock, struct understood *out);

#endif
