#include "app/teach.h"

#include <string.h>

#include "app/drafts_inner.h"
#include "app/hear.h"
#include "store/words.h"
#include "sys/file.h"

enum { TEXT_LIMIT = 64 << 20 };

/* --- proposed -------------------------------------------------------------------------------- */

struct correction correction_of(const struct stored_draft *d)
{
    return (struct correction){d->d.quote,   d->heard_fault, d->d.fault,    d->heard,
                               d->d.targets, d->n_heard,     d->d.n_targets};
}

static bool is_use(const struct app *a, const struct stored_draft *d)
{
    return d->state != DRAFT_DROPPED && (d->d.fault < 0 || !a->show.faults[d->d.fault].removed);
}

bool app_corrections(struct app *a, struct arena *mem, struct corrections *out, struct err *e)
{
    struct stored_draft_list l;
    struct correction *at = NULL;
    size_t n = 0;
    for (size_t c = 0; c < a->clips.n; c++) {
        const struct draft_choice all = {a->clips.at[c].id, 0, false};
        if (!store_drafts(a->store, mem, &all, &l, e))
            return false;
        struct correction *more = arena_alloc(mem, (n + l.n + 1) * sizeof *more);
        if (n)
            memcpy(more, at, n * sizeof *more);
        at = more;
        for (size_t i = 0; i < l.n; i++)
            if (is_use(a, &l.at[i]))
                at[n++] = correction_of(&l.at[i]);
    }
    *out = (struct corrections){at, n};
    return true;
}

/* --- taken up -------------------------------------------------------------------------------- */

struct teaching {
    struct app *app;
    const struct teach *teach;
    struct arena mem;
    /* heard again; NULL: not */
    const struct hear_choice *how;
    struct heard_talk heard;
    struct drafts_report *report;
};

static int64_t row_of(const struct app *a, const struct teach *t)
{
    return t->section ? a->show.sections[t->of].id : a->show.faults[t->of].id;
}

static const char *name_of(const struct app *a, const struct teach *t)
{
    return t->section ? a->show.sections[t->of].name : a->show.faults[t->of].name;
}

static bool add_words(struct store *s, void *ctx, struct err *e)
{
    struct teaching *x = ctx;
    struct named_list l;
    size_t i = 0;
    if (!store_names(s, &x->mem, &l, e))
        return false;
    while (i < l.n &&
           (l.at[i].section != x->teach->section || l.at[i].id != row_of(x->app, x->teach)))
        i++;
    if (i == l.n)
        return err_set(e, ERR_INPUT, "'%s' is not in the show any more", name_of(x->app, x->teach));
    const char *words = teach_words(&x->mem, &l, i, x->teach->words, e);
    return words && store_words_put(s, &l.at[i], words, e) &&
           (!x->how || app_hear_keep(x->app, x->how, &x->heard, x->report, e));
}

/* 'The' would be everywhere. */
static bool says_something(struct teaching *x, struct err *e)
{
    const struct lexicon *l = app_lexicon(x->app, &x->mem, e);
    return l &&
           (x->teach->section || lexicon_says(l, &x->mem, x->teach->words) ||
            err_set(e, ERR_INPUT, "'%s' says nothing by itself; teach it with the words around it",
                    x->teach->words));
}

static bool teach(struct teaching *x, struct err *e)
{
    if (!says_something(x, e))
        return false;
    const char *what =
        arena_printf(&x->mem, "teach '%s' for %s", x->teach->words, name_of(x->app, x->teach));
    return store_step(x->app->store, what, add_words, x, e);
}

bool app_teach(struct app *a, const struct teach *t, struct err *e)
{
    struct teaching x = {.app = a, .teach = t};
    const bool ok = teach(&x, e);
    arena_free(&x.mem);
    return ok;
}

/* --- heard again ----------------------------------------------------------------------------- */

/* The show as it will be, for the words alone. */
static void with_words(struct teaching *x, struct app *out)
{
    const struct teach *t = x->teach;
    struct show *show = &out->show;
    *out = *x->app;
    show->sections = arena_alloc(&x->mem, (show->n_sections + 1) * sizeof *show->sections);
    show->faults = arena_alloc(&x->mem, (show->n_faults + 1) * sizeof *show->faults);
    memcpy(show->sections, x->app->show.sections, show->n_sections * sizeof *show->sections);
    memcpy(show->faults, x->app->show.faults, show->n_faults * sizeof *show->faults);
    const char **words = t->section ? &show->sections[t->of].words : &show->faults[t->of].words;
    *words = arena_printf(&x->mem, "%s;%s", *words, t->words);
}

/* The file as it was heard; false where it cannot be read or is another now. */
static bool same_file(const struct draft_source *src, struct buf *bytes, struct timed_text *out)
{
    char digest[65];
    struct err ignored;
    if (!*src->path || strcmp(src->kind, "commentary") != 0 ||
        !file_read(src->path, TEXT_LIMIT, bytes, &ignored))
        return false;
    *out = (struct timed_text){buf_text(bytes), bytes->n, src->name, NULL};
    return hear_digest(out, digest, &ignored) && strcmp(digest, src->digest) == 0;
}

/* What lies between what was seen and its talk; the first draft may be held by the clip's beginning. */
static bool lead_of(struct teaching *x, const struct draft_source *src, int64_t *out, struct err *e)
{
    struct stored_draft_list l;
    const struct draft_choice all = {src->clip, src->id, false};
    *out = hear_lead_us(x->app, &x->mem);
    if (!store_drafts(x->app->store, &x->mem, &all, &l, e))
        return false;
    for (size_t i = 0; i < l.n; i++)
        if (!l.at[i].touched && l.at[i].d.at_us > 0) {
            *out = draft_media_at(src, l.at[i].d.said_us) - l.at[i].d.at_us;
            break;
        }
    return true;
}

static const struct clip *clip_of(const struct app *a, int64_t id)
{
    for (size_t i = 0; i < a->clips.n; i++)
        if (a->clips.at[i].id == id)
            return &a->clips.at[i];
    return NULL;
}

static bool teach_and_hear(struct teaching *x, const struct draft_source *src,
                           struct hear_choice *how, struct err *e)
{
    struct app then;
    how->path = src->path;
    how->clock = (struct talk_clock){src->offset_us, src->rate, 0};
    with_words(x, &then);
    if (!lead_of(x, src, &how->clock.lead_us, e) || !app_hear(&then, &x->mem, how, &x->heard, e))
        return false;
    x->how = how;
    return teach(x, e);
}

bool app_teach_hear(struct app *a, const struct teach *t, const struct draft_source *src,
                    struct heard_again *out, struct err *e)
{
    struct buf bytes = {0};
    struct hear_choice how = {.clip = clip_of(a, src->clip), .kind = src->kind};
    struct teaching x = {.app = a, .teach = t, .report = &out->report};
    *out = (struct heard_again){.done = how.clip && same_file(src, &bytes, &how.file)};
    const bool ok = out->done ? teach_and_hear(&x, src, &how, e) : teach(&x, e);
    buf_free(&bytes);
    arena_free(&x.mem);
    return ok;
}
