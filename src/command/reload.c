#include "command/reload.h"

#include "app/app.h"
#include "command/calls.h"
#include "command/clip.h"
#include "command/tied.h"
#include "sys/clock.h"

enum {
    SETTLE_US = 2000000, /* without a write, before the log is carried over */
    SETTLE_PLAYING_US = 15000000,
};

/* What is shown without a show that can be read: nothing rather than what was. */
static void forget_marks(struct desk *d)
{
    calls_forget(d);
    map_forget(d);
}

bool desk_reload(struct desk *d, struct err *e)
{
    parts_before_read(d);
    bool ok = app_reload(d->app, e);
    d->version = d->app->version;
    parts_after_read(d);
    if (ok && d->clip && !desk_current(d))
        ok = err_set(e, ERR_INPUT, "the clip is not in the show any more; choose another");
    ok = ok && (!d->clip || (map_read(d, e) && marks_read(d, e)));
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
    if (quiet > (d->play.playing ? SETTLE_PLAYING_US : SETTLE_US) && !d->holds) {
        store_settle(s);
        d->written_us = 0;
    }
    return false;
}
