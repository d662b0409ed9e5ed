#include "command/lead.h"

#include <math.h>
#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/chord.h"
#include "command/command.h"
#include "command/hold.h"
#include "command/screen.h"
#include "command/tied.h"
#include "command/who.h"
#include "mark/mark.h"
#include "sys/clock.h"

static void before_read(struct desk *d, void *mine);
static void after_read(struct desk *d, void *mine);

static const struct part part = {
    .size = sizeof(struct lead_trial), .before_read = before_read, .after_read = after_read};

static struct lead_trial *trial(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct lead_trial *lead_trial(const struct desk *d)
{
    return trial(d);
}

/* --- from ready to done ------------------------------------------------------------------------ */

static void next(struct lead_trial *t)
{
    t->phase = LEAD_MARCH;
    t->slip = slip_draw(&t->field, (t->now_us - t->began_us) / SLIP_COUNT_US, &t->chance);
}

/* False with what is missing said. */
static bool get_ready(struct desk *d)
{
    struct lead_trial *t = trial(d);
    struct err e;
    if (!slip_field(&d->app->show, &t->field, &e)) {
        desk_trouble(d, "%s; :lead MS sets the lead by hand", e.text);
        return false;
    }
    t->phase = LEAD_READY;
    t->began_us = t->now_us = clock_mono_us();
    t->chance = chance_seed();
    t->n = t->spoilt = 0;
    return true;
}

static void open(struct desk *d)
{
    if (trial(d)->phase == LEAD_NAMING) /* the screen stays, so nobody else drops its chord */
        hold_drop(d);
    if (trial(d)->result.is)
        trial(d)->phase = LEAD_DONE;
    else if (!get_ready(d))
        return;
    if (d->player)
        player_play(d->player, false);
    d->message[0] = '\0';
    screen_show(d, "lead");
}

static void begin(struct desk *d)
{
    struct lead_trial *t = trial(d);
    if (t->phase == LEAD_IDLE) {
        open(d);
    } else if (t->phase == LEAD_READY || (t->phase == LEAD_DONE && get_ready(d))) {
        d->message[0] = '\0';
        next(t);
    }
}

void lead_left(struct desk *d)
{
    trial(d)->phase = LEAD_IDLE;
}

/* --- answers ----------------------------------------------------------------------------------- */

static const char *section_meant(const struct desk *d)
{
    const struct lead_trial *t = trial(d);
    return d->app->show.sections[t->field.sections[t->slip.group]].name;
}

static const char *fault_meant(const struct desk *d)
{
    const struct lead_trial *t = trial(d);
    return d->app->show.faults[t->field.kinds[t->slip.kind].fault].name;
}

/* Said before, as what slipped is forgotten then. */
static void spoil(struct desk *d)
{
    trial(d)->spoilt++;
    next(trial(d));
}

static void finish(struct lead_trial *t)
{
    struct lead_result *r = &t->result;
    r->is = true;
    r->spoilt = t->spoilt;
    memcpy(r->ms, t->ms, sizeof r->ms);
    r->median = stat_median(r->ms, LEAD_TRIES, 0.95);
    t->phase = LEAD_DONE;
}

static void answered(struct desk *d, const struct chord *c)
{
    struct lead_trial *t = trial(d);
    bool right = c->fault == t->field.kinds[t->slip.kind].fault;
    for (size_t i = 0; i < c->n_targets; i++)
        right = right && c->targets[i].section == t->field.sections[t->slip.group];
    if (!right) {
        desk_trouble(d, "that was %.80s, %.80s; it does not count", section_meant(d),
                     fault_meant(d));
        spoil(d);
        return;
    }
    desk_say(d, "%.2f s: %.80s, %.80s", t->first_ms / 1000, section_meant(d), fault_meant(d));
    t->ms[t->n++] = t->first_ms;
    if (t->n == LEAD_TRIES)
        finish(t);
    else
        next(t);
}

static void say_when(struct desk *d)
{
    desk_trouble(d, "%s begins; then it is time to answer",
                 keymap_key_of(&d->keys, d->screen->keys->name, "lead begin"));
}

static void name_it(struct desk *d, const char *key, int64_t now_us)
{
    struct lead_trial *t = trial(d);
    t->first_ms = (double)(now_us - t->seen_us) / 1000;
    t->phase = LEAD_NAMING;
    chord_answer(d, key, answered);
    if (t->phase == LEAD_NAMING && !chord_open(d))
        t->phase = LEAD_SLIP; /* the key was refused, and the next may be right */
}

bool lead_key(struct desk *d, const char *key, int64_t now_us)
{
    struct lead_trial *t = trial(d);
    if (key[1] || !isalnum((unsigned char)key[0]) || t->phase == LEAD_IDLE || t->phase == LEAD_DONE)
        return false;
    if (t->phase == LEAD_READY) {
        say_when(d);
    } else if (isdigit((unsigned char)key[0])) {
        desk_trouble(d, "a section's key comes first");
    } else if (t->phase == LEAD_MARCH) {
        desk_trouble(d, "too soon: nobody had gone wrong yet; it does not count");
        spoil(d);
    } else if (t->phase == LEAD_SLIP) {
        name_it(d, key, now_us);
    }
    return true;
}

void lead_tick(struct desk *d, int64_t now_us)
{
    struct lead_trial *t = trial(d);
    t->now_us = now_us;
    if (t->phase == LEAD_MARCH && now_us - t->began_us >= t->slip.count * SLIP_COUNT_US) {
        t->phase = LEAD_SLIP; /* and whatever the last answer was told stays: a change would tell */
        t->seen_us = now_us;
    } else if (t->phase == LEAD_SLIP && now_us - t->seen_us > LEAD_PATIENCE_US) {
        desk_trouble(d, "missed that one: %.80s, %.80s", section_meant(d), fault_meant(d));
        spoil(d);
    } else if (t->phase == LEAD_NAMING && !chord_open(d)) {
        desk_trouble(d, "that chord was dropped; it does not count");
        spoil(d);
    }
}

/* --- the show read again ----------------------------------------------------------------------- */

static bool is_open(const struct lead_trial *t)
{
    return t->phase != LEAD_IDLE && t->phase != LEAD_DONE;
}

static void before_read(struct desk *d, void *mine)
{
    struct lead_trial *t = mine;
    const struct show *show = &d->app->show;
    for (size_t i = 0; is_open(t) && i < t->field.n_sections; i++)
        t->sections[i] = show->sections[t->field.sections[i]].id;
    for (size_t i = 0; is_open(t) && i < t->field.n_kinds; i++)
        t->faults[i] = show->faults[t->field.kinds[i].fault].id;
}

/* Is everybody there, and can they be named still? */
static bool found_again(const struct show *show, struct lead_trial *t)
{
    for (size_t i = 0; i < t->field.n_sections; i++) {
        struct target of;
        if (!who_find(show, &(struct who){.section = t->sections[i]}, &of) ||
            !*show->sections[of.section].key)
            return false;
        t->field.sections[i] = of.section;
    }
    for (size_t i = 0; i < t->field.n_kinds; i++) {
        int fault = fault_of_row(show, t->faults[i]);
        if (fault < 0 || show->faults[fault].removed || !*show->faults[fault].key)
            return false;
        t->field.kinds[i].fault = fault;
    }
    return true;
}

static void after_read(struct desk *d, void *mine)
{
    struct lead_trial *t = mine;
    if (!is_open(t) || found_again(&d->app->show, t))
        return;
    if (t->phase == LEAD_NAMING)
        hold_drop(d);
    if (get_ready(d))
        desk_trouble(d,
                     "the sections or faults of the show have changed; the measuring begins anew");
    else
        screen_show(d, "review");
}

/* --- the choice -------------------------------------------------------------------------------- */

/* Whole milliseconds, as they are printed: what is stored with a tenth may print as another number. */
static void set_lead(struct desk *d, double ms)
{
    ms = rint(ms);
    d->lead_ms = ms;
    if (desk_keep_own(d, "lead_ms", ms))
        desk_say(d, "reaction lead: %.0f ms", ms);
}

static void take_measured(struct desk *d)
{
    const struct lead_result *r = &trial(d)->result;
    if (!r->is)
        desk_trouble(d, "nothing is measured yet; %s measures",
                     keymap_key_of(&d->keys, d->screen->keys->name, "lead measure"));
    else if (r->median.value > LEAD_MOST_MS)
        desk_trouble(d, "a lead is at most %d ms; measure once more", LEAD_MOST_MS);
    else
        set_lead(d, r->median.value);
}

static void set_typed(struct desk *d, const char *arg)
{
    char *end;
    double ms = strtod(arg, &end);
    if (end == arg || *end || !(ms >= 0 && ms <= LEAD_MOST_MS))
        desk_trouble(d, "a lead is from 0 to %d ms, or one of the words measure, measured, default",
                     LEAD_MOST_MS);
    else
        set_lead(d, ms);
}

void command_lead(struct desk *d, const char *arg)
{
    if (!*arg)
        desk_say(d, "reaction lead: %.0f ms", d->lead_ms);
    else if (strcmp(arg, "measure") == 0)
        open(d);
    else if (strcmp(arg, "begin") == 0)
        begin(d);
    else if (strcmp(arg, "measured") == 0)
        take_measured(d);
    else if (strcmp(arg, "default") == 0)
        set_lead(d, LEAD_DEFAULT_MS);
    else
        set_typed(d, arg);
}

/* Of the playhead; before the band steps off, of the first set that is tied. */
static double tempo(const struct desk *d)
{
    struct spot s;
    size_t n = 0;
    const struct map_span *spans = d->map ? map_spans(d->map, &n) : NULL;
    if (desk_spot(d, &s) && s.bpm > 0)
        return s.bpm;
    for (size_t i = 0; i < n; i++)
        if (map_at(d->map, spans[i].from_us, &s) && s.bpm > 0)
            return s.bpm;
    return 0;
}

struct lead_effect lead_effect(const struct desk *d, double lead_ms)
{
    enum { EXAMPLE_US = 14000000, ROOM_US = LEAD_MOST_MS * 1000 };
    struct lead_effect e = {
        .at_us = d->clip && d->play.at_us >= ROOM_US ? d->play.at_us : EXAMPLE_US,
        .bpm = tempo(d),
    };
    e.there_us = mark_time(e.at_us, lead_ms, 1, 0);
    e.earlier = (lead_ms - LEAD_DEFAULT_MS) * e.bpm / 60000;
    return e;
}
