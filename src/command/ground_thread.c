#include "command/ground_thread.h"

#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "app/follow_film.h"

struct ground_thread {
    pthread_t thread;
    bool joined;
    atomic_bool stop, searching, found_it, ended;
    atomic_int percent;
    pthread_mutex_t lock; /* of the two below */
    struct ground_done *first, *last;
    struct track_key key;
    bool finds; /* the camera first */
    /* for the thread alone until it has ended; `found` until it hands over the first piece */
    struct arena memory;
    struct film_search search;
    struct film_found found;
    struct film_job job;
    struct grid grid;
    struct track track;
    bool ok;
    struct err e;
};

/* --- in the thread ------------------------------------------------------------------------------- */

static bool hand_over(void *user, const struct track *t, const struct track_piece *p, struct err *e)
{
    struct ground_thread *w = user;
    const size_t n = p ? p->n : 0;
    struct ground_done *one = xcalloc(1, sizeof *one + n * sizeof *one->frames);
    (void)e;
    one->track = *t;
    one->piece = p != NULL;
    if (p) {
        one->at = *p;
        one->at.at = one->frames;
        memcpy(one->frames, p->at, n * sizeof *one->frames);
    }
    pthread_mutex_lock(&w->lock);
    if (w->last)
        w->last->next = one;
    else
        w->first = one;
    w->last = one;
    pthread_mutex_unlock(&w->lock);
    return true;
}

static void tell(void *user, double share)
{
    atomic_store(&((struct ground_thread *)user)->percent, (int)(share * 100));
}

static void *run(void *user)
{
    struct ground_thread *w = user;
    w->ok = !w->finds || film_find(&w->search, &w->memory, &w->found, &w->e);
    atomic_store(&w->found_it, w->ok && w->finds);
    atomic_store(&w->searching, false);
    if (w->ok && w->finds)
        w->track = w->found.track;
    if (w->ok && !atomic_load(&w->stop) && (!w->finds || w->found.lines))
        w->ok = film_follow(&w->job, &w->e);
    atomic_store(&w->ended, true);
    return NULL;
}

/* --- its copies ------------------------------------------------------------------------------------ */

static struct track track_copy(struct arena *a, const struct track *t)
{
    struct track c = *t;
    c.at = arena_alloc(a, (t->n + 1) * sizeof *c.at);
    for (size_t i = 0; i < t->n; i++) {
        c.at[i] = t->at[i];
        c.at[i].at = arena_alloc(a, t->at[i].n * sizeof *c.at[i].at);
        memcpy(c.at[i].at, t->at[i].at, t->at[i].n * sizeof *c.at[i].at);
    }
    return c;
}

static bool prepare_search(struct ground_thread *w, struct field_view *v, const char *path,
                           struct err *e)
{
    if (!app_field_search(v, &w->search, e))
        return false;
    struct pointing *p = &w->search.pointing;
    struct pointed *at = arena_alloc(&w->memory, (p->n + 1) * sizeof *at);
    memcpy(at, p->at, p->n * sizeof *at);
    p->at = at;
    p->grid = &w->grid;
    w->search.path = path;
    w->search.stop = &w->stop;
    return true;
}

static bool prepare(struct ground_thread *w, struct field_view *v, struct err *e)
{
    const char *path = app_clip_path(v->app, v->clip, e);
    if (!path)
        return false;
    path = arena_strdup(&w->memory, path);
    w->grid = v->app->show.grid;
    w->key = v->key;
    w->finds = v->by == FIELD_UNKNOWN;
    atomic_store(&w->searching, w->finds);
    if (w->finds && !prepare_search(w, v, path, e))
        return false;
    if (!w->finds)
        w->track = track_copy(&w->memory, &v->track);
    w->job = (struct film_job){.path = path,
                               .length_us = v->clip->length_us,
                               .grid = &w->grid,
                               .track = &w->track,
                               .whole = true,
                               .stop = &w->stop,
                               .keep = hand_over,
                               .progress = tell,
                               .user = w};
    return true;
}

struct ground_thread *ground_thread_begin(struct field_view *v, struct err *e)
{
    struct ground_thread *w = xcalloc(1, sizeof *w);
    pthread_mutex_init(&w->lock, NULL);
    w->joined = true;
    if (!prepare(w, v, e)) {
        ground_thread_free(w);
        return NULL;
    }
    if (pthread_create(&w->thread, NULL, run, w) != 0) {
        err_set(e, ERR_FAILED, "the field cannot be followed now: no thread can be begun");
        ground_thread_free(w);
        return NULL;
    }
    w->joined = false;
    return w;
}

/* --- from outside ---------------------------------------------------------------------------------- */

const struct track_key *ground_thread_key(const struct ground_thread *t)
{
    return &t->key;
}

double ground_thread_share(const struct ground_thread *t)
{
    return atomic_load(&t->percent) / 100.0;
}

struct ground_done *ground_thread_take(struct ground_thread *t)
{
    pthread_mutex_lock(&t->lock);
    struct ground_done *all = t->first;
    t->first = t->last = NULL;
    pthread_mutex_unlock(&t->lock);
    return all;
}

const struct film_found *ground_thread_found(const struct ground_thread *t)
{
    return atomic_load(&t->found_it) ? &t->found : NULL;
}

bool ground_thread_stop(struct ground_thread *t)
{
    atomic_store(&t->stop, true);
    return !atomic_load(&t->searching);
}

bool ground_thread_ended(const struct ground_thread *t)
{
    return atomic_load(&t->ended);
}

bool ground_thread_join(struct ground_thread *t, struct err *e)
{
    if (!t->joined)
        pthread_join(t->thread, NULL);
    t->joined = true;
    if (!t->ok)
        *e = t->e;
    return t->ok;
}

void ground_thread_free(struct ground_thread *t)
{
    struct err ignored;
    ground_thread_join(t, &ignored);
    for (struct ground_done *one = ground_thread_take(t), *next; one; one = next) {
        next = one->next;
        free(one);
    }
    arena_free(&t->memory);
    pthread_mutex_destroy(&t->lock);
    free(t);
}
