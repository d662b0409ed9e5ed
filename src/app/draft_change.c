/* Drafts put right: corrected, dropped, split, joined. */
#include <math.h>
#include <string.h>

#include "app/drafts_inner.h"

struct changing {
    struct app *app;
    int64_t draft;
    struct arena mem;
    const struct draft_change *change;
    int64_t at_us;
    size_t parts;
    struct buf *both;
};

/* --- corrected, dropped ---------------------------------------------------------------------- */

static bool drop(struct store *s, void *ctx, struct err *e)
{
    return store_draft_settle(s, *(int64_t *)ctx, DRAFT_DROPPED, 0, e);
}

bool app_draft_drop(struct app *a, int64_t draft, struct err *e)
{
    return draft_step(a, &(struct draft_step){draft, "dropped", false, drop}, &draft, e);
}

static bool change(struct store *s, void *ctx, struct err *e)
{
    struct changing *x = ctx;
    const struct show *show = &x->app->show;
    struct draft_change c = *x->change;
    struct stored_draft was;
    if (!store_draft_one(s, &x->mem, x->draft, &was, e))
        return false;
    const bool own = was.d.fault < 0 || was.d.cause == show->faults[was.d.fault].cause;
    if (c.fields & DRAFT_FAULT && c.fault >= 0 && own && !(c.fields & DRAFT_CAUSE)) {
        c.fields |= DRAFT_CAUSE;
        c.cause = show->faults[c.fault].cause;
    }
    return store_draft_change(s, show, x->draft, &c, e);
}

bool app_draft_change(struct app *a, int64_t draft, const struct draft_change *c, const char *what,
                      struct err *e)
{
    struct changing x = {.app = a, .draft = draft, .change = c};
    const bool ok = draft_step(a, &(struct draft_step){draft, what, false, change}, &x, e);
    arena_free(&x.mem);
    return ok;
}

/* --- parts ----------------------------------------------------------------------------------- */

static bool still_waits(const struct stored_draft *d, struct err *e)
{
    return d->state == DRAFT_WAITS || err_set(e, ERR_INPUT, "that draft was %s already",
                                              d->state == DRAFT_DROPPED ? "dropped" : "accepted");
}

/* It takes the place of the draft that is divided or joined, and was touched. */
static bool put_first(struct changing *x, struct stored_draft *d, struct err *e)
{
    struct store *s = x->app->store;
    x->parts = 1;
    return store_draft_renew(s, &x->app->show, d, e) &&
           store_draft_change(s, &x->app->show, d->id, &(struct draft_change){0}, e);
}

static bool put_part(struct changing *x, struct stored_draft *d, struct err *e)
{
    if (x->parts == 0)
        return put_first(x, d, e);
    x->parts++;
    d->touched = true;
    return store_draft_add(x->app->store, &x->app->show, d, e);
}

/* Were the targets heard as they are now? */
static bool heard_so(const struct stored_draft *d)
{
    bool same = d->n_heard == d->d.n_targets;
    for (size_t i = 0; same && i < d->n_heard; i++)
        same = d->heard[i].section == d->d.targets[i].section &&
               d->heard[i].performer == d->d.targets[i].performer;
    return same;
}

static bool split_targets(struct changing *x, const struct stored_draft *d, struct err *e)
{
    const bool so = heard_so(d);
    bool ok = true;
    for (size_t i = 0; ok && i < d->d.n_targets; i++) {
        struct stored_draft part = *d;
        part.d.targets = &d->d.targets[i];
        part.d.n_targets = 1;
        if (so) {
            part.heard = part.d.targets;
            part.n_heard = 1;
        }
        ok = put_part(x, &part, e);
    }
    return ok;
}

/* The blank nearest to a share of the quote; 0: it is one word. */
static size_t cut_of(const char *quote, double share)
{
    const size_t n = strlen(quote), want = (size_t)((double)n * share);
    size_t best = 0;
    for (size_t i = 1; i + 1 < n; i++) {
        const size_t off = i > want ? i - want : want - i;
        const size_t best_off = best > want ? best - want : want - best;
        if (quote[i] == ' ' && (!best || off < best_off))
            best = i;
    }
    return best;
}

/* The moment at which the talk is divided, by the source's clock. */
static int64_t divide_at(const struct draft_source *src, const struct stored_draft *d,
                         int64_t at_us)
{
    const int64_t from = d->d.said_us, to = d->said_end_us, at = draft_said_at(src, at_us);
    return at_us >= 0 && at > from && at < to ? at : from + (to - from) / 2;
}

static bool split_quote(struct changing *x, const struct stored_draft *d, struct err *e)
{
    struct draft_source src;
    struct stored_draft first = *d, second = *d;
    if (!draft_source_of(x->app, d, &x->mem, &src, e))
        return false;
    const int64_t at = divide_at(&src, d, x->at_us);
    const double share = (double)(at - d->d.said_us) / (double)(d->said_end_us - d->d.said_us);
    const size_t cut = cut_of(d->d.quote, share);
    if (!cut)
        return err_set(e, ERR_INPUT, "'%.60s' is one word; there is nothing to divide", d->d.quote);
    /* What was seen lies before the talk of it by as much as before. */
    const int64_t lead = draft_media_at(&src, d->d.said_us) - d->d.at_us;
    const int64_t cut_us = draft_media_at(&src, at), seen = cut_us - lead;
    first.d.quote = arena_strndup(&x->mem, d->d.quote, cut);
    second.d.quote = arena_strdup(&x->mem, d->d.quote + cut + 1);
    first.said_end_us = second.d.said_us = at;
    first.d.end_us = cut_us < first.d.at_us ? first.d.at_us : cut_us;
    second.d.at_us = seen < d->d.at_us ? d->d.at_us : seen > d->d.end_us ? d->d.end_us : seen;
    return put_part(x, &first, e) && put_part(x, &second, e);
}

static bool split(struct store *s, void *ctx, struct err *e)
{
    struct changing *x = ctx;
    struct stored_draft d;
    return store_draft_one(s, &x->mem, x->draft, &d, e) && still_waits(&d, e) &&
           (d.d.n_targets > 1 ? split_targets(x, &d, e) : split_quote(x, &d, e));
}

bool app_draft_split(struct app *a, int64_t draft, int64_t at_us, size_t *parts, struct err *e)
{
    struct changing x = {.app = a, .draft = draft, .at_us = at_us};
    const bool ok = draft_step(a, &(struct draft_step){draft, "split", false, split}, &x, e);
    *parts = x.parts;
    arena_free(&x.mem);
    return ok;
}

/* --- joined ---------------------------------------------------------------------------------- */

static bool find_next(struct changing *x, const struct stored_draft *d, struct stored_draft *out,
                      struct err *e)
{
    struct stored_draft_list l;
    const struct draft_choice waiting = {d->clip, 0, true};
    if (!store_drafts(x->app->store, &x->mem, &waiting, &l, e))
        return false;
    for (size_t i = 0; i + 1 < l.n; i++)
        if (l.at[i].id == d->id) {
            *out = l.at[i + 1];
            return out->source == d->source ||
                   err_set(e, ERR_INPUT, "the next draft was heard in something else");
        }
    return err_set(e, ERR_INPUT, "no draft waits behind this one");
}

struct targets {
    const struct draft_target *at;
    size_t n;
};

static struct targets both(struct arena *mem, struct targets a, struct targets b)
{
    struct draft_target *all = arena_alloc(mem, (a.n + b.n + 1) * sizeof *all);
    size_t n = a.n;
    if (a.n)
        memcpy(all, a.at, a.n * sizeof *all);
    for (size_t i = 0; i < b.n; i++) {
        bool there = false;
        for (size_t k = 0; !there && k < a.n; k++)
            there = a.at[k].section == b.at[i].section && a.at[k].performer == b.at[i].performer;
        if (!there)
            all[n++] = b.at[i];
    }
    return (struct targets){all, n};
}

/* Those of the second that the first does not have. */
static void join_words(struct arena *mem, const struct draft *a, const struct draft *b,
                       struct draft *out)
{
    const char **words = arena_alloc(mem, (a->n_words + b->n_words + 1) * sizeof *words);
    size_t n = 0;
    for (; n < a->n_words; n++)
        words[n] = a->words[n];
    for (size_t i = 0; i < b->n_words; i++) {
        bool there = false;
        for (size_t k = 0; !there && k < a->n_words; k++)
            there = strcmp(a->words[k], b->words[i]) == 0;
        if (!there)
            words[n++] = b->words[i];
    }
    out->words = words;
    out->n_words = n;
}

/* Two of one breath, or what was split by its targets, have the same quote. */
static const char *join_quotes(struct arena *mem, const char *a, const char *b)
{
    if (!*a || !*b || strcmp(a, b) == 0)
        return *a ? a : b;
    return arena_printf(mem, "%s %s", a, b);
}

static struct stored_draft joined(struct arena *mem, const struct stored_draft *a,
                                  const struct stored_draft *b)
{
    const struct targets now = both(mem, (struct targets){a->d.targets, a->d.n_targets},
                                    (struct targets){b->d.targets, b->d.n_targets}),
                         heard = both(mem, (struct targets){a->heard, a->n_heard},
                                      (struct targets){b->heard, b->n_heard});
    struct stored_draft out = *a;
    out.d.targets = now.at;
    out.d.n_targets = now.n;
    out.heard = heard.at;
    out.n_heard = heard.n;
    out.d.one = a->d.one && b->d.one && now.n == 1;
    if (a->d.fault < 0) { /* whose fault it is, it is praise or not by */
        out.d.fault = b->d.fault;
        out.d.praise = b->d.praise;
        out.d.cause = b->d.cause;
        out.heard_fault = b->heard_fault;
    }
    if (a->d.unit == DRAFT_NO_SIZE) {
        out.d.unit = b->d.unit;
        out.d.size = b->d.size;
    }
    if (b->d.severity > out.d.severity)
        out.d.severity = b->d.severity;
    if (b->d.confidence < out.d.confidence)
        out.d.confidence = b->d.confidence;
    if (b->d.end_us > out.d.end_us)
        out.d.end_us = b->d.end_us;
    if (b->d.said_us < out.d.said_us)
        out.d.said_us = b->d.said_us;
    if (b->said_end_us > out.said_end_us)
        out.said_end_us = b->said_end_us;
    join_words(mem, &a->d, &b->d, &out.d);
    out.d.quote = join_quotes(mem, a->d.quote, b->d.quote);
    return out;
}

/* What would be lost without a word: a fault, or a moment. */
static bool may_join(const struct show *show, const struct draft *a, const struct draft *b,
                     struct err *e)
{
    const bool same = a->fault == b->fault && a->praise == b->praise;
    struct buf x = {0}, y = {0};
    draft_what(show, a, &x);
    draft_what(show, b, &y);
    const bool ok = a->fault < 0 || b->fault < 0 || same ||
                    err_set(e, ERR_INPUT,
                            "'%s' and '%s' are two remarks; put one of them right first, or leave "
                            "them apart",
                            x.p, y.p);
    buf_free(&x);
    buf_free(&y);
    return ok && (b->at_us - a->at_us <= DRAFT_JOIN_US ||
                  err_set(e, ERR_INPUT,
                          "the next draft is %.0f s later, another moment; at most %d s can be "
                          "joined, so leave them apart",
                          ceil((double)(b->at_us - a->at_us) / 1e6), DRAFT_JOIN_US / 1000000));
}

static void say_both(const struct show *show, const struct draft *a, const struct draft *b,
                     struct buf *out)
{
    draft_describe(show, a, out);
    buf_str(out, " and ");
    draft_describe(show, b, out);
}

static bool join(struct store *s, void *ctx, struct err *e)
{
    struct changing *x = ctx;
    const struct show *show = &x->app->show;
    struct stored_draft d, next = {0}, all;
    if (!store_draft_one(s, &x->mem, x->draft, &d, e) || !still_waits(&d, e) ||
        !find_next(x, &d, &next, e) || !may_join(show, &d.d, &next.d, e))
        return false;
    say_both(show, &d.d, &next.d, x->both);
    all = joined(&x->mem, &d, &next);
    return store_draft_remove(s, next.id, e) && put_first(x, &all, e);
}

bool app_draft_join(struct app *a, int64_t draft, struct buf *both, struct err *e)
{
    struct changing x = {.app = a, .draft = draft, .both = both};
    const bool ok =
        draft_step(a, &(struct draft_step){draft, "joined with the next", false, join}, &x, e);
    arena_free(&x.mem);
    return ok;
}
