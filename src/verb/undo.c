#include "app/ties.h"
#include "verb/rows.h"

static bool run(struct call *c, struct err *e)
{
    struct app app;
    char what[100];
    bool redo = call_value(c, "redo") != NULL;
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = app_travel(&app, !redo, what, e);
    if (ok)
        buf_printf(&c->talk, "%s: %s\n", redo ? "done again" : "taken back", what);
    else if (e->code == ERR_NONE)
        err_set(e, ERR_FAILED,
                redo ? "%s: nothing of yours to do again" : "%s: nothing of yours to take back",
                c->words[0]);
    app_close(&app);
    return ok;
}

const struct verb verb_undo = {
    .name = "undo",
    .usage = "SHOW",
    .summary = "Take your own last step back, a table too",
    .detail = "Every mark, change, tie, tick and table is a step of whoever made it "
              "(BOXCALL_AUTHOR or the login name). Steps are taken back from the last; one that "
              "somebody else has built on is refused, with who it was. Undo in the review does the "
              "same. Not steps: settings, clips, what was watched, and a plan kept anew.",
    .options = {{"redo", NULL, "do it again", false}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
