#include "verb/plan_parts.h"

bool plan_parts_read(struct arena *mem, const struct show *show, struct plan_paper *p,
                     struct err *e)
{
    int section;
    const struct plan_report *r = p->r;
    if (!p->of)
        return true;
    if (!section_named(show, p->of, &section, e))
        return false;
    int *parts = arena_alloc(mem, (r->in.n_groups + 1) * sizeof *parts);
    for (size_t i = 0; i < r->in.n_groups; i++) {
        int group;
        if (section_named(show, r->in.groups[i].name, &group, e) &&
            section_within(show, group, section))
            parts[p->parts.n++] = (int)i;
    }
    p->parts.at = parts;
    p->of = show->sections[section].name;
    return true;
}
