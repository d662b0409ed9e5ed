/* The desk follows the show file: what others write is read again, whatever is being done. */
#include <stdio.h>

#include "command/calls.h"
#include "command/command.h"
#include "sys/clock.h"

enum {
    SETTLE_US = 2000000, /* without a write, before the log is carried over */
    SETTLE_PLAYING_US = 15000000,
};

/* Reads the show again. Nothing keeps a position in it: an open chord is read anew from its keys;
 * people, faults and clips that are remembered are rows of the file. */
static bool reload_show(struct desk *d, struct err *e)
{
    const struct clip_list *clips = &d->app->clips;
    int64_t line = d->clip_line < clips->n ? clips->at[d->clip_line].id : 0;
    struct who before[CHORD_TARGETS];
    size_t n = d->chord.n_targets;
    for (size_t i = 0; i < n; i++)
        before[i] = who_of(&d->app->show, &d->chord.targets[i]);
    bool ok = app_reload(d->app, e);
    plan_follow(d);
    d->clip_line = 0;
    for (size_t i = 0; i < clips->n; i++)
        if (clips->at[i].id == line)
            d->clip_line = i;
    if (!desk_chord_open(d))
        return ok;
    chord_read(&d->app->show, d->typed, false, &d->chord);
    bool same =
        d->chord.n_targets == n && d->chord.phase != CHORD_DONE && d->chord.phase != CHORD_WRONG;
    for (size_t i = 0; same && i < n; i++) {
        struct who now = who_of(&d->app->show, &d->chord.targets[i]);
        same = now.section == before[i].section && now.performer == before[i].performer;
    }
    if (!same) { /* the keys mean somebody else now */
        chord_cancel(d);
        desk_trouble(d, "the keys changed while a chord was typed; type it again");
    }
    return ok;
}

/* The list on screen; whoever it was for may have left. */
static void reload_fixes(struct desk *d)
{
    if (d->screen != SCREEN_FIXES) {
        fixes_forget(d);
        return;
    }
    if (fixes_load(d, d->fixes_for) || !*d->fixes_for)
        return;
    char who[sizeof d->fixes_for];
    snprintf(who, sizeof who, "%s", d->fixes_for);
    if (fixes_load(d, ""))
        desk_trouble(d, "%s is not in the show any more; this is everybody's list", who);
}

/* What is shown without a show that can be read: nothing rather than what was. */
static void forget_marks(struct desk *d)
{
    calls_forget(d);
    arena_free(&d->map_memory);
    d->map = NULL;
    d->moves = NULL;
    d->ties = (struct tie_list){0};
}

bool desk_reload(struct desk *d, struct err *e)
{
    bool ok = reload_show(d, e);
    d->version = d->app->version;
    reload_fixes(d);
    if (ok && d->clip && !desk_current(d))
        ok = err_set(e, ERR_INPUT, "the clip is not in the show any more; choose another");
    ok = ok && (!d->clip || (read_map(d, e) && read_marks(d, e)));
    if (!ok)
        forget_marks(d);
    return ok;
}

/* The file: is it still there, has somebody else written to it, and is there a quiet moment to
 * carry the log over? */
bool desk_follow(struct desk *d)
{
    struct err e;
    struct store *s = d->app->store;
    if (!d->lost && !store_holds(s, &e)) {
        d->lost = true;
        desk_trouble(d, "%s", e.text);
        return true;
    }
    if (!d->lost && store_version(s) != d->version) {
        if (!desk_reload(d, &e))
            desk_trouble(d, "%s", e.text);
        return true;
    }
    int64_t quiet = d->written_us ? clock_mono_us() - d->written_us : 0;
    if (quiet > (d->play.playing ? SETTLE_PLAYING_US : SETTLE_US) && !desk_chord_open(d)) {
        store_settle(s);
        d->written_us = 0;
    }
    return false;
}
