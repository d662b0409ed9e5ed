/* The reaction lead, by a square that turns at moments nobody can guess: the middle of seven tries
 * is taken. It belongs to a person, not to the band, so it is kept per author. */
#include "command/lead.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/command.h"
#include "command/screen.h"
#include "sys/clock.h"

enum {
    LEAST_WAIT_US = 1200000,
    MORE_WAIT_US = 2200000,
    TOO_LATE_US = 2000000,
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

static void begin(struct desk *d)
{
    *trial(d) = (struct lead_trial){.on = true, .due_us = clock_mono_us() + some_wait()};
    if (d->player)
        player_play(d->player, false);
    d->message[0] = '\0';
    screen_show(d, "lead");
}

static void set_lead(struct desk *d, double ms)
{
    d->lead_ms = ms;
    if (desk_keep_own(d, "lead_ms", ms))
        desk_say(d, "reaction lead: %.0f ms", ms);
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

static void react(struct desk *d)
{
    struct lead_trial *t = trial(d);
    int64_t now = clock_mono_us();
    if (!t->on)
        return;
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

void command_lead(struct desk *d, const char *arg)
{
    if (strcmp(arg, "measure") == 0) {
        begin(d);
        return;
    }
    if (strcmp(arg, "now") == 0) {
        react(d);
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

void lead_tick(struct desk *d, int64_t now_us)
{
    struct lead_trial *t = trial(d);
    if (!t->on)
        return;
    if (!t->shown && now_us >= t->due_us) {
        t->shown = true;
        t->due_us = now_us;
    } else if (t->shown && now_us - t->due_us > TOO_LATE_US) {
        t->shown = false;
        t->due_us = now_us + some_wait();
        desk_trouble(d, "missed that one");
    }
}
