#include "command/spoken_inner.h"

#include "app/app.h"
#include "app/voice.h"
#include "hear/live.h"

static void end(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct spoken_hand), .end = end};

struct spoken_hand *spoken_mine(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct spoken_hand *spoken_hand(const struct desk *d)
{
    return spoken_mine(d);
}

bool spoken_on(const struct desk *d)
{
    return spoken_mine(d)->phase != SPOKEN_OFF;
}

bool spoken_open(const struct desk *d)
{
    return spoken_mine(d)->phase >= SPOKEN_STARTING;
}

const char *spoken_key(const struct desk *d, const char *command)
{
    return keymap_key_of(&d->keys, "review", command);
}

/* --- on and off -------------------------------------------------------------------------------------- */

void spoken_rest(struct desk *d)
{
    struct spoken_hand *h = spoken_mine(d);
    if (d->player)
        player_hush(d->player, false);
    hold_end(d, &h->hold);
    h->n_targets = 0;
    h->phase = SPOKEN_READY;
}

static void let_all_go(struct spoken_hand *h)
{
    live_free(h->live);
    app_voice_close(h->voice);
    h->live = NULL;
    h->voice = NULL;
    h->phase = SPOKEN_OFF;
}

void spoken_off(struct desk *d)
{
    if (!spoken_on(d))
        return;
    spoken_rest(d);
    let_all_go(spoken_mine(d));
}

static bool make_ear(void *user, struct speech **out, struct err *e)
{
    struct app_voice *v = user;
    const bool ok = app_voice_make_ear(v, e);
    *out = app_voice_ear(v);
    return ok;
}

bool spoken_turn_on(struct desk *d, struct err *e)
{
    struct spoken_hand *h = spoken_mine(d);
    if (!app_voice_begin(&h->voice, &d->app->show, e))
        return false;
    const struct live_want want = {h->source, make_ear, h->voice};
    h->stale = h->reread = false;
    if (live_begin(&h->live, &want, e)) {
        h->phase = SPOKEN_OPENING;
        return true;
    }
    app_voice_close(h->voice);
    h->voice = NULL;
    return false;
}

bool spoken_anew(struct desk *d)
{
    struct err e;
    spoken_off(d);
    return spoken_turn_on(d, &e) || (desk_trouble(d, "%s", e.text), false);
}

/* The player has ended before. */
static void end(struct desk *d, void *mine)
{
    (void)d;
    let_all_go(mine);
}
