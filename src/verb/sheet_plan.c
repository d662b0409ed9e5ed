/* What waits for a decision, and the plan of a day as it is stored. */
#include "app/define.h"
#include "app/plan.h"
#include "sys/clock.h"
#include "verb/plan_parts.h"
#include "verb/sheets.h"

bool sheets_define(struct call *c, struct app *a, const struct sheet_style *style,
                   struct sheet_made *out, struct err *e)
{
    struct fix_choice choice = {.since = call_value(c, "since"), .labels_only = style->labels_only};
    size_t n;
    const char **whom = call_values(c, "for", &n);
    struct define_report *d = arena_alloc(&c->memory, (n + 1) * sizeof *d);
    choice.clips = call_values(c, "clip", &choice.n_clips);
    for (size_t i = 0; i < (n ? n : 1); i++) {
        choice.for_whom = n ? whom[i] : NULL;
        if (!app_define(a, &choice, &c->memory, &d[i], e))
            return false;
        sheets_names(c, &d[i].asked, style);
        sheets_names(c, &d[i].decided, style);
    }
    return sheet_define(&(struct sheet_defines){d, n ? n : 1}, style, out, e);
}

bool sheets_plan(struct call *c, struct app *a, const struct sheet_style *style,
                 struct sheet_made *out, struct err *e)
{
    char today[11];
    struct plan_report r;
    size_t n;
    const char *date = call_value(c, "date"), **whom = call_values(c, "for", &n);
    clock_today(today);
    if ((date && !date_check(date, "date", e)) ||
        !app_plan_stored(a, date ? date : today, &c->memory, &r, e))
        return false;
    struct plan_paper *papers = arena_alloc(&c->memory, (n + 1) * sizeof *papers);
    papers[0].r = &r;
    for (size_t i = 0; i < n; i++) {
        papers[i] = (struct plan_paper){.r = &r, .of = whom[i]};
        if (!plan_parts_read(&c->memory, &a->show, &papers[i], e))
            return false;
    }
    return sheet_plan(&(struct sheet_plans){papers, n ? n : 1}, style, out, e);
}
