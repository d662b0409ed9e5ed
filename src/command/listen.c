/* Finding the beat in the clip's sound, in a thread of its own: a hold. Enter ties the sets that
 * the beats reach, Esc stops it. */
#include <pthread.h>
#include <stdatomic.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "app/beats.h"
#include "command/clip.h"
#include "command/command.h"
#include "command/hold.h"
#include "command/tied.h"
#include "count/sound.h"

enum { TICK_MS = 100 };

struct listen {
    pthread_t thread;
    atomic_int percent;
    atomic_bool cancel, done;
    struct beats_choice choice; /* its path and map are of `memory`: ties may change meanwhile */
    struct arena memory;
    struct beats beats;
    bool ok;
    struct err e;
    bool taken; /* the thread is joined and the result was told */
};

struct listening {
    struct hold hold;
    struct listen *now;
};

static void left(struct desk *d, void *mine);
static bool follow(struct desk *d, void *mine);

static const struct part part = {
    .size = sizeof(struct listening), .clip_left = left, .work = follow};

static struct listening *listening(const struct desk *d)
{
    return desk_part(d, &part);
}

static void end(struct desk *d, bool keep);

static const struct hold_kind hearing = {.end = end, .tick_ms = TICK_MS};

static bool on_progress(void *user, double done)
{
    struct listen *l = user;
    atomic_store(&l->percent, (int)(done * 100));
    return !atomic_load(&l->cancel);
}

static void *work(void *user)
{
    struct listen *l = user;
    l->ok = app_beats(&l->choice, &l->memory, &l->beats, &l->e);
    atomic_store(&l->done, true);
    return NULL;
}

static void let_go(struct desk *d)
{
    struct listen *l = listening(d)->now;
    if (!l->taken) {
        atomic_store(&l->cancel, true);
        pthread_join(l->thread, NULL);
    }
    arena_free(&l->memory);
    free(l);
    listening(d)->now = NULL;
    hold_end(d, &listening(d)->hold);
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
    if (listening(d)->now) {
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
    l->choice.map = ok ? app_map(d->app, c, &l->memory, NULL, &e) : NULL;
    l->choice.length_us = c->length_us;
    l->choice.path = arena_strdup(&l->memory, path ? path : "");
    for (size_t i = 0; !l->choice.bpm && i < d->app->show.n_sets; i++)
        l->choice.bpm = d->app->show.sets[i].tempo; /* where nothing is tied yet */
    listening(d)->now = l;
    hold_begin(d, &listening(d)->hold, &hearing);
    if (!l->choice.map || pthread_create(&l->thread, NULL, work, l) != 0) {
        l->taken = true;
        let_go(d);
        desk_trouble(d, "%s", *e.text ? e.text : "cannot listen now");
        return;
    }
    desk_say(d, "listening ... (Esc stops it)");
}

/* Tells how far the listening is. */
static bool follow(struct desk *d, void *mine)
{
    struct listen *l = ((struct listening *)mine)->now;
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

/* Of a beat that was heard and counted; our assumption, no source. */
enum { BEAT_ERROR_US = 20000 };

struct keeping {
    struct desk *desk;
    const struct tie *known;
    size_t made;
};

static bool tie_beats(struct store *s, void *ctx, struct err *e)
{
    struct keeping *k = ctx;
    struct desk *d = k->desk;
    struct listen *l = listening(d)->now;
    (void)s;
    struct map_anchor from = {
        .us = k->known->at_us, .set = k->known->set, .count = k->known->count};
    const struct beat_ties *found = beats_ties(&l->memory, &l->beats, d->moves, &from, e);
    for (size_t i = 0; found && i < found->n; i++) {
        const struct map_anchor *a = &found->at[i].tie;
        struct tie t = {a->us, a->set, a->count, a->flags, false, BEAT_ERROR_US};
        bool is_known = t.set == k->known->set && t.count == k->known->count;
        if (!is_known && !app_tie(d->app, desk_current(d), &t, NULL, e))
            return false;
        k->made += !is_known;
    }
    return found;
}

/* Ties every set that the beats reach, as one step. */
static void keep(struct desk *d)
{
    struct err e = {0};
    struct keeping k = {.desk = d, .known = nearest_tie(d)};
    if (!k.known) {
        desk_trouble(d, "tie one set first; the others are counted off from it");
        return;
    }
    bool ok = store_step(d->app->store, "tie sets to the beats heard", tie_beats, &k, &e);
    desk_wrote(d);
    ok = ok && map_read(d, &e) && marks_read(d, &e);
    if (ok)
        desk_say(d, "%zu sets tied to the beats heard", k.made);
    else
        desk_trouble(d, "not tied: %s", e.text);
    let_go(d);
}

static void end(struct desk *d, bool keep_it)
{
    if (!keep_it) {
        let_go(d);
        desk_say(d, "stopped listening");
    } else if (listening(d)->now->taken) {
        keep(d);
    } else {
        desk_trouble(d, "still listening; wait for the beats, or Esc stops it");
    }
}

static void left(struct desk *d, void *mine)
{
    if (((struct listening *)mine)->now)
        end(d, false);
}
