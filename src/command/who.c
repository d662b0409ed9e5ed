#include "command/who.h"

struct who who_of(const struct show *show, const struct target *t)
{
    return (struct who){show->sections[t->section].id,
                        t->performer >= 0 ? show->performers[t->performer].id : 0};
}

bool who_find(const struct show *show, const struct who *w, struct target *out)
{
    *out = (struct target){-1, -1};
    for (size_t i = 0; i < show->n_performers && w->performer; i++)
        if (show->performers[i].id == w->performer) {
            *out = (struct target){show->performers[i].section, (int)i};
            return !show->performers[i].removed;
        }
    for (size_t i = 0; i < show->n_sections && !w->performer; i++)
        if (show->sections[i].id == w->section) {
            out->section = (int)i;
            return !show->sections[i].removed;
        }
    return false;
}

int fault_of_row(const struct show *show, int64_t id)
{
    for (size_t i = 0; i < show->n_faults; i++)
        if (show->faults[i].id == id)
            return (int)i;
    return -1;
}

int set_of_row(const struct show *show, int64_t id)
{
    for (size_t i = 0; i < show->n_sets; i++)
        if (show->sets[i].id == id)
            return (int)i;
    return -1;
}
