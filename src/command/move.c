/* Moving through the clip. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "count/moment.h"
#include "count/timecode.h"

enum { RAIL_US = 30 * 1000000, LOOP_BEFORE_US = 2000000, LOOP_AFTER_US = 3000000 };

static bool ready(struct desk *d)
{
    if (d->player && d->play.status == PLAYER_READY)
        return true;
    desk_trouble(d, d->play.status == PLAYER_OPENING ? "the clip is still opening"
                                                     : "no clip is open");
    return false;
}

void go_to(struct desk *d, int64_t at_us)
{
    int64_t last = d->play.length_us;
    at_us = at_us < 0 ? 0 : at_us > last && last > 0 ? last : at_us;
    watch_end(d);
    player_seek(d->player, at_us);
    d->play.at_us = d->target_us = at_us;
}

static int64_t half_frame(const struct desk *d)
{
    return d->play.fps_num > 0 ? (int64_t)500000 * d->play.fps_den / d->play.fps_num : 0;
}

void command_play(struct desk *d, const char *arg)
{
    (void)arg;
    if (d->play.status == PLAYER_OPENING) {
        d->play_when_ready = !d->play_when_ready;
        return;
    }
    if (!ready(d))
        return;
    if (d->taps && d->play.playing) {
        command_tap(d, "");
        return;
    }
    if (d->play.ended && !d->play.playing)
        go_to(d, 0);
    player_play(d->player, !d->play.playing);
}

void command_move(struct desk *d, const char *arg)
{
    double n = atof(arg);
    int64_t to = d->play.at_us + llround(n * 1e6), counted;
    if (!ready(d))
        return;
    if (d->map && n == (int)n && map_step(d->map, d->play.at_us, (int)n, half_frame(d), &counted))
        to = counted;
    go_to(d, to);
}

void command_step(struct desk *d, const char *arg)
{
    if (!ready(d))
        return;
    player_step(d->player, atoi(arg));
    d->target_us = -1;
}

void command_seek(struct desk *d, const char *arg)
{
    struct err e;
    struct moment m;
    int64_t us;
    struct rate fps = rate_standard(d->play.fps_num, d->play.fps_den);
    if (!ready(d))
        return;
    if (strcmp(arg, "end") == 0)
        go_to(d, d->play.length_us);
    else if (!moment_parse_time(arg, fps, &m, &e)) /* here 14.5 is seconds, +2 too */
        go_typed(d, arg);
    else if (!moment_resolve(&m, d->map, d->play.at_us, &us, &e))
        desk_trouble(d, "%s", e.text);
    else if (us > d->play.length_us)
        desk_trouble(d, "%s is past the end of the clip", arg);
    else
        go_to(d, us);
}

void command_speed(struct desk *d, const char *arg)
{
    static const double steps[] = {0.25, 0.5, 0.75, 1, 1.25, 1.5, 2};
    enum { N = sizeof steps / sizeof *steps };
    if (!ready(d))
        return;
    double now = d->play.speed, to = now;
    if (strcmp(arg, "slower") == 0) {
        for (int i = N - 1; i >= 0 && to == now; i--)
            to = steps[i] < now - 0.01 ? steps[i] : now;
    } else if (strcmp(arg, "faster") == 0) {
        for (int i = 0; i < N && to == now; i++)
            to = steps[i] > now + 0.01 ? steps[i] : now;
    } else {
        to = atof(arg);
        if (to < 0.25 || to > 2) {
            desk_trouble(d, "speed is from 0.25 to 2");
            return;
        }
    }
    player_speed(d->player, to);
    desk_say(d, "speed %g", to);
}

void command_volume(struct desk *d, const char *arg)
{
    double percent = atof(arg);
    if (!ready(d))
        return;
    if (!*arg || percent < 0 || percent > 100) {
        desk_trouble(d, "volume is from 0 to 100");
        return;
    }
    player_volume(d->player, percent);
    desk_say(d, "volume %g", percent);
}

static void loop_between(struct desk *d, int64_t a, int64_t b)
{
    char from[24], to[24];
    if (a < 0)
        a = 0;
    if (d->play.length_us > 0 && b > d->play.length_us)
        b = d->play.length_us;
    player_loop(d->player, a, b);
    go_to(d, a);
    player_play(d->player, true);
    time_format_short(a, from);
    time_format_short(b, to);
    desk_say(d, "loop %s to %s", from, to);
}

/* The whole set, in the stretch of the playhead or the nearest one. */
static bool loop_set(struct desk *d, const char *label)
{
    size_t n;
    const struct map_span *spans = map_spans(d->map, &n), *best = NULL;
    int set = show_set(&d->app->show, label);
    for (size_t i = 0; set >= 0 && i < n; i++)
        if (spans[i].set == set && (!best || llabs(spans[i].from_us - d->play.at_us) <
                                                 llabs(best->from_us - d->play.at_us)))
            best = &spans[i];
    if (!best) {
        desk_trouble(d, "set '%s' is nowhere in this clip yet; tie the clip to it first", label);
        return true;
    }
    loop_between(d, best->from_us, best->to_us);
    return true;
}

static void loop_words(struct desk *d, const char *arg)
{
    char from[40] = "", to[40] = "";
    struct err e;
    int64_t a, b;
    sscanf(arg, "%39s %39s", from, to);
    if (strcmp(from, "set") == 0 && loop_set(d, to))
        return;
    if (!typed_moment(d, from, &a, &e) || !typed_moment(d, to, &b, &e))
        desk_trouble(d, "%s", *to ? e.text : "write: loop FROM TO, as in loop 1:05 1:12");
    else if (b <= a)
        desk_trouble(d, "the loop's end comes before its beginning");
    else
        loop_between(d, a, b);
}

void command_loop(struct desk *d, const char *arg)
{
    if (!ready(d))
        return;
    if (strcmp(arg, "off") == 0 || (!*arg && d->play.loop_a_us >= 0)) {
        player_loop(d->player, -1, -1);
        desk_say(d, "no loop");
        return;
    }
    if (*arg) {
        loop_words(d, arg);
        return;
    }
    const struct mark *m = desk_mark(d, d->selected ? d->selected : d->newest);
    size_t here = desk_here(d);
    if (!m && here < d->n_marks)
        m = &d->marks[here];
    int64_t at = m ? m->at_us : d->play.at_us;
    loop_between(d, at - LOOP_BEFORE_US, at + LOOP_AFTER_US);
}

/* The call next to the chosen one, or to the playhead when none is chosen. */
void command_call(struct desk *d, const char *arg)
{
    bool next = strcmp(arg, "prev") != 0;
    const struct mark *best = NULL, *from = desk_mark(d, d->selected);
    int64_t now = from ? from->at_us : d->play.at_us, id = from ? from->id : next ? INT64_MAX : -1;
    if (!ready(d))
        return;
    for (size_t i = 0; i < d->n_marks; i++) {
        const struct mark *m = &d->marks[i];
        bool after = m->at_us > now || (m->at_us == now && m->id > id);
        bool before = m->at_us < now || (m->at_us == now && m->id < id);
        if (!desk_shows(d, m))
            continue;
        if (next && after && !best)
            best = m;
        if (!next && before)
            best = m;
    }
    if (!best) {
        desk_trouble(d, next ? "no call after this" : "no call before this");
        return;
    }
    d->selected = best->id;
    go_to(d, best->at_us);
}

void command_rail(struct desk *d, const char *arg)
{
    int64_t row = d->play.at_us / RAIL_US, inside = d->play.at_us % RAIL_US;
    struct map_span span;
    bool prev = strcmp(arg, "prev") == 0;
    if (!ready(d))
        return;
    if (d->ties.n) {
        if (map_boundary(d->map, d->play.at_us, prev ? MAP_BEFORE : MAP_AFTER, &span))
            go_to(d, span.from_us);
        else
            desk_trouble(d, prev ? "no set before this" : "no set after this");
        return;
    }
    if (prev)
        go_to(d, inside > 1000000 ? row * RAIL_US : (row - 1) * RAIL_US);
    else
        go_to(d, (row + 1) * RAIL_US);
}
