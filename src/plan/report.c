#include "plan/report.h"

const char *plan_who(const struct plan_report *r, int group)
{
    if (group >= 0)
        return r->in.groups[group].name;
    return r->show->root >= 0 ? r->show->sections[r->show->root].name : "ensemble";
}
