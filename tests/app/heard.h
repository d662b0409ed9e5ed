/* Drafts for a show as tests have them heard: by the program's own road into the file. */
#ifndef APP_HEARD_H
#define APP_HEARD_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "app/drafts.h"
#include "lib/files.h"

struct heard {
    double s;                        /* seen then; said 0.6 s later, for two seconds */
    const char *who, *fault, *quote; /* "T3;tubas"; "" nobody, none */
    double sure;
    double counts; /* late by so many, 0: not said */
};

static inline struct draft heard_draft(const struct show *show, const struct heard *h)
{
    struct err e = {0};
    const char **words = arena_alloc(test_arena(), 2 * sizeof *words);
    words[0] = arena_printf(test_arena(), "%s: %s", *h->fault ? h->fault : "?", h->quote);
    words[1] = arena_printf(test_arena(), "%s: in the talk", *h->who ? h->who : "?");
    struct draft d = {.at_us = (int64_t)(h->s * 1e6),
                      .end_us = (int64_t)(h->s * 1e6) + 2600000,
                      .said_us = (int64_t)(h->s * 1e6) + 600000,
                      .fault = *h->fault ? show_fault(show, h->fault) : -1,
                      .severity = 1,
                      .size = h->counts,
                      .unit = h->counts != 0 ? DRAFT_COUNTS : DRAFT_NO_SIZE,
                      .confidence = h->sure,
                      .quote = h->quote,
                      .words = words,
                      .n_words = 2};
    const struct target *t =
        *h->who ? targets_parse(test_arena(), show, h->who, &d.n_targets, &e) : NULL;
    if (*e.text || (*h->fault && d.fault < 0))
        fail_msg("%s, %s: %s", h->who, h->fault, e.text);
    struct draft_target *mine = arena_alloc(test_arena(), (d.n_targets + 1) * sizeof *mine);
    for (size_t i = 0; i < d.n_targets; i++)
        mine[i] = (struct draft_target){t[i].section, t[i].performer};
    d.targets = mine;
    return d;
}

/* "tuesday.vtt" is heard (again) for the clip of that label. */
static inline struct drafts_report hear(const char *show, const char *clip, const struct heard *at,
                                        size_t n)
{
    struct app app;
    struct err e = {0};
    struct drafts_report r = {0};
    struct draft *all = arena_alloc(test_arena(), (n + 1) * sizeof *all);
    if (!app_open(&app, show, &e))
        fail_msg("%s", e.text);
    const struct clip *c = clip_named(&app.clips, clip, &e);
    if (!c)
        fail_msg("%s", e.text);
    for (size_t i = 0; i < n; i++)
        all[i] = heard_draft(&app.show, &at[i]);
    struct draft_source src = {.clip = c->id,
                               .kind = "commentary",
                               .name = "tuesday.vtt",
                               .path = "/talk/tuesday.vtt",
                               .digest = "d1",
                               .rate = 1};
    if (!app_drafts_put(&app, &src, &(struct draft_list){all, n}, &r, &e))
        fail_msg("%s", e.text);
    app_close(&app);
    return r;
}

#endif
