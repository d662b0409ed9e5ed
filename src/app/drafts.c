/* What a source proposes, the first time and again. */
#include "app/drafts_inner.h"

#include <ctype.h>
#include <string.h>

#include "base/number.h"

struct putting {
    struct app *app;
    struct draft_source *source;
    const struct draft_list *list;
    struct drafts_report *report;
    struct arena mem;
    struct stored_draft *now;         /* what is proposed, as it would be stored */
    struct stored_draft_list old;     /* what there is of the source */
    const struct stored_draft **pair; /* of what is proposed: the untouched one that it renews */
    bool *taken;                      /* of the old: something proposed is it */
    bool *handled;                    /* of what is proposed: somebody dealt with that talk */
    struct stored_draft_list others;  /* of other sources */
};

/* --- the source ------------------------------------------------------------------------------ */

static bool same_text(const char *a, const char *b)
{
    return *a && strcmp(a, b) == 0;
}

/* By content first: a file that was written over is another, whatever it is called. */
static const struct draft_source *known(const struct draft_source_list *l,
                                        const struct draft_source *src)
{
    for (size_t i = 0; i < l->n; i++)
        if (same_text(src->digest, l->at[i].digest))
            return &l->at[i];
    for (size_t i = 0; i < l->n; i++)
        if (same_text(src->path, l->at[i].path))
            return &l->at[i];
    return NULL;
}

static bool same_source(const struct draft_source *a, const struct draft_source *b)
{
    return strcmp(a->kind, b->kind) == 0 && strcmp(a->name, b->name) == 0 &&
           strcmp(a->path, b->path) == 0 && strcmp(a->digest, b->digest) == 0 &&
           a->offset_us == b->offset_us && a->rate == b->rate;
}

static bool put_source(struct putting *p, struct err *e)
{
    struct draft_source_list l;
    if (!store_draft_sources(p->app->store, &p->mem, p->source->clip, &l, e))
        return false;
    const struct draft_source *was = known(&l, p->source);
    p->source->id = was ? was->id : 0;
    return (was && same_source(was, p->source)) ||
           store_draft_source_put(p->app->store, p->source, e);
}

/* --- which is which -------------------------------------------------------------------------- */

static bool same_targets(const struct draft_target *a, size_t n, const struct draft_target *b,
                         size_t m)
{
    bool same = n == m;
    for (size_t i = 0; same && i < n; i++)
        same = a[i].section == b[i].section && a[i].performer == b[i].performer;
    return same;
}

static bool is_untouched(const struct stored_draft *d)
{
    return d->state == DRAFT_WAITS && !d->touched;
}

static bool overlap(const struct stored_draft *a, const struct stored_draft *b)
{
    return a->d.said_us < b->said_end_us && b->d.said_us < a->said_end_us;
}

static bool said_at_once(const struct stored_draft *a, const struct stored_draft *b)
{
    return a->d.said_us == b->d.said_us;
}

static bool heard_the_same(const struct stored_draft *a, const struct stored_draft *b)
{
    return said_at_once(a, b) && a->heard_fault == b->heard_fault && a->d.praise == b->d.praise &&
           same_targets(a->heard, a->n_heard, b->heard, b->n_heard);
}

/* Somebody dealt with that very remark, though its praise may be another by now. */
static bool dealt_with(const struct putting *p, const struct stored_draft *now, bool whole)
{
    for (size_t i = 0; i < p->old.n; i++) {
        const struct stored_draft *was = &p->old.at[i];
        if (is_untouched(was))
            continue;
        if (whole
                ? overlap(now, was)
                : !p->taken[i] && said_at_once(now, was) && now->heard_fault == was->heard_fault &&
                      same_targets(now->heard, now->n_heard, was->heard, was->n_heard)) {
            p->taken[i] |= !whole;
            return true;
        }
    }
    return false;
}

typedef bool alike_fn(const struct stored_draft *a, const struct stored_draft *b);

static void pair_by(struct putting *p, alike_fn *alike, bool beside_handled)
{
    for (size_t i = 0; i < p->list->n; i++) {
        if (p->pair[i] || p->handled[i] || (!beside_handled && dealt_with(p, &p->now[i], true)))
            continue;
        for (size_t k = 0; k < p->old.n && !p->pair[i]; k++)
            if (!p->taken[k] && is_untouched(&p->old.at[k]) && alike(&p->now[i], &p->old.at[k])) {
                p->pair[i] = &p->old.at[k];
                p->taken[k] = true;
            }
    }
}

/* One breath may hold several remarks, and some of them may be dealt with: those that are the same
 * find each other first, what only overlaps last. */
static void pair_all(struct putting *p)
{
    for (size_t i = 0; i < p->list->n; i++)
        p->handled[i] = dealt_with(p, &p->now[i], false);
    pair_by(p, heard_the_same, true);
    pair_by(p, said_at_once, true);
    pair_by(p, overlap, false);
    for (size_t i = 0; i < p->list->n; i++)
        if (!p->pair[i] && !p->handled[i])
            p->handled[i] = dealt_with(p, &p->now[i], true);
}

/* --- of other sources ------------------------------------------------------------------------ */

/* A copy of a file that was edited, the same talk as captions: these words were said there once. */
enum { SAME_MOMENT_US = 3000000 };

static const char *letter(const char *s)
{
    while (*s && !isalnum((unsigned char)*s) && (unsigned char)*s < 0x80)
        s++;
    return s;
}

static bool same_letters(const char *a, const char *b)
{
    for (a = letter(a), b = letter(b); *a && *b; a = letter(a + 1), b = letter(b + 1))
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return false;
    return !*a && !*b;
}

static bool proposed_elsewhere(const struct putting *p, const struct stored_draft *now)
{
    for (size_t i = 0; i < p->others.n; i++) {
        const struct stored_draft *o = &p->others.at[i];
        if (o->source != p->source->id && us_apart(o->d.at_us, now->d.at_us) <= SAME_MOMENT_US &&
            *letter(now->d.quote) && same_letters(o->d.quote, now->d.quote))
            return true;
    }
    return false;
}

/* --- written --------------------------------------------------------------------------------- */

static bool same_words(const struct draft *a, const struct draft *b)
{
    bool same = a->n_words == b->n_words;
    for (size_t i = 0; same && i < a->n_words; i++)
        same = strcmp(a->words[i], b->words[i]) == 0;
    return same;
}

static bool says_the_same(const struct stored_draft *x, const struct stored_draft *y)
{
    const struct draft *a = &x->d, *b = &y->d;
    return a->at_us == b->at_us && a->end_us == b->end_us && a->said_us == b->said_us &&
           x->said_end_us == y->said_end_us && a->one == b->one && a->fault == b->fault &&
           a->praise == b->praise && a->cause == b->cause && a->severity == b->severity &&
           a->unit == b->unit && (a->unit == DRAFT_NO_SIZE || a->size == b->size) &&
           a->confidence == b->confidence && strcmp(a->quote, b->quote) == 0 && same_words(a, b) &&
           same_targets(a->targets, a->n_targets, b->targets, b->n_targets) && heard_the_same(x, y);
}

static bool write_one(struct putting *p, size_t i, struct err *e)
{
    struct store *s = p->app->store;
    struct stored_draft *now = &p->now[i];
    if (p->handled[i]) {
        p->report->kept++;
        return true;
    }
    if (!p->pair[i] && proposed_elsewhere(p, now)) {
        p->report->twice++;
        return true;
    }
    if (!p->pair[i]) {
        p->report->added++;
        return store_draft_add(s, &p->app->show, now, e);
    }
    now->id = p->pair[i]->id;
    if (says_the_same(now, p->pair[i]))
        return true;
    p->report->renewed++;
    return store_draft_renew(s, &p->app->show, now, e);
}

/* The draft as it would be read from the file again. */
static struct stored_draft as_stored(const struct putting *p, const struct draft *d)
{
    struct stored_draft x = {.clip = p->source->clip,
                             .source = p->source->id,
                             .d = *d,
                             .heard_fault = d->fault,
                             .heard = d->targets,
                             .n_heard = d->n_targets};
    x.d.at_us = d->at_us < 0 ? 0 : d->at_us;
    x.d.end_us = d->end_us < x.d.at_us ? x.d.at_us : d->end_us;
    x.d.severity = d->severity < SEVERITY_LEAST  ? SEVERITY_LEAST
                   : d->severity > SEVERITY_MOST ? SEVERITY_MOST
                                                 : d->severity;
    x.d.confidence = d->confidence >= 0 && d->confidence <= 1 ? d->confidence : 0;
    x.d.quote = d->quote ? d->quote : "";
    x.said_end_us = draft_said_at(p->source, x.d.end_us);
    if (x.said_end_us <= d->said_us) /* nothing is said in no time */
        x.said_end_us = d->said_us + 1;
    return x;
}

static bool put(struct store *s, void *ctx, struct err *e)
{
    struct putting *p = ctx;
    const size_t n = p->list->n;
    if (!put_source(p, e) ||
        !store_drafts(s, &p->mem, &(struct draft_choice){p->source->clip, p->source->id, false},
                      &p->old, e) ||
        !store_drafts(s, &p->mem, &(struct draft_choice){p->source->clip, 0, false}, &p->others, e))
        return false;
    p->now = arena_alloc(&p->mem, n * sizeof *p->now);
    p->pair = arena_alloc(&p->mem, n * sizeof *p->pair);
    p->handled = arena_alloc(&p->mem, n * sizeof *p->handled);
    p->taken = arena_alloc(&p->mem, p->old.n * sizeof *p->taken);
    for (size_t i = 0; i < n; i++)
        p->now[i] = as_stored(p, &p->list->at[i]);
    pair_all(p);
    bool ok = true;
    for (size_t i = 0; ok && i < n; i++)
        ok = write_one(p, i, e);
    for (size_t k = 0; ok && k < p->old.n; k++)
        if (is_untouched(&p->old.at[k]) && !p->taken[k]) {
            p->report->gone++;
            ok = store_draft_remove(s, p->old.at[k].id, e);
        }
    return ok;
}

bool app_drafts_put(struct app *a, struct draft_source *source, const struct draft_list *l,
                    struct drafts_report *out, struct err *e)
{
    struct putting p = {.app = a, .source = source, .list = l, .report = out};
    *out = (struct drafts_report){0};
    const char *what = arena_printf(&p.mem, "hear %s", source->name);
    const bool ok = store_step(a->store, what, put, &p, e);
    arena_free(&p.mem);
    return ok;
}
