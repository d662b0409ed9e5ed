/* Moving through the clip. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/command.h"
#include "command/playing.h"
#include "command/typed.h"
#include "count/moment.h"
#include "count/timecode.h"

enum { SECOND_US = 1000000, RAIL_US = 30 * SECOND_US };

void command_play(struct desk *d, const char *arg)
{
    (void)arg;
    if (d->play.status == PLAYER_OPENING) {
        d->play_when_ready = !d->play_when_ready;
        return;
    }
    if (!playing_ready(d))
        return;
    if (d->play.ended && !d->play.playing)
        go_to(d, 0);
    player_play(d->player, !d->play.playing);
}

/* A number and nothing else, as in "+2" or "-0.5". */
static bool number_of(const char *text, double *out)
{
    char *end;
    *out = strtod(text, &end);
    return end != text && !*end && isfinite(*out) && fabs(*out) <= 1e6;
}

static int64_t time_before(const struct desk *d, int64_t us)
{
    int64_t frame = player_frame_at(d->player, us);
    int64_t length = playing_frame_us(d);
    return frame > 0 ? player_frame_time(d->player, frame - 1) : us - (length ? length : 1);
}

/* To the frame that shows the next count, or the one before. A frame seldom falls on the beginning
 * of a count, and map_step() takes what is almost on it for being on it. */
static bool step_count(const struct desk *d, bool on, int64_t *us)
{
    int64_t from = on ? *us : time_before(d, *us), to;
    if (!map_step(d->map, from, 0, 0, &to))
        return false;
    bool found = on ? to > from || map_step(d->map, from, 1, 0, &to)
                    : to <= from || map_step(d->map, from, -1, 0, &to);
    *us = place_us(d, to);
    return found;
}

void command_move(struct desk *d, const char *arg)
{
    enum { STEPS_MOST = 10000 };
    double n;
    if (!playing_ready(d))
        return;
    if (!number_of(arg, &n)) {
        desk_trouble(d, "write: move +N or -N, as in move +2");
        return;
    }
    int64_t to = d->play.at_us + llround(n * 1e6), counted = d->play.at_us;
    bool whole = d->map && n == floor(n) && fabs(n) <= STEPS_MOST;
    for (int i = 0; whole && i < abs((int)n); i++)
        whole = step_count(d, n > 0, &counted);
    go_to(d, whole ? counted : to);
}

/* Where the steps lead is known at once while the clip stands: the next keys go on from there. */
void command_step(struct desk *d, const char *arg)
{
    double n;
    if (!playing_ready(d))
        return;
    if (!number_of(arg, &n) || n != floor(n)) {
        desk_trouble(d, "write: step +N or -N, as in step +1");
        return;
    }
    int64_t here = d->play.playing ? -1 : player_frame_at(d->player, d->play.at_us);
    int64_t to = here + (int64_t)n, time = here < 0 ? -1 : player_frame_time(d->player, to);
    player_step(d->player, (int)n);
    d->target_us = time;
    if (time >= 0)
        d->play.at_us = time;
}

void command_seek(struct desk *d, const char *arg)
{
    struct err e;
    struct moment m;
    int64_t us;
    struct rate fps = rate_standard(d->play.fps_num, d->play.fps_den);
    if (!playing_ready(d))
        return;
    if (!*arg)
        desk_trouble(d, "write: seek TIME, as in seek 5:58.2, or seek end");
    else if (strcmp(arg, "end") == 0)
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
    if (!playing_ready(d))
        return;
    double now = d->play.speed, to = now;
    if (strcmp(arg, "slower") == 0) {
        for (int i = N - 1; i >= 0 && to == now; i--)
            to = steps[i] < now - 0.01 ? steps[i] : now;
    } else if (strcmp(arg, "faster") == 0) {
        for (int i = 0; i < N && to == now; i++)
            to = steps[i] > now + 0.01 ? steps[i] : now;
    } else {
        if (!number_of(arg, &to) || to < 0.25 || to > 2) {
            desk_trouble(d, "speed is from 0.25 to 2, or slower, or faster");
            return;
        }
    }
    player_speed(d->player, to);
    desk_say(d, "speed %g", to);
}

void command_volume(struct desk *d, const char *arg)
{
    double percent;
    if (!playing_ready(d))
        return;
    if (!number_of(arg, &percent) || percent < 0 || percent > 100) {
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
    loop_between(d, place_us(d, best->from_us), best->to_us);
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
    if (!playing_ready(d))
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
    size_t here = calls_here(d);
    if (!m && here < calls_shown(d))
        m = desk_mark(d, calls_nth(d, here).id);
    int64_t at = m ? m->at_us : d->play.at_us;
    loop_between(d, at - MARK_LEAD_IN_US, at + MARK_TAIL_US);
}

/* The call next to the chosen one, or to the playhead when none is chosen. */
void command_call(struct desk *d, const char *arg)
{
    bool next = strcmp(arg, "prev") != 0;
    const struct mark *from = desk_mark(d, d->selected);
    if (!playing_ready(d))
        return;
    if (next && strcmp(arg, "next") != 0) {
        desk_trouble(d, "write: call next, or call prev");
        return;
    }
    size_t n = calls_shown(d), before = calls_before(d, from ? from->at_us : d->play.at_us),
           after = from ? before : calls_before(d, d->play.at_us + 1);
    for (; from && before < n; before++) { /* among those of the same moment, by their rows */
        struct call_at c = calls_nth(d, before);
        if (c.at_us > from->at_us || c.id >= from->id)
            break;
    }
    if (from)
        after = before + (before < n && calls_nth(d, before).id == from->id);
    if (next ? after >= n : before == 0) {
        desk_trouble(d, next ? "no call after this" : "no call before this");
        return;
    }
    struct call_at to = calls_nth(d, next ? after : before - 1);
    d->selected = to.id;
    go_to(d, to.at_us);
}

/* Before a set whose frame is on screen, or that began to play within the last second, is the set
 * before it. */
static void rail_set(struct desk *d, bool prev)
{
    int64_t now = d->play.at_us, just = d->play.playing ? SECOND_US : 0;
    struct map_span span, earlier;
    if (!map_boundary(d->map, now, prev ? MAP_BEFORE : MAP_AFTER, &span)) {
        desk_trouble(d, prev ? "no set before this" : "no set after this");
        return;
    }
    if (prev && place_us(d, span.from_us) + just >= now) {
        bool more = map_boundary(d->map, span.from_us, MAP_BEFORE, &earlier);
        if (!more && place_us(d, span.from_us) >= now) {
            desk_trouble(d, "no set before this");
            return;
        }
        span = more ? earlier : span;
    }
    go_to_place(d, span.from_us);
}

void command_rail(struct desk *d, const char *arg)
{
    int64_t row = d->play.at_us / RAIL_US, inside = d->play.at_us % RAIL_US;
    bool prev = strcmp(arg, "prev") == 0;
    if (!playing_ready(d))
        return;
    if (!prev && strcmp(arg, "next") != 0)
        desk_trouble(d, "write: rail next, or rail prev");
    else if (d->ties.n)
        rail_set(d, prev);
    else if (prev)
        go_to(d, inside > SECOND_US ? row * RAIL_US : (row - 1) * RAIL_US);
    else
        go_to(d, (row + 1) * RAIL_US);
}
