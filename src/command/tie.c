/* Tying the clip to the drill, and moving by set and count. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
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
    if (d->app->show.n_sets &&
        moment_parse_drill(text, d->moves, d->app->show.n_sets, &m, &drill)) {
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

/* The tie nearest to the playhead, NULL when there is none. */
static const struct tie *nearest_tie(struct desk *d)
{
    const struct tie *best = NULL;
    for (size_t i = 0; i < d->ties.n; i++)
        if (!best ||
            llabs(d->ties.at[i].at_us - d->play.at_us) < llabs(best->at_us - d->play.at_us))
            best = &d->ties.at[i];
    if (!best)
        desk_trouble(d, "no ties yet; %s ties now to the next set",
                     keymap_key_of(&d->keys, KEYS_REVIEW, "tie"));
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
    if (read_map(d, &e) && read_marks(d, &e))
        desk_say(d, "%s", what);
    else
        desk_trouble(d, "%s", e.text);
}

bool tie_or_ask(struct desk *d, const struct tie *t, const char *what)
{
    struct buf why = {0};
    struct err e;
    bool parts, tied = false;
    if (!app_tie_parts(d->app, desk_current(d), t, &parts, &why, &e)) {
        desk_trouble(d, "not tied: %s", e.text);
    } else if (parts) {
        d->pending = *t;
        d->pending_set = d->app->show.sets[t->set].id;
        snprintf(d->pending_what, sizeof d->pending_what, "%s", what);
        ask_line(d, ASK_RUN, "n");
        desk_trouble(d, "%s", buf_text(&why));
    } else if (app_tie(d->app, desk_current(d), t, what, &e)) {
        desk_wrote(d);
        made(d, what);
        tied = true;
    } else {
        desk_trouble(d, "not tied: %s", e.text);
    }
    buf_free(&why);
    return tied;
}

void tie_answer(struct desk *d, const char *text)
{
    struct tie t = d->pending;
    t.set = set_of_row(&d->app->show, d->pending_set);
    t.flags |= ANCHOR_BREAK; /* said, so it is not asked about again */
    if ((text[0] != 'y' && text[0] != 'Y') || t.set < 0 || !desk_current(d))
        desk_say(d, "not tied");
    else
        tie_or_ask(d, &t, d->pending_what);
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

static void tie_now(struct desk *d, int set, double count)
{
    struct tie t = {.at_us = tied_at(d), .set = set, .count = count};
    char what[100], time[24];
    time_format(t.at_us, time);
    snprintf(what, sizeof what, "tie %s to set %.40s, count %g", time, d->app->show.sets[set].label,
             count);
    tie_or_ask(d, &t, what);
}

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
        ask_line(d, ASK_TIE, "%s.1", d->app->show.sets[next_set(d)].label);
    } else if (!*arg) {
        tie_now(d, next_set(d), 1);
    } else if (!moment_parse_drill(arg, d->moves, d->app->show.n_sets, &m, &e)) {
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
    const struct tie *t = nearest_tie(d);
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
    const struct tie *t = nearest_tie(d);
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
    if (!app_tie_move(d->app, desk_current(d), t, to, what, &e)) {
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
