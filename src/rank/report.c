#include "rank/report.h"

const char *report_for(const struct fix_report *r)
{
    const struct show *show = r->show;
    if (r->performer >= 0)
        return r->performer < (int)show->n_performers ? show->performers[r->performer].label
                                                      : "a performer who is gone";
    if (r->section >= (int)show->n_sections)
        return "a section that is gone";
    return r->section >= 0 ? show->sections[r->section].name : "ensemble";
}

bool report_rests_on_little(const struct fix_report *r)
{
    return r->watched_min < 5 || r->watched_min < r->length_min / 2;
}
