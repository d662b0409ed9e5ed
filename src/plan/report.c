#include "plan/report.h"

#include <string.h>

bool plan_in_work(const struct plan_work *w, const struct report_moment *m)
{
    return m->set >= w->first_set && m->set <= w->last_set;
}

int plan_marks_in(const struct plan_work *w, const struct plan_target *t)
{
    int n = 0;
    for (size_t i = 0; i < t->n_moments; i++)
        n += plan_in_work(w, &t->moments[i]);
    return n;
}

const char *plan_who(const struct plan_report *r, int group)
{
    if (group >= 0)
        return r->in.groups[group].name;
    return r->show->root >= 0 ? r->show->sections[r->show->root].name : "ensemble";
}

bool plan_then(const struct plan_block *b)
{
    return b->kind == PLAN_SECTIONAL && b->n_list > 0 &&
           strncmp(b->name, PLAN_THEN, sizeof PLAN_THEN - 1) == 0;
}

int plan_then_s(const struct plan_block *b)
{
    return b->n_list ? b->list[b->n_list - 1].start_s + b->list[b->n_list - 1].seconds : b->start_s;
}

const struct show *plan_report_show(const struct show *show, struct arena *mem)
{
    struct show *out = arena_alloc(mem, sizeof *out);
    *out = (struct show){.n_sections = show->n_sections,
                         .n_faults = show->n_faults,
                         .n_sets = show->n_sets,
                         .grid = show->grid,
                         .root = show->root};
    out->sections = arena_alloc(mem, (show->n_sections + 1) * sizeof *out->sections);
    for (size_t i = 0; i < show->n_sections; i++)
        out->sections[i] = (struct section){.id = show->sections[i].id,
                                            .name = arena_strdup(mem, show->sections[i].name),
                                            .parent = "",
                                            .key = "",
                                            .words = "",
                                            .up = show->sections[i].up};
    out->faults = arena_alloc(mem, (show->n_faults + 1) * sizeof *out->faults);
    for (size_t i = 0; i < show->n_faults; i++)
        out->faults[i] = (struct fault){.id = show->faults[i].id,
                                        .name = arena_strdup(mem, show->faults[i].name),
                                        .family = "",
                                        .key = "",
                                        .right = "",
                                        .words = ""};
    out->sets = arena_alloc(mem, (show->n_sets + 1) * sizeof *out->sets);
    for (size_t i = 0; i < show->n_sets; i++)
        out->sets[i] = (struct set){.id = show->sets[i].id,
                                    .label = arena_strdup(mem, show->sets[i].label),
                                    .counts = show->sets[i].counts,
                                    .name = ""};
    return out;
}

bool plan_report_holds(const struct plan_report *r, const struct show *show)
{
    const struct show *own = r->show;
    if (own->n_sections != show->n_sections || own->n_faults != show->n_faults ||
        own->n_sets != show->n_sets)
        return false;
    for (size_t i = 0; i < own->n_sections; i++)
        if (strcmp(own->sections[i].name, show->sections[i].name) != 0 ||
            own->sections[i].up != show->sections[i].up)
            return false;
    for (size_t i = 0; i < own->n_faults; i++)
        if (strcmp(own->faults[i].name, show->faults[i].name) != 0)
            return false;
    for (size_t i = 0; i < own->n_sets; i++)
        if (strcmp(own->sets[i].label, show->sets[i].label) != 0)
            return false;
    return true;
}

const struct report_clip *plan_report_clips(const struct report_clip *clips, size_t n,
                                            struct arena *mem)
{
    struct report_clip *out = arena_alloc(mem, (n + 1) * sizeof *out);
    for (size_t i = 0; i < n; i++) {
        out[i] = clips[i];
        out[i].label = arena_strdup(mem, out[i].label);
        out[i].link = arena_strdup(mem, out[i].link);
        out[i].path = arena_strdup(mem, out[i].path);
        out[i].date = arena_strdup(mem, out[i].date);
    }
    return out;
}
