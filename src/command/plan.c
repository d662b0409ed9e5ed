/* The rep plan on the desk: made, stored, read again. What a person does to it is in
 * plan_change.c. */
#include "command/plan.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/command.h"
#include "command/line.h"
#include "command/screen.h"
#include "sys/clock.h"

enum { USUAL_START = 18 * 60 };

static void forget_draft(struct desk_plan *p)
{
    arena_free(&p->memory);
    p->report = (struct plan_report){0};
    p->draft = false;
    plan_wishes_free(&p->wishes);
    for (size_t i = 0; i < p->n_before; i++)
        plan_wishes_free(&p->before[i]);
    p->n_before = 0;
}

static void free_plan(struct desk_plan *p)
{
    if (!p)
        return;
    forget_draft(p);
    arena_free(&p->rows_memory);
    free(p);
}

struct planning {
    struct desk_plan *now; /* NULL: none is on the desk */
};

static void follow(struct desk *d, void *mine)
{
    (void)mine;
    plan_follow(d);
}

static void end(struct desk *d, void *mine)
{
    (void)d;
    free_plan(((struct planning *)mine)->now);
}

static const struct part part = {.size = sizeof(struct planning), .after_read = follow, .end = end};

struct desk_plan *plan_now(const struct desk *d)
{
    return ((struct planning *)desk_part(d, &part))->now;
}

/* In the place of the one that was there. */
static void put_plan(struct desk *d, struct desk_plan *p)
{
    struct planning *at = desk_part(d, &part);
    free_plan(at->now);
    at->now = p;
}

/* --- the rows of the show file ---------------------------------------------------------------- */

static struct plan_words *words_of(const struct show *show, const struct rep_plan *kept,
                                   struct arena *mem)
{
    struct plan_words *out = arena_alloc(mem, (kept->n_blocks + 1) * sizeof *out);
    for (size_t i = 0; i < kept->n_blocks; i++) {
        const struct rep_block *b = &kept->blocks[i];
        out[i].fix = arena_alloc(mem, (b->n_fixes + 1) * sizeof *out[i].fix);
        for (size_t k = 0; k < b->n_fixes; k++) {
            const struct rep_fix *f = &b->fixes[k];
            if ((size_t)f->section >= show->n_sections || (size_t)f->fault >= show->n_faults)
                continue; /* the show could not be loaded again: it is older than the rows */
            out[i].fix[out[i].n++] =
                arena_printf(mem, "%s: %s (%d)", show->sections[f->section].name,
                             show->faults[f->fault].name, f->marks);
        }
    }
    return out;
}

/* By what is in them, as a row of the show file may be used again by the next plan. */
static bool same_plan(const struct rep_plan *a, const struct rep_plan *b)
{
    if (a->id != b->id || a->minutes != b->minutes || a->start_min != b->start_min ||
        a->n_blocks != b->n_blocks)
        return false;
    for (size_t i = 0; i < a->n_blocks; i++) {
        const struct rep_block *x = &a->blocks[i], *y = &b->blocks[i];
        if (x->kind != y->kind || x->start_s != y->start_s || x->seconds != y->seconds ||
            x->reps != y->reps || strcmp(x->who, y->who) != 0 || strcmp(x->sets, y->sets) != 0 ||
            strcmp(x->what, y->what) != 0)
            return false;
    }
    return true;
}

/* Reads the day's plan from the show file; on failure (none is ERR_INPUT) everything stays. */
static bool read_rows(struct desk *d, struct desk_plan *p, bool *same, struct err *e)
{
    struct arena fresh = {0};
    struct rep_plan kept;
    if (!store_plan(d->app->store, &fresh, p->date, &kept, e)) {
        arena_free(&fresh);
        return false;
    }
    const struct plan_reading r = app_plan_reading(d->app, p->date, &fresh);
    snprintf(p->wbgt, sizeof p->wbgt, r.known ? "%.6gF" : "", r.wbgt_f);
    *same = same_plan(&p->kept, &kept);
    arena_free(&p->rows_memory);
    p->rows_memory = fresh;
    p->kept = kept;
    p->words = words_of(&d->app->show, &kept, &p->rows_memory);
    p->minutes = kept.minutes;
    p->start_min = kept.start_min;
    if (p->line >= kept.n_blocks)
        p->line = kept.n_blocks ? kept.n_blocks - 1 : 0;
    return true;
}

static bool ticked(const struct rep_plan *p)
{
    for (size_t i = 0; i < p->n_blocks; i++)
        if (p->blocks[i].reps_made >= 0)
            return true;
    return false;
}

bool plan_may_change(const struct desk_plan *p)
{
    return p->draft && !ticked(&p->kept);
}

bool plan_follow(struct desk *d)
{
    struct err e = {0};
    struct desk_plan *p = plan_now(d);
    bool same = false;
    if (!p)
        return true;
    if (!read_rows(d, p, &same, &e)) {
        if (e.code != ERR_INPUT)
            return true; /* not known; what is shown stays */
        put_plan(d, NULL);
        desk_say(d, "the plan of the day is not in the show file any more");
        return false;
    }
    if (same && (!p->draft || plan_report_holds(&p->report, &d->app->show)))
        return true;
    forget_draft(p);
    desk_say(d, same ? "sections, faults or sets changed: the plan is shown as it is stored; :plan "
                       "MINUTES START makes a new one"
                     : "another program made a new plan of the day: it is shown as it is stored");
    return same;
}

/* Today's plan as it is stored, with its ticks; false when there is none. */
static bool open_stored(struct desk *d)
{
    struct err none;
    bool same;
    struct desk_plan *p = xcalloc(1, sizeof *p);
    clock_today(p->date);
    if (!read_rows(d, p, &same, &none)) {
        free_plan(p);
        return false;
    }
    put_plan(d, p);
    return true;
}

/* --- making it -------------------------------------------------------------------------------- */

/* Nothing may be done outdoors: the day's plan goes, and the screen says so. By a reading that only
 * holds on nothing is taken away: the stored plan may be one for indoors. */
static bool close_field(struct desk *d, const struct plan_report *r, bool held, struct arena *mem,
                        struct err *e)
{
    static const char *const says[] = {
        [PLAN_NOT_THERE] = "nothing is planned",
        [PLAN_TAKEN_AWAY] = "today's plan is taken away",
        [PLAN_HAS_TICKS] = "blocks of today's plan are ticked off, so it stays stored; do not go "
                           "on with it outdoors",
    };
    enum plan_taken taken;
    if (held)
        return err_set(e, ERR_INPUT,
                       "NO OUTDOOR ACTIVITY at WBGT %s F, today's last reading; give a newer one "
                       "(:plan 60 18:00 76F), or none",
                       r->heat.reading);
    return app_plan_take_away(d->app, r->date, mem, &taken, e) &&
           err_set(e, ERR_INPUT, "NO OUTDOOR ACTIVITY at WBGT %s F by the policy: %s",
                   r->heat.reading, says[taken]);
}

/* Plans and stores. The reading is stored first: without its plan it can only make the next one
 * more careful. */
static bool plan_and_keep(struct desk *d, struct plan_choice *choice, bool held, struct arena *mem,
                          struct plan_report *r, struct err *e)
{
    struct rep_plan kept;
    if (choice->weather.measured &&
        !app_policy(choice->policy_path, mem, &choice->weather.policy, e))
        return false;
    if (!app_plan(d->app, choice, mem, r, e) || !app_plan_keep_reading(d->app, choice, mem, e))
        return false;
    if (r->heat.closed)
        return close_field(d, r, held, mem, e);
    return app_plan_keep(d->app, r, mem, &kept, e);
}

/* Makes the plan anew around the wishes and stores it; on failure everything stays as it was. */
static bool make(struct desk *d, struct desk_plan *p, const struct plan_reading *reading,
                 struct err *e)
{
    struct arena fresh = {0};
    struct plan_report r;
    bool same;
    struct plan_choice choice = {.rules = plan_rules_default(),
                                 .date = p->date,
                                 .weather.measured = reading->known,
                                 .weather.wbgt_f = reading->wbgt_f,
                                 .policy_path = arena_strdup(&fresh, reading->policy_path),
                                 .wishes = p->wishes.at,
                                 .n_wishes = p->wishes.n};
    choice.rules.minutes = p->minutes;
    choice.rules.start_min = p->start_min;
    if (!plan_and_keep(d, &choice, reading->held, &fresh, &r, e)) {
        arena_free(&fresh);
        return false;
    }
    desk_wrote(d);
    p->gain_before = p->report.plan.gain;
    arena_free(&p->memory);
    p->memory = fresh;
    p->report = r;
    p->draft = true;
    return read_rows(d, p, &same, e);
}

struct plan_order {
    int minutes, start_min;
    bool said; /* a reading was given, or "none" */
    struct plan_reading reading;
};

/* "90", "90 18:00", "90 18:00 88F", "90 88F", "90 18:00 none" */
static bool read_order(const char *arg, struct plan_order *o, struct err *e)
{
    int h, m, used = 0;
    char *end;
    const long minutes = strtol(arg, &end, 10);
    const char *s = end + strspn(end, " ");
    *o = (struct plan_order){.start_min = USUAL_START, .reading.policy_path = ""};
    if (end == arg || (*end && *end != ' ') || minutes < 1 || minutes > PLAN_MINUTES_MOST)
        return err_set(e, ERR_INPUT,
                       "write the minutes (1 to %d) and the start, as in: plan 90 "
                       "18:00, or with a measured reading: plan 90 18:00 88F",
                       PLAN_MINUTES_MOST);
    o->minutes = (int)minutes;
    if (sscanf(s, "%2d:%2d%n", &h, &m, &used) == 2 && (!s[used] || s[used] == ' ')) {
        if (h < 0 || h > 23 || m < 0 || m > 59)
            return err_set(e, ERR_INPUT, "'%.20s' is no time of day; write 18:00", s);
        o->start_min = h * 60 + m;
        s += used + strspn(s + used, " ");
    }
    o->said = *s != '\0';
    o->reading.known = o->said && strcmp(s, "none") != 0;
    if (!o->reading.known || heat_parse_wbgt(s, &o->reading.wbgt_f, e))
        return true;
    return err_set(e, ERR_INPUT,
                   "'%.40s' is neither a start nor a reading; write plan 90 18:00 88F, or none "
                   "instead of 88F",
                   s);
}

/* What is not said about the heat is what the day's plan was made with. */
static void take_reading(struct desk *d, const char *date, struct arena *mem, struct plan_order *o)
{
    const struct plan_reading before = app_plan_reading(d->app, date, mem);
    if (!o->said)
        o->reading = before;
    else if (before.known)
        o->reading.policy_path = before.policy_path;
}

/* Fixed items are given on the command line only: those of the day's stored plan. */
static size_t fixed_in(struct desk *d, const char *date, struct arena *mem)
{
    struct rep_plan stored;
    struct err none;
    size_t n = 0;
    if (!store_plan(d->app->store, mem, date, &stored, &none))
        return 0;
    for (size_t i = 0; i < stored.n_blocks; i++)
        n += stored.blocks[i].kind == PLAN_FIXED;
    return n;
}

/* In one row of 80 columns where it can be, as a longer message covers who decides about heat. */
static void say_made(struct desk *d, const struct plan_order *o, size_t n_fixed)
{
    const struct plan *made = &plan_now(d)->report.plan;
    const double open = plan_now(d)->report.open_weight;
    char heat[120] = "", fixed[80] = "";
    if (o->reading.known && !o->said)
        snprintf(heat, sizeof heat,
                 "WBGT %s holds on (:plan %d %d:%02d 76F, or none, for another); ",
                 plan_now(d)->wbgt, o->minutes, o->start_min / 60, o->start_min % 60);
    if (n_fixed)
        snprintf(fixed, sizeof fixed, "; %zu fixed item%s of the stored plan left out", n_fixed,
                 n_fixed == 1 ? "" : "s");
    if (*heat)
        desk_say(d, "%sgain %.1f of %.1f%s", heat, made->gain, open, fixed);
    else
        desk_say(d, "gain %.1f of %.1f open; stored as the plan of %s%s", made->gain, open,
                 plan_now(d)->date, fixed);
}

static void order_plan(struct desk *d, const char *arg)
{
    struct err e = {0};
    struct arena mem = {0};
    struct plan_order order;
    if (!read_order(arg, &order, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    struct desk_plan *p = xcalloc(1, sizeof *p);
    p->minutes = order.minutes;
    p->start_min = order.start_min;
    clock_today(p->date);
    take_reading(d, p->date, &mem, &order);
    const size_t n_fixed = fixed_in(d, p->date, &mem);
    if (make(d, p, &order.reading, &e)) {
        put_plan(d, p);
        screen_show(d, "plan");
        say_made(d, &order, n_fixed);
    } else {
        free_plan(p);
        plan_follow(d); /* it may have been taken away */
        desk_trouble(d, "%s", e.text);
    }
    arena_free(&mem);
}

static void plan_typed(struct desk *d, const char *text)
{
    if (*text)
        order_plan(d, text);
}

static const struct line_kind plan_line = {
    .label = " minutes and start:", .offered = true, .done = plan_typed};

/* "", "90", "90 18:00", "90 18:00 88F" */
void plan_open(struct desk *d, const char *arg)
{
    if (*arg) {
        order_plan(d, arg);
        return;
    }
    if (plan_now(d)) {
        screen_show(d, "plan");
    } else if (open_stored(d)) {
        screen_show(d, "plan");
        desk_say(d, "today's plan as it is stored; :plan MINUTES START makes a new one");
    } else {
        line_ask(d, &plan_line, "90 18:00");
    }
}

bool plan_remake(struct desk *d, struct err *e)
{
    struct arena mem = {0};
    struct desk_plan *p = plan_now(d);
    const struct plan_reading reading = app_plan_reading(d->app, p->date, &mem);
    const bool ok = make(d, p, &reading, e);
    arena_free(&mem);
    if (!ok) {
        desk_trouble(d, "%s", e->text);
        return false;
    }
    double now = p->report.plan.gain, best = p->report.plan.best_gain;
    desk_say(d, "gain %.1f (%+.1f); the best without your choices is %.1f", now,
             now - p->gain_before, best);
    return true;
}
