#include "command/spoken_inner.h"

#include <math.h>
#include <string.h>

#include "app/app.h"
#include "app/voice.h"
#include "command/command.h"
#include "command/new_mark.h"
#include "command/playing.h"
#include "hear/live.h"
#include "sys/clock.h"

/* A key that is held repeats itself at least ten times a second; when it has not for so long, it is let go. */
enum { LET_GO_US = 200000, TICK_MS = 40 };

/* --- a call that waits --------------------------------------------------------------------------------- */

void spoken_forget(struct desk *d)
{
    live_drop(spoken_mine(d)->live);
    spoken_rest(d);
}

/* False when it cannot be saved: then it waits on, and that is said. */
static bool keep(struct desk *d)
{
    const struct spoken_hand *h = spoken_mine(d);
    if (!make_said_mark(d, &(struct mark){.at_us = h->at_us,
                                          .targets = h->targets,
                                          .n_targets = h->n_targets,
                                          .fault = h->fault,
                                          .praise = h->praise,
                                          .severity = h->severity}))
        return false;
    spoken_rest(d);
    return true;
}

static void drop(struct desk *d)
{
    d->message[0] = '\0';
    spoken_forget(d);
}

static void screen_left(struct desk *d)
{
    if (!*d->message && spoken_mine(d)->phase == SPOKEN_OPEN)
        desk_say(d, "the spoken call was dropped");
    spoken_forget(d);
}

static void answer(struct desk *d, bool keep_it)
{
    if (!keep_it)
        drop(d);
    else if (spoken_mine(d)->phase == SPOKEN_OPEN)
        keep(d);
}

/* A letter begins the next call: this one is kept first. */
static bool waiting_key(struct desk *d, const char *key)
{
    if (strcmp(key, "Backspace") == 0) {
        drop(d);
        return true;
    }
    return key_is_letter(key) && !keep(d);
}

static bool is_one_of(const char *line, const char *const *all)
{
    for (; *all; all++)
        if (strncmp(line, *all, strlen(*all)) == 0)
            return true;
    return false;
}

/* What says more of the newest mark speaks of this one, which is kept first. */
static bool waiting_line(struct desk *d, const char *line)
{
    static const char *const more[] = {"severity", "praise", "cause", "repeat",
                                       "correct",  "note ",  NULL},
                             *const none[] = {"undo", "remove", NULL};
    if (is_one_of(line, none)) {
        drop(d);
        return true;
    }
    return is_one_of(line, more) && !keep(d);
}

static const struct hold_kind waiting = {.key = waiting_key,
                                         .line = waiting_line,
                                         .end = answer,
                                         .screen_left = screen_left,
                                         .drop = spoken_forget};

/* --- while it is said --------------------------------------------------------------------------------- */

static bool speaking_key(struct desk *d, const char *key)
{
    if (strcmp(key, "Backspace") == 0) {
        drop(d);
        return true;
    }
    if (key_is_letter(key)) /* it is typed instead */
        drop(d);
    return false;
}

static bool speaking_line(struct desk *d, const char *line)
{
    if (strcmp(line, "undo") != 0)
        return false;
    drop(d);
    return true;
}

static const struct hold_kind speaking = {.key = speaking_key,
                                          .line = speaking_line,
                                          .end = answer,
                                          .screen_left = screen_left,
                                          .drop = spoken_forget,
                                          .tick_ms = TICK_MS};

static void begin(struct desk *d)
{
    struct spoken_hand *h = spoken_mine(d);
    if (h->stale) { /* what it would hear means something else now */
        if (spoken_anew(d))
            desk_trouble(d, "the show's words have changed; one moment, then say it");
        return;
    }
    if (!seen_at(d, &h->at_us))
        return;
    h->presses = 1;
    h->late = false;
    h->level = 0;
    h->phase = SPOKEN_STARTING;
    d->message[0] = '\0';
    if (d->player)
        player_hush(d->player, true); /* the clip's band is no part of the call */
    hold_begin(d, &h->hold, &speaking);
    live_listen(h->live);
}

/* The key: pressed, or repeated because it is held. */
void command_say(struct desk *d, const char *arg)
{
    struct spoken_hand *h = spoken_mine(d);
    const int64_t before_us = h->pressed_us;
    (void)arg;
    h->pressed_us = clock_mono_us();
    /* Still held though the call has ended, since it was too long: not the next one. */
    if ((h->phase == SPOKEN_READY || h->phase == SPOKEN_OPEN) && h->presses > 1 &&
        h->pressed_us - before_us < LET_GO_US)
        return;
    switch (h->phase) {
    case SPOKEN_OFF:
        desk_trouble(d, "spoken calls are off; :voice on turns them on (no sound is kept or sent)");
        break;
    case SPOKEN_OPENING:
        desk_trouble(d, "the microphone %s is being opened; one moment", h->source);
        break;
    case SPOKEN_OPEN:
        if (keep(d))
            begin(d);
        break;
    case SPOKEN_READY:
        begin(d);
        break;
    case SPOKEN_STARTING:
    case SPOKEN_LISTENING:
        h->presses++;
        h->late = false;
        live_hold_open(h->live);
        break;
    case SPOKEN_THINKING:
        break;
    }
}

/* Keys may wait behind what took long: it is let go when they were read and there was none. */
void spoken_let_go(struct desk *d)
{
    struct spoken_hand *h = spoken_mine(d);
    if ((h->phase != SPOKEN_STARTING && h->phase != SPOKEN_LISTENING) || h->presses < 2 ||
        clock_mono_us() - h->pressed_us <= LET_GO_US)
        return;
    if (h->late)
        live_enough(h->live);
    h->late = true;
}

/* --- what was said --------------------------------------------------------------------------------------- */

static void open_call(struct desk *d, const struct heard_call *c)
{
    struct spoken_hand *h = spoken_mine(d);
    for (size_t i = 0; i < c->call.n_targets; i++)
        h->targets[i] = (struct target){c->call.targets[i].section, c->call.targets[i].performer};
    h->n_targets = c->call.n_targets;
    h->fault = c->call.fault;
    h->severity = c->call.severity;
    h->praise = c->call.praise;
    h->confidence = c->confidence;
    h->phase = SPOKEN_OPEN;
    if (d->player)
        player_hush(d->player, false);
    hold_begin(d, &h->hold, &waiting);
    desk_say(d, "heard '%s', %.0f %% sure; %s keeps it", c->quote, floor(100 * c->confidence),
             spoken_key(d, "note"));
}

void spoken_heard(struct desk *d)
{
    struct arena a = {0};
    struct spoken_hand *h = spoken_mine(d);
    struct speech_said said;
    struct heard_call c;
    live_take(h->live, &a, &said);
    const bool any = said.n > 0 && app_voice_read(h->voice, &a, &said, &c);
    if (any && c.confidence >= app_voice_sure) {
        open_call(d, &c);
    } else {
        spoken_rest(d);
        if (any)
            desk_trouble(d, "no call was made out ('%s'?): say it again, or type it", c.quote);
        else
            desk_trouble(d, "no call was heard; hold %s while you say one", spoken_key(d, "say"));
    }
    arena_free(&a);
}

bool spoken_found_again(struct desk *d, struct spoken_hand *h)
{
    const struct show *s = &d->app->show;
    bool all = true;
    for (size_t i = 0; all && i < h->n_targets; i++)
        all = who_find(s, &h->before[i], &h->targets[i]);
    h->fault = fault_of_row(s, h->fault_row);
    return all && h->fault >= 0 && !s->faults[h->fault].removed;
}
