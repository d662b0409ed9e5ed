#include "command/spoken_inner.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "app/voice.h"
#include "command/command.h"
#include "hear/live.h"

static void clip_left(struct desk *d, void *mine);
static void before_read(struct desk *d, void *mine);
static void after_read(struct desk *d, void *mine);
static bool work(struct desk *d, void *mine);

/* What is remembered is spoken_mic.c's. */
struct listener {
    bool begun;
};

static const struct part part = {.size = sizeof(struct listener),
                                 .clip_left = clip_left,
                                 .before_read = before_read,
                                 .after_read = after_read,
                                 .work = work};

/* --- on and off -------------------------------------------------------------------------------------- */

static void say_state(struct desk *d)
{
    if (spoken_on(d))
        desk_say(d, "spoken calls are on, from %s: hold %s while you say one",
                 spoken_mine(d)->source, spoken_key(d, "say"));
    else
        desk_say(d, "spoken calls are off; voice on turns them on. No sound is kept or sent");
}

/* "", "on", "off", or where the sound comes from */
void command_voice(struct desk *d, const char *arg)
{
    struct spoken_hand *h = spoken_mine(d);
    struct err e;
    if (!*arg) {
        say_state(d);
    } else if (strcmp(arg, "off") == 0) {
        spoken_off(d);
        desk_say(d, "spoken calls are off; the microphone is closed");
    } else if (strlen(arg) >= sizeof h->source) {
        desk_trouble(d, "%.40s...: too long a name of a microphone", arg);
    } else {
        ((struct listener *)desk_part(d, &part))->begun = true;
        spoken_off(d);
        if (strcmp(arg, "on") != 0 || !*h->source)
            snprintf(h->source, sizeof h->source, "%s", strcmp(arg, "on") == 0 ? "default" : arg);
        if (spoken_turn_on(d, &e))
            desk_say(d, "opening the microphone %s ...", h->source);
        else
            desk_trouble(d, "%s", e.text);
    }
}

static void clip_left(struct desk *d, void *mine)
{
    (void)mine;
    if (spoken_hand(d)->phase == SPOKEN_OPEN)
        desk_say(d, "the spoken call was dropped");
    if (spoken_open(d))
        spoken_forget(d);
}

/* --- what the thread says ------------------------------------------------------------ */

/* The phase in which the thread is, as the person sees it. */
static bool follow(struct desk *d, enum live_phase now)
{
    struct spoken_hand *h = spoken_mine(d);
    const enum spoken_phase before = h->phase;
    if (h->phase == SPOKEN_OPENING && now == LIVE_READY) {
        h->phase = SPOKEN_READY;
        h->stale = h->reread && !app_voice_again(h->voice, &d->app->show);
        say_state(d);
    } else if (h->phase >= SPOKEN_STARTING && h->phase < SPOKEN_OPEN) {
        if (now == LIVE_HEARD)
            spoken_heard(d);
        else if (now == LIVE_LISTENING)
            h->phase = SPOKEN_LISTENING;
        else if (now == LIVE_THINKING)
            h->phase = SPOKEN_THINKING;
    }
    return h->phase != before;
}

static void gone(struct desk *d)
{
    struct spoken_hand *h = spoken_mine(d);
    char why[300];
    snprintf(why, sizeof why, "%s", live_gone(h->live));
    const bool spoke = spoken_open(d), opened = h->phase != SPOKEN_OPENING;
    spoken_off(d);
    if (!opened) {
        desk_trouble(d, "no microphone: %s; :voice NAME opens another", why);
        h->source[0] = '\0';
    } else {
        desk_trouble(d, "the microphone %s is gone%s: %s; type the call. :voice on opens it again",
                     h->source, spoke ? " while you spoke" : "", why);
    }
}

/* A call that waits was heard whole: whatever happens to the microphone meanwhile waits for its answer. */
static bool work(struct desk *d, void *mine)
{
    struct spoken_hand *h = spoken_mine(d);
    (void)mine;
    if (h->phase == SPOKEN_OFF || h->phase == SPOKEN_OPEN)
        return false;
    const enum live_phase now = live_phase(h->live);
    if (now == LIVE_GONE) {
        gone(d);
        return true;
    }
    if (h->stale && h->phase == SPOKEN_READY) {
        spoken_anew(d);
        return true;
    }
    const int level = (int)(SPOKEN_LEVELS * live_level(h->live) + 0.5);
    const bool louder = h->phase == SPOKEN_LISTENING && level != h->level;
    h->level = level;
    spoken_let_go(d);
    return follow(d, now) || louder;
}

/* --- the show read again ------------------------------------------------------------------------------------ */

static void before_read(struct desk *d, void *mine)
{
    struct spoken_hand *h = spoken_mine(d);
    (void)mine;
    if (h->phase != SPOKEN_OPEN)
        return;
    for (size_t i = 0; i < h->n_targets; i++)
        h->before[i] = who_of(&d->app->show, &h->targets[i]);
    h->fault_row = d->app->show.faults[h->fault].id;
}

static void after_read(struct desk *d, void *mine)
{
    struct spoken_hand *h = spoken_mine(d);
    (void)mine;
    if (h->phase == SPOKEN_OFF)
        return;
    if (h->phase == SPOKEN_OPENING) { /* the ear is being made of the words there were */
        h->reread = true;
        return;
    }
    if (h->phase == SPOKEN_OPEN && !spoken_found_again(d, h)) {
        spoken_forget(d);
        desk_trouble(d, "what was said is not in the show any more; the call was dropped");
    }
    h->stale = !app_voice_again(h->voice, &d->app->show);
    if (h->stale && h->phase >= SPOKEN_STARTING && h->phase < SPOKEN_OPEN) {
        spoken_forget(d);
        desk_trouble(d, "the show's words changed while you spoke; say it again");
    }
}
