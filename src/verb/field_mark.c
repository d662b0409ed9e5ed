/* --mark: what was measured in a clip's pictures becomes marks. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/field_marks.h"
#include "count/timecode.h"
#include "field/interval.h"
#include "verb/fielding.h"

static bool tolerance_of(const struct fielding *f, double *out, struct err *e)
{
    const char *text = call_value(f->c, "tolerance");
    char *end;
    *out = INTERVAL_TOLERANCE_IN / GRID_ACROSS_IN;
    if (!text)
        return true;
    *out = strtod(text, &end);
    return (end != text && !*end && *out >= 0 && *out < 200) ||
           err_set(e, ERR_INPUT, "'%s' is no tolerance; write steps as in --tolerance 0.5", text);
}

bool field_marking_of(struct fielding *f, struct field_marking *out, struct err *e)
{
    const char *fault = call_value(f->c, "mark"), *target = call_value(f->c, "target");
    *out = (struct field_marking){.asked = fault != NULL};
    if (!fault)
        return (!target && !call_value(f->c, "tolerance")) ||
               err_set(e, ERR_USAGE, "field: --%s is of the marks that --mark FAULT makes",
                       target ? "target" : "tolerance");
    if (!fault_named(&f->app->show, fault, &out->fault, e) || !tolerance_of(f, &out->tolerance, e))
        return false;
    if (target)
        out->targets = targets_parse(&f->c->memory, &f->app->show, target, &out->n_targets, e);
    out->marks.at = arena_alloc(&f->c->memory, CALL_WORDS * sizeof *out->marks.at);
    return !target || out->targets;
}

bool field_is_off(const struct field_marking *m, double off, double error)
{
    return off > error && off > m->tolerance;
}

/* Whom it is of: --target, else who is named. */
static void targets_of(struct fielding *f, const struct field_marking *m,
                       const struct field_found *found, struct mark *out)
{
    const struct show *s = &f->app->show;
    struct target *t = arena_alloc(&f->c->memory, 2 * sizeof *t);
    out->targets = m->targets ? m->targets : t;
    out->n_targets = m->n_targets;
    for (int i = 0; !m->targets && i < 2; i++) {
        const int p = found->who[i] && *found->who[i] ? show_performer(s, found->who[i]) : -1;
        if (p >= 0)
            t[out->n_targets++] = (struct target){s->performers[p].section, p};
    }
}

void field_mark_found(struct fielding *f, struct field_marking *m, const struct field_found *found)
{
    const struct grid *g = &f->app->show.grid;
    struct err off_ground;
    struct mark one = {.clip = f->clip->id,
                       .at_us = found->us,
                       .end_us = found->end_us > found->us ? found->end_us : -1,
                       .fault = m->fault,
                       .severity = SEVERITY_LEAST,
                       .cause = f->app->show.faults[m->fault].cause,
                       .note = "",
                       .set = -1,
                       .measure = found->measure};
    targets_of(f, m, found, &one);
    if (one.n_targets == 0) {
        m->nobody++;
        return;
    }
    field_place_steps(g, found->at, &one.x, &one.y);
    one.on_field =
        across_on(g, one.x, "there", &off_ground) && depth_on(g, one.y, "there", &off_ground);
    m->marks.at[m->marks.n++] = one;
}

/* newest: the last mark that was there before. */
static void say_marks(struct fielding *f, const struct field_marking *m, int64_t newest)
{
    for (size_t i = 0; i < m->marks.n; i++) {
        const struct mark *one = &m->marks.at[i];
        char time[24];
        struct buf who = {0}, measured = {0};
        time_format(one->at_us, time);
        targets_text(&f->app->show, one->targets, one->n_targets, &who);
        measured_text(&f->app->show, one, &measured);
        buf_printf(&f->c->talk, "mark %lld%s: %s %s, %s; %s\n", (long long)one->id,
                   one->id <= newest ? " is there already" : "", time, who.p,
                   f->app->show.faults[one->fault].name, buf_text(&measured));
        buf_free(&who);
        buf_free(&measured);
    }
}

static bool nobody_clear(const struct fielding *f, const struct field_marking *m, struct err *e)
{
    const char *sub = f->c->words[2];
    const bool several = strcmp(sub, "fit") == 0 || strcmp(sub, "check") == 0;
    return err_set(e, ERR_INPUT, "nobody can be marked: who stands there is not clear%s%s%s%s",
                   *m->why.text ? " (" : "", m->why.text, *m->why.text ? ")" : "",
                   several ? "" : "; say of whom it is: --target WHO");
}

bool field_marking_done(struct fielding *f, struct field_marking *m, struct err *e)
{
    const char *fault = f->app->show.faults[m->fault].name;
    if (!m->asked)
        return true;
    if (m->nobody && m->marks.n == 0)
        return nobody_clear(f, m, e);
    if (m->nobody)
        buf_printf(&f->c->talk, "%zu more %s off, but who that is is not clear\n", m->nobody,
                   m->nobody == 1 ? "is" : "are");
    if (m->marks.n == 0) {
        buf_printf(&f->c->talk,
                   "nothing is marked: nobody is off by more than the error and %g steps\n",
                   m->tolerance);
        return true;
    }
    const char *what = arena_printf(&f->c->memory, "mark %s, measured in the clip", fault);
    int64_t newest;
    if (!store_mark_newest(f->app->store, &newest, e) ||
        !app_mark_all(f->app, f->clip, &m->marks, what, e))
        return false;
    say_marks(f, m, newest);
    return true;
}
