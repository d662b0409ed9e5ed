/* Tying the clip to the drill, and moving by set and count. */
#include "command/tie.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/clip.h"
#include "command/command.h"
#include "command/line.h"
#include "command/playing.h"
#include "command/tied.h"
#include "command/typed.h"
#include "command/who.h"
#include "count/moment.h"
#include "count/timecode.h"

void command_set(struct desk *d, const char *arg)
{
    char text[200];
    if (!*arg) {
        desk_trouble(d, "write: set 14, or 14.5 for its count 5");
        return;
    }
    /* The word keeps a set that is not there from being taken for seconds. */
    snprintf(text, sizeof text, "%s%s", strchr("+-", *arg) ? "" : "set ", arg);
    go_typed(d, text);
}

static const struct tie *some_tie(struct desk *d)
{
    const struct tie *best = nearest_tie(d);
    if (!best)
        desk_trouble(d, "no ties yet; %s ties now to the next set",
                     keymap_key_of(&d->keys, "review", "tie"));
    return best;
}

/* The set whose count 1 is most likely now: the one whose written beginning is nearest, else the
 * one after the last tie before now, else the first. */
static int next_set(const struct desk *d)
{
    enum { NEAR_US = 2500000 };
    struct map_span span;
    int set = 0;
    for (size_t i = 0; i < d->ties.n && d->ties.at[i].at_us <= d->play.at_us; i++)
        set = d->ties.at[i].rests ? set : d->ties.at[i].set + 1;
    if (map_boundary(d->map, d->play.at_us + 1, MAP_NEAREST, &span) &&
        llabs(span.from_us - d->play.at_us) < NEAR_US)
        set = span.set;
    return set < (int)d->app->show.n_sets ? set : (int)d->app->show.n_sets - 1;
}

static void made(struct desk *d, const char *what)
{
    struct err e;
    if (map_read(d, &e) && marks_read(d, &e))
        desk_say(d, "%s", what);
    else
        desk_trouble(d, "%s", e.text);
}

/* A tie that waits for the answer whether a new run begins. */
struct pending {
    struct tie tie;
    int64_t set; /* row of its set */
    char what[100];
};

static const struct part part = {.size = sizeof(struct pending)};

static struct pending *pending(const struct desk *d)
{
    return desk_part(d, &part);
}

static void run_answered(struct desk *d, const char *text)
{
    const struct pending *p = pending(d);
    struct tie t = p->tie;
    t.set = set_of_row(&d->app->show, p->set);
    t.flags |= ANCHOR_BREAK; /* said, so it is not asked about again */
    if ((text[0] != 'y' && text[0] != 'Y') || t.set < 0 || !desk_current(d))
        desk_say(d, "not tied");
    else
        tie_make(d, &t, p->what);
}

static void run_dropped(struct desk *d)
{
    run_answered(d, "");
}

static const struct line_kind run_line = {.label = " a new run of the drill? y/n:",
                                          .offered = true,
                                          .done = run_answered,
                                          .cancelled = run_dropped};

enum tie_outcome tie_make(struct desk *d, const struct tie *t, const char *what)
{
    struct buf why = {0};
    struct err e;
    enum tie_outcome outcome = TIE_REFUSED;
    if (!app_tie_parts(d->app, desk_current(d), t, &why, &e)) {
        desk_trouble(d, "not tied: %s", e.text);
    } else if (why.n) {
        struct pending *p = pending(d);
        *p = (struct pending){.tie = *t, .set = d->app->show.sets[t->set].id};
        snprintf(p->what, sizeof p->what, "%s", what);
        line_ask(d, &run_line, "n");
        desk_trouble(d, "%s", buf_text(&why));
        outcome = TIE_ASKED;
    } else if (app_tie(d->app, desk_current(d), t, what, &e)) {
        desk_wrote(d);
        made(d, what);
        outcome = TIE_MADE;
    } else {
        desk_trouble(d, "not tied: %s", e.text);
    }
    buf_free(&why);
    return outcome;
}

/* The key is pressed on the beat, and a person's hand is as late on it as on a tap. */
static int64_t tied_at(const struct desk *d)
{
    if (!d->play.playing)
        return d->play.at_us;
    int64_t at = d->play.at_us - llround(d->tap_bias_us * d->play.speed);
    int64_t frame = player_frame_at(d->player, at < 0 ? 0 : at);
    int64_t time = frame >= 0 ? player_frame_time(d->player, frame) : -1;
    return time >= 0 ? time : at < 0 ? 0 : at;
}

/* On a frame that stands: the frame. */
static int64_t tie_error(const struct desk *d)
{
    const int64_t hand_us = playing_hand_us(d);
    return hand_us ? hand_us : playing_frame_us(d);
}

static void tie_now(struct desk *d, int set, double count)
{
    struct tie t = {.at_us = tied_at(d), .set = set, .count = count, .error_us = tie_error(d)};
    char what[100], time[24];
    time_format(t.at_us, time);
    snprintf(what, sizeof what, "tie %s to set %.40s, count %g", time, d->app->show.sets[set].label,
             count);
    tie_make(d, &t, what);
}

static void tie_typed(struct desk *d, const char *text)
{
    if (*text)
        command_tie(d, text);
}

static const struct line_kind tie_line = {
    .label = " now is set.count:", .offered = true, .done = tie_typed};

void command_tie(struct desk *d, const char *arg)
{
    struct moment m;
    struct err e;
    if (!d->player || d->play.status != PLAYER_READY || !d->map) {
        desk_trouble(d, "no clip is open");
        return;
    }
    if (d->app->show.n_sets == 0) {
        desk_trouble(d, "the show has no sets yet; add them: boxcall add SHOW sets FILE");
        return;
    }
    if (strcmp(arg, "?") == 0) {
        line_ask(d, &tie_line, "%s.1", d->app->show.sets[next_set(d)].label);
    } else if (!*arg) {
        tie_now(d, next_set(d), 1);
    } else if (!moment_parse_drill(arg, d->moves, &m, &e)) {
        desk_trouble(d, "%s", e.text);
    } else if (m.kind != MOMENT_PLACE) {
        desk_trouble(d, "write a set and count, as in 14.5");
    } else {
        tie_now(d, m.set, m.count);
    }
}

void command_untie(struct desk *d, const char *arg)
{
    (void)arg;
    enum { NEAR_US = 10000000 };
    const struct tie *t = some_tie(d);
    struct err e;
    char what[100], time[24];
    if (!t)
        return;
    time_format(t->at_us, time);
    if (llabs(t->at_us - d->play.at_us) > NEAR_US) {
        desk_trouble(d, "no tie within ten seconds; the nearest is at %s", time);
        return;
    }
    snprintf(what, sizeof what, "untie %s from set %.40s", time, d->app->show.sets[t->set].label);
    desk_wrote(d);
    if (app_untie(d->app, desk_current(d), t->at_us, what, &e))
        made(d, what);
    else
        desk_trouble(d, "%s", e.text);
}

void command_tie_move(struct desk *d, const char *arg)
{
    const struct tie *t = some_tie(d);
    struct err e;
    char what[100], time[24];
    if (!t)
        return;
    int64_t frame = player_frame_at(d->player, t->at_us);
    int64_t to = frame >= 0 ? player_frame_time(d->player, frame + atoi(arg)) : -1;
    if (to < 0) {
        desk_trouble(d, "no frame there");
        return;
    }
    time_format(to, time);
    snprintf(what, sizeof what, "move the tie of set %.40s to %s", d->app->show.sets[t->set].label,
             time);
    if (!app_tie_move(d->app, desk_current(d), (struct tie_move){t, to}, what, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    desk_wrote(d);
    made(d, what);
    go_to(d, to);
}

void command_metronome(struct desk *d, const char *arg)
{
    (void)arg;
    if (!d->metronome && d->ties.n == 0) {
        desk_trouble(d, "no ties yet, so there are no counts to flash on");
        return;
    }
    d->metronome = !d->metronome;
    desk_say(d, d->metronome ? "the counts flash" : "no flash on the counts");
}
