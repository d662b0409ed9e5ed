/* Drafts in the show file: what was proposed for a clip, out of which source, and what became of it. */
#ifndef STORE_DRAFT_H
#define STORE_DRAFT_H

#include "store/store.h"
#include "talk/draft.h"

/* What proposes drafts for a clip: a commentary, spoken calls. */
struct draft_source {
    int64_t id; /* 0 before it was stored */
    int64_t clip;
    const char *kind;   /* "commentary", "voice" */
    const char *name;   /* as people read it */
    const char *path;   /* absolute; "" without a file */
    const char *digest; /* SHA-256 of its content in hex; "" not known */
    int64_t offset_us;  /* media time of the clip at the beginning of the source's own clock */
    double rate;        /* seconds of the clip in a second of that clock, > 0 */
    const char *author; /* told by the store, as is made_at (ms since 1970 UTC) */
    int64_t made_at;
};
struct draft_source_list {
    struct draft_source *at; /* as they were made */
    size_t n;
};

enum draft_state { DRAFT_WAITS, DRAFT_ACCEPTED, DRAFT_DROPPED };

struct stored_draft {
    int64_t id, clip, source; /* rows */
    struct draft d;           /* as it is now */
    int64_t said_end_us;      /* when it was said, by the source's clock, with d.said_us */
    enum draft_state state;
    int64_t mark;    /* row of the mark that it became; 0 none */
    bool touched;    /* somebody changed it: hearing the source again leaves it alone */
    int heard_fault; /* as it was proposed; -1 none, or none that is in the show any more */
    const struct draft_target *heard;
    size_t n_heard;
    const char *author; /* who had it heard */
    int64_t made_at, changed_at;
};
struct stored_draft_list {
    struct stored_draft *at; /* by d.at_us, then as they were made */
    size_t n;
};

bool store_draft_sources(struct store *s, struct arena *a, int64_t clip,
                         struct draft_source_list *out, struct err *e);
/* Inserts (id 0, and gets its own) or updates. */
bool store_draft_source_put(struct store *s, struct draft_source *src, struct err *e);

struct draft_choice {
    int64_t clip;
    int64_t source; /* 0: any */
    bool waiting;   /* only those that wait */
};
bool store_drafts(struct store *s, struct arena *a, const struct draft_choice *choice,
                  struct stored_draft_list *out, struct err *e);
/* False with ERR_INPUT when it is not there any more. */
bool store_draft_one(struct store *s, struct arena *a, int64_t id, struct stored_draft *out,
                     struct err *e);
struct draft_counts {
    int64_t waiting, accepted, dropped;
};
bool store_draft_counts(struct store *s, int64_t clip, struct draft_counts *out, struct err *e);
/* Drafts that wait, by clip; clips without are left out. */
bool store_each_clip_drafts(struct store *s, void (*fn)(void *ctx, int64_t clip, int64_t waiting),
                            void *ctx, struct err *e);

/* A new draft that waits; it gets its row. What is heard of it is d's own, unless n_heard > 0. */
bool store_draft_add(struct store *s, const struct show *show, struct stored_draft *d,
                     struct err *e);
/* What is proposed now takes the place of all that was proposed; only while it waits. */
bool store_draft_renew(struct store *s, const struct show *show, const struct stored_draft *d,
                       struct err *e);
bool store_draft_remove(struct store *s, int64_t id, struct err *e);

/* Which part of the talk a draft is. */
struct draft_part {
    int64_t at_us, end_us, said_us, said_end_us;
    const char *quote;
    const char *const *words;
    size_t n_words;
};
/* What somebody changes; all else stays as it is in the file. Only while it waits. */
struct draft_change {
    unsigned fields; /* DRAFT_... below */
    const struct draft_target *targets;
    size_t n_targets;
    bool one;  /* with DRAFT_WHO */
    int fault; /* -1: none */
    bool praise;
    int severity;
    enum cause cause;
    struct draft_part part;
};
enum {
    DRAFT_WHO = 1,
    DRAFT_FAULT = 2,
    DRAFT_PRAISE = 4,
    DRAFT_SEVERITY = 8,
    DRAFT_CAUSE = 16,
    DRAFT_PART = 32,
};
bool store_draft_change(struct store *s, const struct show *show, int64_t id,
                        const struct draft_change *c, struct err *e);
/* It waits no more: dropped, or accepted as that mark. */
bool store_draft_settle(struct store *s, int64_t id, enum draft_state state, int64_t mark,
                        struct err *e);

#endif
