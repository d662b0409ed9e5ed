#include "app/define.h"

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
    return app_fixes(a, &how, mem, &out->decided, e);
}
