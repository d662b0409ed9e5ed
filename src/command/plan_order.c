/* Making the rep plan: from what is asked for to the show file. What is stored already is not
 * replaced unasked. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "app/plan_kept.h"
#include "command/line.h"
#include "command/plan.h"
#include "command/screen.h"

/* An order that waits for an answer: text, as the show may be loaded again meanwhile. */
struct order {
    struct arena memory;
    const char *ask; /* NULL: none waits */
    bool anew;       /* of the plan on the desk, with its wishes */
};

static void end(struct desk *d, void *mine)
{
    (void)d;
    arena_free(&((struct order *)mine)->memory);
}

static const struct part part = {.size = sizeof(struct order), .end = end};

static struct order *pending(const struct desk *d)
{
    return desk_part(d, &part);
}

static void forget(struct order *o)
{
    arena_free(&o->memory);
    *o = (struct order){0};
}

/* --- a closed field ------------------------------------------------------------------------------ */

/* Nothing may be done outdoors: the day's plan goes, and the screen says so. By a reading that only
 * holds on nothing is taken away: the stored plan may be one for indoors. */
static bool close_field(struct desk *d, const struct plan_report *r, bool held, struct arena *mem,
                        struct err *e)
{
    static const char *const says[] = {
        [PLAN_NOT_THERE] = "nothing is planned",
        [PLAN_TAKEN_AWAY] = "the plan is taken away",
        [PLAN_HAS_TICKS] = "blocks of the day's plan are ticked off, so it stays stored; do not go "
                           "on with it outdoors",
    };
    enum plan_taken taken;
    if (held)
        return err_set(e, ERR_INPUT,
                       "NO OUTDOOR ACTIVITY at WBGT %s F, the day's last reading; give a newer one "
                       "(:plan 60 18:00 76F), or none",
                       r->heat.reading);
    return app_plan_take_away(d->app, r->date, mem, &taken, e) &&
           err_set(e, ERR_INPUT, "NO OUTDOOR ACTIVITY at WBGT %s F by the policy: %s",
                   r->heat.reading, says[taken]);
}

/* Does the reading come from the day's stored plan, and is only carried on? */
static bool held(struct desk *d, const struct plan_choice *choice, struct arena *mem)
{
    const struct plan_reading before = app_plan_reading(d->app, choice->date, mem);
    return choice->weather.measured && before.known && before.wbgt_f == choice->weather.wbgt_f;
}

/* --- making -------------------------------------------------------------------------------------- */

/* The reading is stored first: without its plan it can only make the next one more careful. */
static bool keep(struct desk *d, struct desk_plan *p, struct err *e)
{
    struct arena mem = {0};
    struct plan_choice choice;
    bool ok = plan_choice_of(p, &mem, &choice, e);
    const bool on = ok && held(d, &choice, &mem);
    ok = ok && app_plan_keep_reading(d->app, &choice, &mem, e);
    if (ok && plan_closed(p))
        ok = close_field(d, &p->report, on, &mem, e);
    else
        ok = ok && app_plan_keep(d->app, &choice, &p->report, &mem, e);
    arena_free(&mem);
    return ok;
}

/* Makes the plan around its wishes and stores it; on failure everything stays as it was. */
static bool make(struct desk *d, struct desk_plan *p, struct err *e)
{
    bool same;
    const double before = p->report.plan.gain;
    if (!plan_make_report(d, p, e) || !keep(d, p, e))
        return false;
    desk_wrote(d);
    p->gain_before = before;
    return plan_read_rows(d, p, &same, e);
}

bool plan_remake(struct desk *d, struct err *e)
{
    struct desk_plan *p = plan_now(d);
    if (!make(d, p, e)) {
        desk_trouble(d, "%s", e->text);
        return false;
    }
    struct arena mem = {0};
    desk_say(d, "%s", plan_edit_report(&p->report.plan, p->gain_before, &mem));
    arena_free(&mem);
    return true;
}

/* --- what is stored already ---------------------------------------------------------------------- */

/* Where there is no ask, from an older file, its heat reading. */
struct plan_ask plan_day_ask(struct desk *d, const char *date, struct arena *mem)
{
    struct plan_ask ask = {0};
    struct rep_plan stored;
    struct err none;
    const struct plan_reading r = app_plan_reading(d->app, date, mem);
    if (store_plan(d->app->store, mem, date, &stored, &none))
        plan_ask_parse(stored.asked, mem, &ask);
    if (r.known && !plan_ask_value(&ask, "wbgt")) {
        plan_ask_set(&ask, "wbgt", arena_printf(mem, "%.10gF", r.wbgt_f), mem);
        if (*r.policy_path)
            plan_ask_set(&ask, "policy", r.policy_path, mem);
    }
    return ask;
}

/* "60 min from 17:00 at WBGT 88F, changed by hand" */
static void describe(const struct rep_plan *stored, struct buf *out)
{
    struct arena mem = {0};
    struct plan_ask ask;
    char clock[24];
    plan_ask_parse(stored->asked, &mem, &ask);
    const char *wbgt = plan_ask_value(&ask, "wbgt");
    buf_printf(out, "%d min from %s", stored->minutes, plan_clock(stored->start_min, 0, clock));
    if (wbgt && strcmp(wbgt, "none") != 0)
        buf_printf(out, " at WBGT %s", wbgt);
    if (*stored->wishes)
        buf_str(out, ", changed by hand");
    arena_free(&mem);
}

/* "60 min, WBGT 88F": so much has room beside the question. */
static const char *short_name(const struct rep_plan *stored, struct arena *mem)
{
    struct plan_ask ask;
    char clock[24];
    plan_ask_parse(stored->asked, mem, &ask);
    const char *wbgt = plan_ask_value(&ask, "wbgt");
    if (wbgt && strcmp(wbgt, "none") != 0)
        return arena_printf(mem, "%d min, WBGT %s", stored->minutes, wbgt);
    return arena_printf(mem, "%d min from %s", stored->minutes,
                        plan_clock(stored->start_min, 0, clock));
}

static void order_answered(struct desk *d, const char *text);

static void order_dropped(struct desk *d)
{
    order_answered(d, "");
}

static const struct line_kind replace_line = {.label = " replace it? y/n:",
                                              .offered = true,
                                              .done = order_answered,
                                              .cancelled = order_dropped};
static const struct line_kind beside_line = {.label = " plan the rest? y/n:",
                                             .offered = true,
                                             .done = order_answered,
                                             .cancelled = order_dropped};

/* Nothing that is stored goes unasked. */
static void ask_first(struct desk *d, const struct rep_plan *stored, struct arena *mem)
{
    struct buf what = {0};
    const bool ticks = app_plan_ticked(stored);
    describe(stored, &what);
    line_ask(d, ticks ? &beside_line : &replace_line, "n");
    line_about(d, ticks ? "ticks stay" : short_name(stored, mem));
    desk_trouble(d, "%s of %s (%s) %s", ticks ? "blocks of the plan" : "the plan", stored->date,
                 buf_text(&what), ticks ? "are ticked off; it stays stored" : "is stored");
    buf_free(&what);
}

static bool stored_differs(struct desk *d, const struct desk_plan *p, struct arena *mem,
                           struct rep_plan *stored)
{
    struct rep_plan rows;
    struct err none;
    if (!store_plan(d->app->store, mem, p->date, stored, &none))
        return false;
    app_plan_rows(&p->report, mem, &rows);
    return app_plan_ticked(stored) || !plan_same_rows(stored, &rows);
}

/* In one row of 80 columns where it can be, as a longer message covers who decides about heat. */
static void say_made(struct desk *d)
{
    const struct desk_plan *p = plan_now(d);
    const struct plan *made = &p->report.plan;
    if (*p->wbgt)
        desk_say(d, "WBGT %s; gain %.1f of %.1f open; stored as the plan of %s", p->wbgt,
                 made->gain, p->report.open_weight, p->date);
    else
        desk_say(d, "gain %.1f of %.1f open; stored as the plan of %s", made->gain,
                 p->report.open_weight, p->date);
}

/* Makes it, and stores it when nobody is in its place or that was agreed to. */
static void order(struct desk *d, struct desk_plan *p, bool agreed)
{
    struct arena mem = {0};
    struct err e = {0};
    struct rep_plan stored;
    struct order *o = pending(d);
    bool same;
    if (!plan_make_report(d, p, &e)) {
        desk_trouble(d, "%s", e.text);
        plan_free(p);
    } else if (!agreed && !plan_closed(p) && stored_differs(d, p, &mem, &stored)) {
        forget(o);
        o->ask = plan_ask_text(&p->ask, &o->memory);
        ask_first(d, &stored, &mem);
        plan_free(p);
    } else if (!keep(d, p, &e)) {
        plan_free(p);
        plan_follow(d); /* it may have been taken away */
        desk_trouble(d, "%s", e.text);
    } else {
        desk_wrote(d);
        plan_read_rows(d, p, &same, &e);
        plan_put(d, p);
        screen_show(d, "plan");
        say_made(d);
    }
    arena_free(&mem);
}

static struct desk_plan *new_of(const struct plan_ask *ask, struct arena *mem, struct err *e)
{
    struct plan_choice choice;
    if (!plan_ask_choice(ask, mem, &choice, e))
        return NULL;
    return plan_new(choice.date, ask);
}

static void order_of(struct desk *d, const struct plan_ask *ask, bool agreed)
{
    struct arena mem = {0};
    struct err e = {0};
    struct desk_plan *p = new_of(ask, &mem, &e);
    if (p)
        order(d, p, agreed);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}

void plan_order(struct desk *d, const struct plan_ask *ask)
{
    order_of(d, ask, false);
}

/* Around the wishes that still mean something. */
static void make_anew(struct desk *d)
{
    struct err e = {0};
    struct desk_plan *p = plan_now(d);
    const bool lost =
        !plan_make_report(d, p, &e) || !plan_wishes_parse(p->kept.wishes, &p->report, &p->wishes);
    if (!make(d, p, &e)) {
        plan_wishes_free(&p->wishes);
        p->draft = false;
        desk_trouble(d, "%s", e.text);
    } else {
        desk_say(d, "planned anew%s; gain %.1f of %.1f open",
                 lost ? " without the changes whose sets or sections are gone" : "",
                 p->report.plan.gain, p->report.open_weight);
    }
}

static void order_answered(struct desk *d, const char *text)
{
    struct order *o = pending(d);
    struct arena mem = {0};
    struct plan_ask ask = {0};
    const bool yes = text[0] == 'y' || text[0] == 'Y', anew = o->anew;
    if (o->ask)
        plan_ask_parse(o->ask, &mem, &ask);
    forget(o);
    if (!yes)
        desk_say(d, "the stored plan stays as it is");
    else if (anew && plan_now(d))
        make_anew(d);
    else if (ask.n)
        order_of(d, &ask, true);
    arena_free(&mem);
}

static const struct line_kind anew_line = {.label = " plan anew? y/n:",
                                           .offered = true,
                                           .done = order_answered,
                                           .cancelled = order_dropped};

void plan_order_anew(struct desk *d)
{
    struct order *o = pending(d);
    const struct desk_plan *p = plan_now(d);
    const bool ticks = app_plan_ticked(&p->kept);
    if (p->ask.n == 0) {
        desk_trouble(d,
                     "this plan is from an older show file; :plan MINUTES START makes a new one");
        return;
    }
    forget(o);
    o->anew = true;
    line_ask(d, ticks ? &beside_line : &anew_line, "n");
    line_about(d, ticks ? "ticks stay" : "marks changed");
    desk_trouble(d, ticks ? "blocks of this plan are ticked off; it stays stored"
                          : "marks or tables changed since this plan was made");
}
