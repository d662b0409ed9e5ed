#include "command/typed.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/playing.h"
#include "count/moment.h"
#include "count/timecode.h"

/* "2.9", "set 2": does it begin with a set's label? */
static bool names_set(const struct desk *d, const char *text)
{
    char label[64];
    snprintf(label, sizeof label, "%.*s", (int)strcspn(text, ". "), text);
    return show_set(&d->app->show, label) >= 0;
}

bool typed_moment(const struct desk *d, const char *text, int64_t *us, struct err *e)
{
    struct moment m;
    struct err drill, time;
    struct rate fps = rate_standard(d->play.fps_num, d->play.fps_den);
    /* In a tied clip a number that is a set's label is the set; before, it may be a time. */
    if (!d->map)
        return err_set(e, ERR_INPUT, "no clip is open");
    bool time_too = !d->ties.n || !names_set(d, text);
    if (d->app->show.n_sets && moment_parse_drill(text, d->moves, &m, &drill)) {
        if (moment_resolve(&m, d->map, d->play.at_us, us, e)) {
            *us = place_us(d, *us);
            return true;
        }
        return time_too && time_parse(text, us, &time);
    }
    if (time_too && moment_parse_time(text, fps, &m, &time))
        return moment_resolve(&m, d->map, d->play.at_us, us, e);
    *e = d->app->show.n_sets ? drill : time;
    return false;
}

/* In a tied clip a bare number names a set; one that no set has may still be seconds. */
static bool seconds_for_want_of_a_set(const struct desk *d, const char *text)
{
    return d->ties.n && d->app->show.n_sets && !names_set(d, text) &&
           strspn(text, "0123456789.") == strlen(text);
}

void go_typed(struct desk *d, const char *text)
{
    int64_t us;
    struct err e;
    if (!d->player || d->play.status != PLAYER_READY)
        desk_trouble(d, "no clip is open");
    else if (!typed_moment(d, text, &us, &e))
        desk_trouble(d, "%s", e.text);
    else if (us > d->play.length_us)
        desk_trouble(d, "%s is past the end of the clip", text);
    else {
        go_to(d, us);
        if (seconds_for_want_of_a_set(d, text))
            desk_say(d, "no set '%.*s': taken as %s seconds", (int)strcspn(text, "."), text, text);
    }
}
