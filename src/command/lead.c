/* What a person's hands add: the reaction lead, by a square that turns at moments nobody can guess
 * (the middle of seven tries is taken), and how late they tap on a beat, by a square that flashes
 * steadily. Both belong to a person, not to the band, so they are kept per author. */
#include "command/lead.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/command.h"
#include "command/screen.h"
#include "count/taps.h"
#include "sys/clock.h"

enum {
    LEAST_WAIT_US = 1200000,
    MORE_WAIT_US = 2200000,
    TOO_LATE_US = 2000000,
    FLASH_US = 500000, /* 120 bpm */
    LIT_US = 120000,
};

static const struct part part = {.size = sizeof(struct lead_trial)};

static struct lead_trial *trial(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct lead_trial *lead_trial(const struct desk *d)
{
    return trial(d);
}

static int64_t some_wait(void)
{
    uint32_t r;
    random_bytes(&r, sizeof r);
    return LEAST_WAIT_US + r % MORE_WAIT_US;
}

static bool keep(struct desk *d, const char *what, double value)
{
    char key[200], text[32];
    struct err e;
    snprintf(key, sizeof key, "%s %s", what, app_author());
    snprintf(text, sizeof text, "%.1f", value);
    if (store_set(d->app->store, key, text, &e))
        return true;
    desk_trouble(d, "%s", e.text);
    return false;
}

static void begin(struct desk *d, bool steady)
{
    int64_t due_us = clock_mono_us() + (steady ? 2 * FLASH_US : some_wait());
    *trial(d) =
        (struct lead_trial){.on = true, .steady = steady, .due_us = due_us, .first_us = due_us};
    if (d->player)
        player_play(d->player, false);
    d->message[0] = '\0';
    screen_show(d, "lead");
}

static void set_lead(struct desk *d, double ms)
{
    d->lead_ms = ms;
    if (keep(d, "lead_ms", ms))
        desk_say(d, "reaction lead: %.0f ms", ms);
}

void command_lead(struct desk *d, const char *arg)
{
    if (strcmp(arg, "measure") == 0) {
        begin(d, false);
        return;
    }
    char *end;
    double ms = strtod(arg, &end);
    if (!*arg)
        desk_say(d, "reaction lead: %.0f ms", d->lead_ms);
    else if (end == arg || *end || !(ms >= 0 && ms <= 3000))
        desk_trouble(d, "a lead is from 0 to 3000 ms, or the word measure");
    else
        set_lead(d, ms);
}

void command_tap_measure(struct desk *d, const char *arg)
{
    (void)arg;
    begin(d, true);
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void end_taps(struct desk *d)
{
    struct lead_trial *t = trial(d);
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
    if (keep(d, "tap_bias_ms", bias.us / 1000))
        desk_say(d, "your taps are %.0f +- %.0f ms %s; this is taken off from now on",
                 fabs(bias.us) / 1000, bias.error_us / 1000, bias.us < 0 ? "early" : "late");
}

void command_tap_lead(struct desk *d, const char *arg)
{
    (void)arg;
    struct lead_trial *t = trial(d);
    int64_t now = clock_mono_us();
    if (!t->on)
        return;
    if (t->steady) {
        t->taps_us[t->n++] = now;
        if (t->n == TAP_TRIES)
            end_taps(d);
        return;
    }
    if (!t->shown) {
        desk_trouble(d, "too soon: wait until the square turns");
        t->due_us = now + some_wait();
        return;
    }
    t->ms[t->n++] = (double)(now - t->due_us) / 1000;
    t->shown = false;
    t->due_us = now + some_wait();
    d->message[0] = '\0';
    if (t->n < LEAD_TRIES)
        return;
    qsort(t->ms, LEAD_TRIES, sizeof *t->ms, by_size);
    screen_show(d, "review");
    set_lead(d, t->ms[LEAD_TRIES / 2]);
}

void lead_tick(struct desk *d, int64_t now_us)
{
    struct lead_trial *t = trial(d);
    if (!t->on)
        return;
    if (t->steady) {
        int64_t since = now_us - t->first_us;
        t->shown = since >= 0 && since % FLASH_US < LIT_US;
    } else if (!t->shown && now_us >= t->due_us) {
        t->shown = true;
        t->due_us = now_us;
    } else if (t->shown && now_us - t->due_us > TOO_LATE_US) {
        t->shown = false;
        t->due_us = now_us + some_wait();
        desk_trouble(d, "missed that one");
    }
}
