#include "rank/report.h"

const char *report_for(const struct fix_report *r)
{
    if (r->performer >= 0)
        return r->show->performers[r->performer].label;
    return r->section >= 0 ? r->show->sections[r->section].name : "ensemble";
}

bool report_rests_on_little(const struct fix_report *r)
{
    return r->watched_min < 5 || r->watched_min < r->length_min / 2;
}
