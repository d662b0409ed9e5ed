/* How late a person taps on a beat, by a square that flashes steadily. It belongs to a person, not
 * to the band, so it is kept per author. */
#include "command/tap_bias.h"

#include <math.h>

#include "command/command.h"
#include "command/screen.h"
#include "count/taps.h"
#include "sys/clock.h"

enum {
    FLASH_US = 500000, /* 120 bpm */
    LIT_US = 120000,
};

static const struct part part = {.size = sizeof(struct tap_trial)};

static struct tap_trial *trial(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct tap_trial *tap_trial(const struct desk *d)
{
    return trial(d);
}

void tap_trial_left(struct desk *d)
{
    trial(d)->on = false;
}

void command_tap_measure(struct desk *d, const char *arg)
{
    (void)arg;
    *trial(d) = (struct tap_trial){.on = true, .first_us = clock_mono_us() + 2 * FLASH_US};
    if (d->player)
        player_play(d->player, false);
    d->message[0] = '\0';
    screen_show(d, "tap-measure");
}

static void end(struct desk *d)
{
    struct tap_trial *t = trial(d);
    int64_t flashes[TAP_TRIES * 4];
    struct tap_bias bias;
    struct err e;
    for (int i = 0; i < TAP_TRIES * 4; i++)
        flashes[i] = t->first_us + (int64_t)i * FLASH_US;
    screen_show(d, "review");
    if (!taps_bias((struct tap_times){t->taps_us, TAP_TRIES},
                   (struct tap_times){flashes, TAP_TRIES * 4}, &bias, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    d->tap_bias_us = bias.us;
    if (desk_keep_own(d, "tap_bias_ms", bias.us / 1000))
        desk_say(d, "your taps are %.0f +- %.0f ms %s; this is taken off from now on",
                 fabs(bias.us) / 1000, bias.error_us / 1000, bias.us < 0 ? "early" : "late");
}

void tap_trial_tap(struct desk *d, int64_t now_us)
{
    struct tap_trial *t = trial(d);
    if (!t->on)
        return;
    t->taps_us[t->n++] = now_us;
    if (t->n == TAP_TRIES)
        end(d);
}

void command_tap_lead(struct desk *d, const char *arg)
{
    (void)arg;
    tap_trial_tap(d, clock_mono_us());
}

void tap_trial_tick(struct desk *d, int64_t now_us)
{
    struct tap_trial *t = trial(d);
    int64_t since = now_us - t->first_us;
    t->lit = since >= 0 && since % FLASH_US < LIT_US;
}
