#include "command/calls.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "base/utf8.h"

enum {
    TIMES_SLICE = 40000, /* times and rows: a few ms */
    MARKS_SLICE = 1500,  /* whole marks, for the filter: about as long */
    SEEN_MOST = 1000     /* whole marks that are kept in memory from one turn to the next */
};

struct index {
    struct call_at *at; /* by time, then row */
    size_t n, cap;
};

/* A list on its way: `fresh` takes the place of the one before it when it is whole. */
struct reading {
    bool on;
    struct index fresh;
    struct call_at last; /* read so far */
};

struct calls {
    char filter[200];
    struct index all, some; /* some: what the filter lets through */
    struct reading all_reading, some_reading;
    struct arena memory; /* of the marks that were looked at */
    struct mark **seen;
    size_t n_seen, seen_cap;
};

static void forget(struct desk *d, void *unused);
static bool work(struct desk *d, void *unused);
static void end(struct desk *d, void *mine);

static const struct part part = {
    .size = sizeof(struct calls), .clip_left = forget, .work = work, .end = end};

static struct calls *calls_of(const struct desk *d)
{
    return desk_part(d, &part);
}

const char *calls_words(const struct desk *d)
{
    return calls_of(d)->filter;
}

static const struct index *shown(const struct desk *d)
{
    const struct calls *c = calls_of(d);
    return *c->filter ? &c->some : &c->all;
}

bool call_has(const struct desk *d, const struct mark *m, const char *words)
{
    const struct fault *f = &d->app->show.faults[m->fault];
    struct buf text = {0};
    targets_text(&d->app->show, m->targets, m->n_targets, &text);
    for (size_t i = 0; i < m->n_targets; i++)
        buf_printf(&text, " %s", d->app->show.sections[m->targets[i].section].name);
    buf_printf(&text, " %s %s %s %s %s", f->name, f->family, m->note, m->author,
               m->praise ? "keep praise" : "");
    bool found = utf8_casestr(buf_text(&text), words);
    buf_free(&text);
    return found;
}

static bool lets_through(const struct desk *d, const struct mark *m)
{
    const struct calls *c = calls_of(d);
    return !*c->filter || call_has(d, m, c->filter);
}

/* --- lists ----------------------------------------------------------------------------------- */

static void drop(struct index *x)
{
    free(x->at);
    *x = (struct index){0};
}

static bool comes_before(const struct call_at *a, int64_t at_us, int64_t id)
{
    return a->at_us != at_us ? a->at_us < at_us : a->id < id;
}

/* How many come before this time and row. */
static size_t lower(const struct index *x, int64_t at_us, int64_t id)
{
    size_t low = 0, high = x->n;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (comes_before(&x->at[middle], at_us, id))
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static bool is_at(const struct index *x, size_t i, int64_t id)
{
    return i < x->n && x->at[i].id == id;
}

static void insert(struct index *x, const struct call_at *c)
{
    size_t at = lower(x, c->at_us, c->id);
    if (is_at(x, at, c->id))
        return;
    x->at = array_grow(x->at, x->n, &x->cap, sizeof *x->at);
    memmove(x->at + at + 1, x->at + at, (x->n++ - at) * sizeof *x->at);
    x->at[at] = *c;
}

static void erase(struct index *x, const struct call_at *c)
{
    size_t at = lower(x, c->at_us, c->id);
    if (is_at(x, at, c->id))
        memmove(x->at + at, x->at + at + 1, (--x->n - at) * sizeof *x->at);
}

static void append(struct index *x, const struct call_at *c)
{
    x->at = array_grow(x->at, x->n, &x->cap, sizeof *x->at);
    x->at[x->n++] = *c;
}

/* --- reading --------------------------------------------------------------------------------- */

static void begin(struct reading *r)
{
    drop(&r->fresh);
    *r = (struct reading){.on = true, .last = {INT64_MIN, 0}};
}

static void finish(struct reading *r, struct index *into)
{
    drop(into);
    *into = r->fresh;
    *r = (struct reading){0};
}

static bool read_times(struct desk *d, struct err *e)
{
    struct reading *r = &calls_of(d)->all_reading;
    struct store_call *at = xcalloc(TIMES_SLICE, sizeof *at);
    size_t n = 0;
    struct store_after after = {d->clip, r->last.at_us, r->last.id, TIMES_SLICE, false};
    bool ok = store_call_times(d->app->store, &after, at, &n, e);
    for (size_t i = 0; ok && i < n; i++)
        append(&r->fresh, &(struct call_at){at[i].at_us, at[i].id});
    if (n)
        r->last = (struct call_at){at[n - 1].at_us, at[n - 1].id};
    free(at);
    if (ok && n < TIMES_SLICE)
        finish(r, &calls_of(d)->all);
    return ok;
}

static bool read_some(struct desk *d, struct err *e)
{
    struct reading *r = &calls_of(d)->some_reading;
    struct arena mem = {0};
    struct mark_list l;
    struct store_after after = {d->clip, r->last.at_us, r->last.id, MARKS_SLICE, false};
    bool ok = store_marks_after(d->app->store, &mem, &after, &l, e);
    for (size_t i = 0; ok && i < l.n; i++)
        if (lets_through(d, &l.at[i]))
            append(&r->fresh, &(struct call_at){l.at[i].at_us, l.at[i].id});
    if (ok)
        r->last = (struct call_at){after.at_us, after.id};
    arena_free(&mem);
    if (ok && after.last)
        finish(r, &calls_of(d)->some);
    return ok;
}

static void forget_seen(struct calls *c)
{
    arena_free(&c->memory);
    c->n_seen = 0;
}

bool calls_read(struct desk *d, bool keep, struct err *e)
{
    struct calls *c = calls_of(d);
    forget_seen(c);
    if (!keep) {
        drop(&c->all);
        drop(&c->some);
    }
    begin(&c->all_reading);
    if (*c->filter)
        begin(&c->some_reading);
    return read_times(d, e) && (!*c->filter || read_some(d, e));
}

void calls_filter(struct desk *d, const char *words)
{
    struct err ignored;
    struct calls *c = calls_of(d);
    snprintf(c->filter, sizeof c->filter, "%s", words);
    drop(&c->some);
    c->some_reading.on = false;
    if (!*c->filter || !d->clip)
        return;
    begin(&c->some_reading);
    read_some(d, &ignored);
}

bool calls_reading(const struct desk *d)
{
    const struct calls *c = calls_of(d);
    return c->all_reading.on || c->some_reading.on;
}

static bool work(struct desk *d, void *unused)
{
    struct err e;
    struct calls *c = calls_of(d);
    (void)unused;
    if (c->n_seen > SEEN_MOST)
        forget_seen(c);
    if (!calls_reading(d))
        return false;
    bool ok = c->all_reading.on ? read_times(d, &e) : read_some(d, &e);
    if (!ok) {
        c->all_reading.on = c->some_reading.on = false;
        desk_trouble(d, "%s", e.text);
    }
    return !ok || !calls_reading(d);
}

void calls_forget(struct desk *d)
{
    struct calls *c = calls_of(d);
    forget_seen(c);
    drop(&c->all);
    drop(&c->some);
    drop(&c->all_reading.fresh);
    drop(&c->some_reading.fresh);
    c->all_reading.on = c->some_reading.on = false;
}

static void forget(struct desk *d, void *unused)
{
    (void)unused;
    calls_forget(d);
}

static void end(struct desk *d, void *unused)
{
    (void)unused;
    calls_forget(d);
    free(calls_of(d)->seen);
}

/* --- one's own changes ----------------------------------------------------------------------- */

static struct mark **seen_place(struct calls *c, int64_t id)
{
    for (size_t i = c->n_seen; i-- > 0;)
        if (c->seen[i]->id == id)
            return &c->seen[i];
    return NULL;
}

static struct mark *see(struct calls *c, const struct mark *m)
{
    struct mark **there = seen_place(c, m->id);
    struct mark *kept = there ? *there : arena_alloc(&c->memory, sizeof *kept);
    *kept = *m;
    if (!there) {
        c->seen = array_grow(c->seen, c->n_seen, &c->seen_cap, sizeof *c->seen);
        c->seen[c->n_seen++] = kept;
    }
    return kept;
}

/* A list that is being read takes what lies in the part it has already; the rest will come. */
static void insert_read(struct reading *r, const struct call_at *c)
{
    if (r->on && comes_before(c, r->last.at_us, r->last.id))
        insert(&r->fresh, c);
}

void calls_add(struct desk *d, const struct mark *m)
{
    struct calls *c = calls_of(d);
    const struct call_at at = {m->at_us, m->id};
    struct target *t = arena_alloc(&c->memory, m->n_targets * sizeof *t);
    struct mark kept = *m;
    memcpy(t, m->targets, m->n_targets * sizeof *t);
    kept.targets = t;
    kept.note = arena_strdup(&c->memory, m->note);
    kept.author = arena_strdup(&c->memory, m->author ? m->author : app_author());
    see(c, &kept);
    insert(&c->all, &at);
    insert_read(&c->all_reading, &at);
    if (!*c->filter || !lets_through(d, &kept))
        return;
    insert(&c->some, &at);
    insert_read(&c->some_reading, &at);
}

void calls_remove(struct desk *d, const struct mark *m)
{
    struct calls *c = calls_of(d);
    const struct call_at at = {m->at_us, m->id};
    struct mark **there = seen_place(c, m->id);
    erase(&c->all, &at);
    erase(&c->some, &at);
    erase(&c->all_reading.fresh, &at);
    erase(&c->some_reading.fresh, &at);
    if (there)
        *there = c->seen[--c->n_seen];
}

void calls_change(struct desk *d, const struct mark *now)
{
    struct calls *c = calls_of(d);
    const struct call_at at = {now->at_us, now->id};
    see(c, now);
    if (!*c->filter)
        return;
    if (lets_through(d, now)) {
        insert(&c->some, &at);
        insert_read(&c->some_reading, &at);
    } else {
        erase(&c->some, &at);
        erase(&c->some_reading.fresh, &at);
    }
}

struct arena *calls_memory(struct desk *d)
{
    return &calls_of(d)->memory;
}

/* --- what screens ask ------------------------------------------------------------------------ */

struct mark *desk_mark(const struct desk *d, int64_t id)
{
    struct mark m, **there;
    struct err ignored;
    struct calls *c = calls_of(d);
    if (!id)
        return NULL;
    if ((there = seen_place(c, id)) != NULL)
        return *there;
    return store_mark_one(d->app->store, &c->memory, id, &m, &ignored) ? see(c, &m) : NULL;
}

size_t calls_all(const struct desk *d)
{
    return calls_of(d)->all.n;
}

size_t calls_shown(const struct desk *d)
{
    return shown(d)->n;
}

struct call_at calls_nth(const struct desk *d, size_t i)
{
    return shown(d)->at[i];
}

size_t calls_before(const struct desk *d, int64_t us)
{
    return lower(shown(d), us, INT64_MIN);
}

size_t calls_place(const struct desk *d, const struct call_at *c)
{
    const struct index *x = shown(d);
    size_t at = lower(x, c->at_us, c->id);
    return is_at(x, at, c->id) ? at : x->n;
}

size_t calls_here(const struct desk *d)
{
    size_t n = calls_before(d, d->play.at_us + 1);
    return n ? n - 1 : calls_shown(d);
}
