/* From what is asked for to a plan, without storing it. */
#include "app/app.h"
#include "command/plan.h"

bool plan_choice_of(const struct desk_plan *p, struct arena *mem, struct plan_choice *out,
                    struct err *e)
{
    if (!plan_ask_choice(&p->ask, mem, out, e))
        return false;
    out->date = p->date;
    out->wishes = p->wishes.at;
    out->n_wishes = p->wishes.n;
    return true;
}

bool plan_make_report(struct desk *d, struct desk_plan *p, struct err *e)
{
    struct arena fresh = {0};
    struct plan_choice choice;
    struct plan_report r;
    if (!plan_choice_of(p, &fresh, &choice, e) || !app_plan(d->app, &choice, &fresh, &r, e)) {
        arena_free(&fresh);
        return false;
    }
    arena_free(&p->memory);
    p->memory = fresh;
    p->report = r;
    p->draft = true;
    return true;
}

bool plan_closed(const struct desk_plan *p)
{
    return p->report.heat.closed && !plan_ask_value(&p->ask, "indoors");
}
