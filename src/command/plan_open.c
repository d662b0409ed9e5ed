/* Showing the rep plan: the one on the desk, a stored one, or one that is ordered. */
#include <string.h>

#include "app/app.h"
#include "command/line.h"
#include "command/plan.h"
#include "command/plan_form.h"
#include "command/screen.h"
#include "sys/clock.h"

static void plan_typed(struct desk *d, const char *text)
{
    if (*text)
        plan_open(d, text);
}

static const struct line_kind plan_line = {
    .label = " minutes and start:", .offered = true, .done = plan_typed};

/* The day's stored plan, or the form for it. */
static void open_named_day(struct desk *d, const char *date)
{
    struct err e = {0};
    if (!date_check(date, "the day", &e)) {
        desk_trouble(d, "%s", e.text);
    } else if (plan_open_day(d, date, &e)) {
        screen_show(d, "plan");
        desk_say(d, "the plan of %s as it is stored; gain %.1f of %.1f", date,
                 plan_now(d)->kept.gain, plan_now(d)->kept.open_weight);
    } else {
        plan_form_open(d, date);
        desk_say(d, "no plan of %s is stored yet", date);
    }
}

/* "", "90", "90 18:00", "90 18:00 88F", "2026-12-01" */
void plan_open(struct desk *d, const char *arg)
{
    char today[11];
    struct err none;
    clock_today(today);
    if (strlen(arg) == 10 && arg[4] == '-') {
        open_named_day(d, arg);
    } else if (*arg) {
        plan_form_typed(d, arg);
    } else if (plan_now(d)) {
        screen_show(d, "plan");
    } else if (plan_open_day(d, today, &none)) {
        screen_show(d, "plan");
        desk_say(d, "today's plan as it is stored; gain %.1f of %.1f", plan_now(d)->kept.gain,
                 plan_now(d)->kept.open_weight);
    } else {
        line_ask(d, &plan_line, "90 18:00");
    }
}
