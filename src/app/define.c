#include "app/define.h"

#include <string.h>

/* A fault about which was decided has a line, whether a mark had asked or not. */
static void complete(struct app *a, struct arena *mem, struct fix_report *r)
{
    struct rank_list *l = &r->own.list;
    struct rank_item *items = arena_alloc(mem, (l->n_items + a->show.n_faults) * sizeof *items);
    if (l->n_items)
        memcpy(items, l->items, l->n_items * sizeof *items);
    for (int f = 0; f < (int)a->show.n_faults; f++) {
        bool there = !a->show.faults[f].decided;
        for (size_t i = 0; i < l->n_items; i++)
            there |= items[i].fault == f;
        if (there)
            continue;
        items[l->n_items++] = (struct rank_item){
            .fault = f,
            .cause = CAUSE_EXECUTE,
            .state_by = "",
            .state_at = "",
            .per_clip = arena_alloc(mem, (r->n_clips + 1) * sizeof(int)),
        };
    }
    l->items = items;
}

bool app_define(struct app *a, const struct fix_choice *choice, struct arena *mem,
                struct define_report *out, struct err *e)
{
    struct fix_choice how = *choice;
    const size_t n = a->show.n_faults;
    const char **days = arena_alloc(mem, (n + 1) * sizeof *days);
    *out = (struct define_report){.only = -1, .days = days};
    how.moments = true;
    how.define = CHOOSE_ASKED;
    if (!app_fixes(a, &how, mem, &out->asked, e))
        return false;
    how.define = CHOOSE_DECIDED;
    for (size_t i = 0; i < n; i++) {
        const struct fault *f = &a->show.faults[i];
        days[i] = f->decided ? arena_printf(mem, "%.10s", app_local_time(mem, f->decided_at)) : "";
    }
    if (!app_fixes(a, &how, mem, &out->decided, e))
        return false;
    complete(a, mem, &out->decided);
    return true;
}
