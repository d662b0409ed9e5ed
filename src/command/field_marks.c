/* The marks of the clip on the field: read from the show file in slices while the field is shown. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/field.h"
#include "command/screen.h"

enum { SLICE = 1500 }; /* marks a turn: a few ms */

/* What they were read from; when it is another, they are read anew. */
struct seen {
    int64_t clip, version, written_us;
    size_t calls;
};

struct marks {
    struct field_marks now, fresh;
    bool read, reading;
    struct seen seen;
    struct store_after after;
};

static bool work(struct desk *d, void *mine);
static void before_read(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct marks),
                                 .clip_left = before_read,
                                 .before_read = before_read,
                                 .work = work,
                                 .end = before_read};

const struct field_marks *field_marks(const struct desk *d)
{
    return &((struct marks *)desk_part(d, &part))->now;
}

static void drop(struct field_marks *m)
{
    free(m->at);
    free(m->by_set);
    *m = (struct field_marks){0};
}

static void before_read(struct desk *d, void *mine)
{
    struct marks *m = mine;
    (void)d;
    drop(&m->now);
    drop(&m->fresh);
    m->read = m->reading = false;
}

/* --- where they stand ------------------------------------------------------------------------- */

bool field_mark_place(const struct ghosts *g, const struct mark *m, size_t target,
                      struct dot_place *out)
{
    const int performer = m->targets[target].performer;
    return m->set >= 0 && performer >= 0 &&
           (ghost_at(g, performer, (struct set_count){m->set, m->count}, out) ||
            ghost_dot(g, performer, m->set, out));
}

static int *patch(struct field_marks *m, struct dot_place at)
{
    const int across = (int)floor((at.x - PATCH_LEFT) / PATCH_STEPS),
              deep = (int)floor((at.y - PATCH_FRONT) / PATCH_STEPS);
    const bool there = fabs(at.x) < 1000 && fabs(at.y) < 1000 && across >= 0 &&
                       across < PATCHES_ACROSS && deep >= 0 && deep < PATCHES_DEEP;
    return there ? &m->patch[deep][across] : NULL;
}

int field_patch(const struct field_marks *m, struct dot_place at)
{
    const int *there = patch((struct field_marks *)m, at);
    return there ? *there : 0;
}

static bool stand(struct field_marks *f, const struct mark *m, struct dot_place at)
{
    int *there = patch(f, at);
    if (!there)
        return false;
    (*there)++;
    if (f->n < FIELD_MARKS_MOST) {
        f->at = array_grow(f->at, f->n, &f->cap, sizeof *f->at);
        f->at[f->n++] = (struct field_mark){m->at_us, m->set, at, m->praise, m->severity};
    }
    return true;
}

static void take(const struct desk *d, struct field_marks *f, const struct mark *m)
{
    struct dot_place at;
    bool any = false;
    for (size_t i = 0; i < m->n_targets; i++)
        if (field_mark_place(field_ghosts(d), m, i, &at))
            any |= stand(f, m, at);
    f->all++;
    f->standing += any;
    if (m->set >= 0)
        f->by_set[m->set]++;
}

/* --- reading ---------------------------------------------------------------------------------- */

/* A settled log is nothing new: then written_us is 0. */
static bool stale(const struct desk *d, const struct marks *m)
{
    const struct seen *s = &m->seen;
    return !m->read || s->clip != d->clip || s->version != d->version || s->calls != calls_all(d) ||
           (d->written_us && s->written_us != d->written_us);
}

static bool wanted(const struct desk *d)
{
    return d->clip && strcmp(d->screen->open.name, "field") == 0;
}

bool field_marks_reading(const struct desk *d)
{
    const struct marks *m = desk_part(d, &part);
    return wanted(d) && (m->reading || stale(d, m));
}

static void begin(struct desk *d, struct marks *m)
{
    drop(&m->fresh);
    m->seen = (struct seen){d->clip, d->version, d->written_us, calls_all(d)};
    m->fresh.by_set = xcalloc(d->app->show.n_sets + 1, sizeof *m->fresh.by_set);
    m->after = (struct store_after){d->clip, INT64_MIN, 0, SLICE, false};
    m->read = m->reading = true;
}

static void finish(struct marks *m)
{
    drop(&m->now);
    m->now = m->fresh;
    m->fresh = (struct field_marks){0};
    m->reading = false;
}

static bool work(struct desk *d, void *mine)
{
    struct marks *m = mine;
    struct arena mem = {0};
    struct mark_list l;
    struct err e;
    if (!wanted(d) || calls_reading(d))
        return false;
    if (stale(d, m))
        begin(d, m);
    if (!m->reading)
        return false;
    const bool ok = store_marks_after(d->app->store, &mem, &m->after, &l, &e);
    for (size_t i = 0; ok && i < l.n; i++)
        take(d, &m->fresh, &l.at[i]);
    arena_free(&mem);
    if (!ok)
        desk_trouble(d, "%s", e.text);
    if (!ok || m->after.last)
        finish(m);
    return true;
}
