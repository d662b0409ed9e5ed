/* The reaction lead: how long after seeing something this person presses a key. Measured by a
 * square that turns at moments nobody can guess; the middle of seven tries is taken. */
#include "command/lead.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "sys/clock.h"

enum { LEAST_WAIT_US = 1200000, MORE_WAIT_US = 2200000, TOO_LATE_US = 2000000 };

static int64_t some_wait(void)
{
    uint32_t r;
    random_bytes(&r, sizeof r);
    return LEAST_WAIT_US + r % MORE_WAIT_US;
}

static void save(struct desk *d, double ms)
{
    char text[32];
    struct err e;
    d->lead_ms = ms;
    snprintf(text, sizeof text, "%.0f", ms);
    /* A lead belongs to a person, not to the band: it is kept per author. */
    char key[200];
    snprintf(key, sizeof key, "lead_ms %s", app_author());
    if (store_set(d->app->store, key, text, &e))
        desk_say(d, "reaction lead: %s ms", text);
    else
        desk_trouble(d, "%s", e.text);
}

void command_lead(struct desk *d, const char *arg)
{
    if (strcmp(arg, "measure") == 0) {
        free(d->lead);
        d->lead = xcalloc(1, sizeof *d->lead);
        d->lead->due_us = clock_mono_us() + some_wait();
        if (d->player)
            player_play(d->player, false);
        d->screen = SCREEN_LEAD;
        return;
    }
    char *end;
    double ms = strtod(arg, &end);
    if (!*arg) {
        desk_say(d, "reaction lead: %.0f ms", d->lead_ms);
    } else if (end == arg || *end || ms < 0 || ms > 3000) {
        desk_trouble(d, "a lead is from 0 to 3000 ms, or the word measure");
    } else {
        save(d, ms);
    }
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

void command_tap_lead(struct desk *d, const char *arg)
{
    (void)arg;
    struct lead_trial *t = d->lead;
    int64_t now = clock_mono_us();
    if (!t)
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
    save(d, t->ms[LEAD_TRIES / 2]);
    d->screen = SCREEN_REVIEW;
}

void lead_tick(struct desk *d, int64_t now_us)
{
    struct lead_trial *t = d->lead;
    if (!t || d->screen != SCREEN_LEAD)
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
