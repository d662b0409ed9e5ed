#include <string.h>

#include "app/plan_ask.h"
#include "app/plan_events.h"
#include "paper/plan.h"
#include "sys/clock.h"
#include "sys/zones.h"
#include "verb/lists.h"
#include "verb/plan_parts.h"
#include "verb/rows.h"

/* A day's plan that was made with a reading is not replaced by one without. */
static bool keeps_heat_rule(struct call *c, struct app *a, const struct plan_choice *p,
                            struct err *e)
{
    const struct plan_reading r = app_plan_reading(a, p->date, &c->memory);
    if (!r.known || p->weather.measured || p->indoors || call_value(c, "wbgt"))
        return true;
    struct rep_plan stored;
    struct err none;
    const bool there = store_plan(a->store, &c->memory, p->date, &stored, &none);
    return err_set(e, ERR_INPUT,
                   "%s %s was made at WBGT %.6g F; give the reading of now (--wbgt %.6gF), "
                   "--indoors, or --wbgt none to plan without a heat rule",
                   there ? "the plan of" : "the last plan, taken away, of", p->date, r.wbgt_f,
                   r.wbgt_f);
}

/* Nothing is planned outdoors: what of the day's plan is stored must not be worked through. */
static bool take_away(struct call *c, struct app *a, const struct plan_choice *p, struct err *e)
{
    static const char *const says[] = {
        [PLAN_NOT_THERE] = "",
        [PLAN_TAKEN_AWAY] = "the plan of %s is taken away; nothing of it was ticked off\n",
        [PLAN_HAS_TICKS] = "blocks of the plan of %s are ticked off, so it stays stored; do not go "
                           "on with it outdoors\n",
    };
    enum plan_taken taken;
    if (!app_plan_take_away(a, p->date, &c->memory, &taken, e))
        return false;
    buf_printf(&c->talk, says[taken], p->date);
    return true;
}

/* Does it write a calendar? */
static bool calendar(const struct call *c)
{
    const char *as = call_value(c, "as");
    return as && strcmp(as, format_name(AS_ICS)) == 0;
}

/* What is ticked off stays beside the new plan. Anything else goes, at a terminal not unasked; what
 * somebody changed by hand never. *yes: it may be stored. */
static bool may_replace(struct call *c, struct app *a, const struct plan_report *r, bool *yes,
                        struct err *e)
{
    struct rep_plan p;
    struct err none;
    *yes = true;
    if (!store_plan(a->store, &c->memory, r->date, &p, &none) || call_value(c, "replace"))
        return true;
    const bool by_hand = *p.wishes != '\0';
    if (app_plan_ticked(&p)) {
        buf_printf(&c->talk,
                   "blocks of the plan of %s are ticked off; it stays stored beside this "
                   "one\n",
                   p.date);
    } else if (c->ask) {
        *yes =
            c->ask(arena_printf(&c->memory,
                                "the plan of %s (%d min%s) is stored; put this one in its place? "
                                "[y/N] ",
                                p.date, p.minutes, by_hand ? ", changed by hand" : ""));
        buf_str(&c->talk, *yes          ? ""
                          : calendar(c) ? "the stored plan stays, and is the one in the calendar\n"
                                        : "the stored plan stays; this one is printed only\n");
    } else if (by_hand) {
        return err_set(e, ERR_INPUT,
                       "the plan of %s was changed by hand; say --replace to put this one in its "
                       "place, or --try to print it only",
                       p.date);
    }
    return true;
}

static bool keep(struct call *c, struct app *a, const struct plan_choice *p,
                 const struct plan_report *r, struct err *e)
{
    if (call_value(c, "try"))
        return true;
    if (r->plan.n_blocks == 0 && !r->heat.closed)
        return true;
    bool yes = true;
    if (r->plan.n_blocks > 0 && !may_replace(c, a, r, &yes, e))
        return false;
    if (!yes)
        return true;
    return app_plan_keep_reading(a, p, &c->memory, e) &&
           (r->plan.n_blocks ? app_plan_keep(a, p, r, &c->memory, e) : take_away(c, a, p, e));
}

/* What was said on the command line. */
static struct plan_ask said(struct call *c)
{
    struct plan_ask ask = {0};
    for (const struct plan_field *f = plan_fields; f->name; f++) {
        size_t n;
        const char **values = call_values(c, f->name, &n);
        for (size_t i = 0; i < n; i++)
            plan_ask_add(&ask, f->name, values[i], &c->memory);
    }
    return ask;
}

/* --- writing ------------------------------------------------------------------------------------ */

static bool read_parts(struct call *c, struct app *app, struct plan_paper *p, struct err *e)
{
    p->of = call_value(c, "for");
    return plan_parts_read(&c->memory, &app->show, p, e);
}

static bool make(struct call *c, struct app *app, enum format as, const struct plan_ask *ask,
                 struct plan_paper *paper, struct plan_report *r, struct err *e)
{
    struct plan_choice choice;
    if (!plan_ask_choice(ask, &c->memory, &choice, e))
        return false;
    choice.tell_history = as != AS_CSV;
    return keeps_heat_rule(c, app, &choice, e) && app_plan(app, &choice, &c->memory, r, e) &&
           read_parts(c, app, paper, e) && keep(c, app, &choice, r, e);
}

/* Nothing was asked for but the day: the plan that is stored, with what was changed by hand. */
static bool only_the_day(const struct plan_ask *ask)
{
    for (size_t i = 0; i < ask->n; i++)
        if (strcmp(ask->at[i].name, "date") != 0)
            return false;
    return true;
}

static bool stored(struct call *c, struct app *app, const struct plan_ask *ask,
                   struct plan_paper *paper, struct plan_report *r, struct err *e)
{
    char today[11];
    struct err none;
    const char *date = plan_ask_value(ask, "date");
    struct plan_choice nothing;
    clock_today(today);
    if (date && !date_check(date, "date", e))
        return false;
    if (!app_plan_stored(app, date ? date : today, &c->memory, r, &none))
        return plan_ask_choice(ask, &c->memory, &nothing, e); /* which says what is missing */
    return read_parts(c, app, paper, e);
}

/* --- the calendar -------------------------------------------------------------------------------- */

static bool calendar_asked_well(const struct call *c, enum format as, struct err *e)
{
    if (as != AS_ICS)
        return !call_value(c, "zone") ||
               err_set(e, ERR_USAGE, "plan: --zone is for a calendar; say --as ics too");
    return !call_value(c, "try") ||
           err_set(e, ERR_USAGE,
                   "plan: a calendar follows the plan that is stored; leave --try out");
}

/* --zone, the show's, this laptop's; *zone is NULL when none can be told. */
static bool find_zone(struct call *c, const struct app *a, const char **zone, struct err *e)
{
    char here[ZONE_NAME];
    *zone = call_value(c, "zone");
    if (*zone)
        return zone_known(*zone, e) || err_in(e, "plan: --zone");
    *zone = store_setting(a->store, &c->memory, "zone");
    if (*zone && **zone)
        return zone_known(*zone, e) ||
               err_in(e, "the show's setting 'zone', to be set anew with boxcall setting");
    *zone = zone_here(here) ? arena_strdup(&c->memory, here) : NULL;
    if (*zone)
        buf_printf(&c->talk,
                   "the calendar's times are those of %s, as this laptop's; --zone, or the show's "
                   "setting 'zone', says another\n",
                   *zone);
    if (!*zone)
        buf_str(&c->talk,
                "the time zone of this laptop cannot be told, so the calendar has none; say one: "
                "--zone America/New_York\n");
    return true;
}

/* The clocks change between the beginning and the end of the plan. */
static void say_change(struct call *c, const struct plan_calendar *k)
{
    const struct plan *plan = &k->paper->r->plan;
    int64_t day = 0;
    civil_seconds(k->paper->r->date, &day);
    const int64_t from = zone_utc(&k->spans, day + (int64_t)plan->start_min * PLAN_MINUTE_S);
    if (plan->n_blocks &&
        zone_offset(&k->spans, from) != zone_offset(&k->spans, from + plan->seconds))
        buf_str(&c->talk, "the clocks change during this rehearsal: the calendar follows them, the "
                          "plan on paper counts on from its beginning\n");
}

/* A field that is closed must not be in anybody's calendar, whatever is ticked off there. */
static bool may_be_rehearsed(const struct plan_report *made, const struct plan_report *stored,
                             struct err *e)
{
    return !made || made->plan.n_blocks || !stored->plan.n_blocks ||
           err_set(e, ERR_FAILED,
                   "no calendar is written: %s Blocks of the plan of %s are ticked off, so it "
                   "stays stored; do not go on with it outdoors",
                   made->plan.n_cautions ? made->plan.cautions[0] : "the field is closed.",
                   stored->date);
}

/* made: what was planned just now, if anything. */
static bool write_calendar(struct call *c, struct app *app, const char *date,
                           const struct plan_report *made, struct err *e)
{
    struct plan_day day;
    struct plan_paper paper = {.r = &day.report};
    struct plan_calendar k = {.paper = &paper, .events = &day.events};
    int64_t from;
    if (!app_plan_events(app, date, &c->memory, &day, e) ||
        !may_be_rehearsed(made, &day.report, e) || !read_parts(c, app, &paper, e) ||
        !find_zone(c, app, &k.zone, e))
        return false;
    if (k.zone && civil_seconds(date, &from)) {
        if (!zone_read(k.zone, from - DAY_S, from + 4 * DAY_S, &k.spans, e))
            return false;
        say_change(c, &k);
    }
    return plan_ics(&k, &c->out, e);
}

static const char *day_asked(struct call *c, const struct plan_ask *ask)
{
    char today[11];
    const char *date = plan_ask_value(ask, "date");
    clock_today(today);
    return date ? date : arena_strdup(&c->memory, today);
}

static bool run_calendar(struct call *c, struct app *app, const struct plan_ask *ask, struct err *e)
{
    struct plan_report r;
    struct plan_paper paper = {.r = &r};
    const char *date = day_asked(c, ask);
    if (!date_check(date, "date", e))
        return false;
    if (only_the_day(ask))
        return write_calendar(c, app, date, NULL, e);
    return make(c, app, AS_ICS, ask, &paper, &r, e) && write_calendar(c, app, date, &r, e);
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON, AS_ICS};
    static void (*const writers[])(const struct plan_paper *, struct buf *) = {
        [AS_TEXT] = plan_text, [AS_CSV] = plan_csv, [AS_JSON] = plan_json};
    enum format as;
    struct app app;
    struct plan_report r;
    struct plan_paper paper = {.r = &r, .full = call_value(c, "full") != NULL};
    struct table_talk talk = {0};
    struct plan_ask ask = said(c);
    ask.talk = &talk;
    if (!call_format(c, can, 4, &as, e) || !calendar_asked_well(c, as, e) ||
        !lists_open(c, &app, e))
        return false;
    const bool ok = as == AS_ICS         ? run_calendar(c, &app, &ask, e)
                    : only_the_day(&ask) ? stored(c, &app, &ask, &paper, &r, e)
                                         : make(c, &app, as, &ask, &paper, &r, e);
    if (ok && as != AS_ICS)
        writers[as](&paper, &c->out);
    call_say_table(c, &talk);
    table_talk_free(&talk);
    app_close(&app);
    return ok;
}

#define OPTION(name, value, help, many) {name, value, help, many},
const struct verb verb_plan = {
    .name = "plan",
    .usage = "SHOW [--minutes N]",
    .summary = "Plan the next rehearsal from what is open",
    .detail =
        "One sectional period, the same for everyone, of the length that pays best, each section "
        "with its own list; then blocks for everyone in the order of the show; what is left over "
        "is a run. All in whole minutes. A rep takes the playing time from the tempos plus the "
        "reset, and mends a share (--learn) of what is left of the one or two things that were "
        "said before it (--say); reps stop where another is not worth its time (--worth). Faults "
        "of timing, form and path need the other sections; others may be worked in sectionals. "
        "Marks whose cause is 'define' get no reps: the plan names what the staff must decide. "
        "Water breaks are always in it; --wbgt "
        "(measured) makes them follow the policy table: any 60 minutes of the rehearsal then hold "
        "the rest that its row asks, or there is no plan and the line says which fixed item to "
        "shorten to what. Where it allows nothing outdoors, the day's plan is taken away unless "
        "blocks are ticked off. The plan is stored as that of its date, in the place of an older "
        "one of which nothing was ticked off (at a terminal it asks first), "
        "and is ticked off afterwards: boxcall tick. Without --minutes the plan of the day "
        "(--date) is "
        "printed as it is stored, with what was changed by hand.\n"
        "\n"
        "--as ics is the stored plan as a calendar (RFC 5545): one event is the rehearsal "
        "from start to end, with what is when and every caution; each block is an event within it, "
        "with the reps, what is to be mended and the cautions that are about it. Only the "
        "rehearsal "
        "counts as time that is taken. Its times are of the zone --zone, else "
        "of the show's setting zone, else of this laptop; where clocks change during the "
        "rehearsal, they are what clocks show then. Whoever imports the file again, or one that "
        "somebody else wrote from a copy of the show, has each block once: the day's first rep "
        "block stays the first, with new sets and a new hour. Blocks that an earlier plan of the "
        "day had and this one has not are cancelled, as far as this show file was told of them: "
        "not those of a plan that another copy of the show had, or that an older boxcall stored. "
        "What "
        "was ticked off stays as it was done. "
        "Nobody's name is in it.\n"
        "\n" HEAT_REMINDER,
    .options = {PLAN_FIELDS(OPTION){"for", "SECTION", "only what these people do, minute by minute",
                                    false},
                {"full", NULL, "every fix with every moment, and all that is left", false},
                {"try", NULL, "print it, do not store it", false},
                {"replace", NULL, "put it in the place of the day's plan, changed by hand or not",
                 false},
                LISTS_LINK_FROM,
                {"as", "FORMAT", "text (default), csv, json or ics", false},
                {"zone", "AREA/CITY", "ics: the time zone of the rehearsal, as America/New_York",
                 false},
                CALL_SEMICOLONS,
                {0}},
    .written = (const struct verb_written[]){{"", plan_columns}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
