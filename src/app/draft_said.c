/* Drafts in words, and the clock of what proposed them. */
#include <math.h>
#include <string.h>

#include "app/drafts_inner.h"
#include "count/timecode.h"

void draft_who(const struct show *show, const struct draft *d, struct buf *out)
{
    if (!d->n_targets)
        buf_char(out, '?');
    else if (d->one)
        buf_str(out, "one of ");
    for (size_t i = 0; i < d->n_targets; i++) {
        const struct target t = {d->targets[i].section, d->targets[i].performer};
        if (i)
            buf_str(out, ", ");
        targets_text(show, &t, 1, out);
    }
}

void draft_what(const struct show *show, const struct draft *d, struct buf *out)
{
    if (d->fault < 0)
        buf_char(out, '?');
    else
        buf_printf(out, "%s%s", d->praise ? "keep " : "", show->faults[d->fault].name);
}

void draft_describe(const struct show *show, const struct draft *d, struct buf *out)
{
    char time[24];
    time_format_short(d->at_us, time);
    buf_printf(out, "%s ", time);
    draft_who(show, d, out);
    buf_str(out, ", ");
    draft_what(show, d, out);
}

bool draft_step(struct app *a, const struct draft_step *step, void *ctx, struct err *e)
{
    struct arena mem = {0};
    struct stored_draft d;
    struct buf name = {0};
    bool ok = store_draft_one(a->store, &mem, step->draft, &d, e);
    if (ok) {
        buf_printf(&name, "%s ", step->before ? step->what : "draft");
        draft_describe(&a->show, &d.d, &name);
        if (!step->before)
            buf_printf(&name, ": %s", step->what);
        ok = store_step(a->store, name.p, step->change, ctx, e);
    }
    buf_free(&name);
    arena_free(&mem);
    return ok;
}

int64_t draft_said_at(const struct draft_source *src, int64_t media_us)
{
    const double rate = src->rate > 0 ? src->rate : 1;
    return llround((double)(media_us - src->offset_us) / rate);
}

int64_t draft_media_at(const struct draft_source *src, int64_t said_us)
{
    const double rate = src->rate > 0 ? src->rate : 1;
    return src->offset_us + llround((double)said_us * rate);
}

bool draft_source_of(struct app *a, const struct stored_draft *d, struct arena *mem,
                     struct draft_source *out, struct err *e)
{
    struct draft_source_list l;
    if (!store_draft_sources(a->store, mem, d->clip, &l, e))
        return false;
    for (size_t i = 0; i < l.n; i++)
        if (l.at[i].id == d->source) {
            *out = l.at[i];
            return true;
        }
    return err_set(e, ERR_FAILED, "what that draft was heard in is not there any more");
}
