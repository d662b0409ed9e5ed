/* Drafts of the small band, for tests of what is done with them. */
#ifndef STORE_DRAFTS_H
#define STORE_DRAFTS_H

#include "store/draft.h"
#include "store/season.h"

/* "T1;tubas" as the targets of a draft, which live until the test program ends. */
static inline void draft_whom(const struct show *show, const char *who, struct draft *d)
{
    struct err e = {0};
    const struct target *t = targets_parse(test_arena(), show, who, &d->n_targets, &e);
    if (!t)
        fail_msg("%s", e.text);
    struct draft_target *mine = arena_alloc(test_arena(), d->n_targets * sizeof *mine);
    for (size_t i = 0; i < d->n_targets; i++)
        mine[i] = (struct draft_target){t[i].section, t[i].performer};
    d->targets = mine;
}

/* Said from `s` on for two seconds, seen 0.6 s before. who "": nobody; fault "": none. */
static inline struct draft draft_of(const struct show *show, const char *who, const char *fault,
                                    double s)
{
    static const char *const words[] = {"angle: bells", "trumpets: trumpets"};
    struct draft d = {.at_us = (int64_t)(s * 1e6) - 600000,
                      .end_us = (int64_t)(s * 1e6) + 2000000,
                      .said_us = (int64_t)(s * 1e6),
                      .fault = *fault ? show_fault(show, fault) : -1,
                      .severity = 1,
                      .confidence = 0.75,
                      .quote = "bells up trumpets please",
                      .words = words,
                      .n_words = 2};
    if (*who)
        draft_whom(show, who, &d);
    return d;
}

#endif
