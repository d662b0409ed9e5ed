#include "command/listen.h"

#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "count/sound.h"

static bool on_progress(void *user, double part)
{
    struct listen *l = user;
    atomic_store(&l->percent, (int)(part * 100));
    return !atomic_load(&l->cancel);
}

static void *work(void *user)
{
    struct listen *l = user;
    l->ok = app_beats(l->path, l->map, l->length_us, &l->choice, &l->memory, &l->beats, &l->e);
    atomic_store(&l->done, true);
    return NULL;
}

static void let_go(struct desk *d)
{
    struct listen *l = d->listen;
    if (!l->taken) {
        atomic_store(&l->cancel, true);
        pthread_join(l->thread, NULL);
    }
    arena_free(&l->memory);
    free(l->path);
    free(l);
    d->listen = NULL;
}

/* "beats", "beats 60m", "beats 60m 20C": distance from the sound to the box, and how warm it is. */
void command_beats(struct desk *d, const char *arg)
{
    struct err e = {0};
    const struct clip *c = desk_current(d);
    if (!c || d->play.status != PLAYER_READY) {
        desk_trouble(d, "no clip is open");
        return;
    }
    if (d->listen) {
        desk_trouble(d, "listening already; Esc stops it");
        return;
    }
    struct listen *l = xcalloc(1, sizeof *l);
    char *words = arena_strdup(&l->memory, arg), *second = strchr(words, ' ');
    l->choice = (struct beats_choice){.celsius = SOUND_USUAL_C, .progress = on_progress, .user = l};
    if (second)
        *second++ = '\0';
    const char *path = app_clip_path(d->app, c, &e);
    bool ok = path && (!*words || distance_parse(words, &l->choice.distance_m, &e)) &&
              (!second || temperature_parse(second, &l->choice.celsius, &e));
    l->map = ok ? app_map(d->app, c, &l->memory, NULL, &e) : NULL;
    l->length_us = c->length_us;
    l->path = xstrdup(path ? path : "");
    for (size_t i = 0; !l->choice.bpm && i < d->app->show.n_sets; i++)
        l->choice.bpm = d->app->show.sets[i].tempo; /* where nothing is tied yet */
    d->listen = l;
    if (!l->map || pthread_create(&l->thread, NULL, work, l) != 0) {
        l->taken = true;
        let_go(d);
        desk_trouble(d, "%s", *e.text ? e.text : "cannot listen now");
        return;
    }
    desk_say(d, "listening ... (Esc stops it)");
}

bool listen_poll(struct desk *d)
{
    struct listen *l = d->listen;
    if (!l || l->taken)
        return false;
    if (!atomic_load(&l->done)) {
        desk_say(d, "listening ... %d %%  (Esc stops it)", atomic_load(&l->percent));
        return true;
    }
    pthread_join(l->thread, NULL);
    l->taken = true;
    if (!l->ok) {
        if (l->e.code)
            desk_trouble(d, "%s", l->e.text);
        let_go(d);
        return true;
    }
    double confidence = 0;
    for (size_t i = 0; i < l->beats.n; i++)
        confidence += l->beats.beat[i].confidence / (double)l->beats.n;
    desk_say(d,
             d->ties.n ? "%zu beats, confidence %.2f  (Enter ties the sets counted off from the "
                         "nearest tie, Esc drops)"
                       : "%zu beats, confidence %.2f; tie one set first, then Enter counts off "
                         "the others (Esc drops)",
             l->beats.n, confidence);
    return true;
}

static const struct tie *known_tie(const struct desk *d)
{
    const struct tie *best = NULL;
    for (size_t i = 0; i < d->ties.n; i++)
        if (!best ||
            llabs(d->ties.at[i].at_us - d->play.at_us) < llabs(best->at_us - d->play.at_us))
            best = &d->ties.at[i];
    return best;
}

struct keeping {
    struct desk *desk;
    const struct tie *known;
    size_t made;
};

static bool tie_beats(struct store *s, void *ctx, struct err *e)
{
    struct keeping *k = ctx;
    struct desk *d = k->desk;
    struct beat_tie *ties;
    size_t n;
    (void)s;
    struct map_anchor from = {k->known->at_us, k->known->set, k->known->count, k->known->flags};
    if (!beats_ties(&d->listen->memory, &d->listen->beats, d->moves, d->app->show.n_sets, &from,
                    &ties, &n, e))
        return false;
    for (size_t i = 0; i < n; i++) {
        struct tie t = {ties[i].tie.us, ties[i].tie.set, ties[i].tie.count, ties[i].tie.flags,
                        false};
        bool is_known = t.set == k->known->set && t.count == k->known->count;
        if (!is_known && !app_tie(d->app, desk_current(d), &t, NULL, e))
            return false;
        k->made += !is_known;
    }
    return true;
}

/* Ties every set that the beats reach, as one step. */
static void keep(struct desk *d)
{
    struct err e = {0};
    struct keeping k = {.desk = d, .known = known_tie(d)};
    if (!k.known) {
        desk_trouble(d, "tie one set first; the others are counted off from it");
        return;
    }
    bool ok = store_step(d->app->store, "tie sets to the beats heard", tie_beats, &k, &e);
    desk_wrote(d);
    ok = ok && read_map(d, &e) && read_marks(d, &e);
    if (ok)
        desk_say(d, "%zu sets tied to the beats heard", k.made);
    else
        desk_trouble(d, "not tied: %s", e.text);
    let_go(d);
}

bool listen_end(struct desk *d, bool keep_it)
{
    if (!d->listen)
        return false;
    if (!keep_it) {
        let_go(d);
        desk_say(d, "stopped listening");
    } else if (d->listen->taken) {
        keep(d);
    } else {
        desk_trouble(d, "still listening; wait for the beats, or Esc stops it");
    }
    return true;
}
