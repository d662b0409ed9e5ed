#include "app/ties.h"
#include "verb/rows.h"

/* A step, and the plan that was stored since, for which somebody may take it. */
struct undoing {
    char what[100];
    char plan[11]; /* its day; "" none was */
};

static bool find_plan(struct app *a, struct undoing *u, struct err *e)
{
    bool below;
    return store_next_undo(a->store, u->what, &below, e) &&
           store_plan_since_step(a->store, u->plan, e);
}

static void say_how(struct call *c, const struct undoing *u)
{
    buf_printf(
        &c->talk,
        "another plan of the day takes its place: boxcall plan SHOW --date %s --minutes 90\n",
        u->plan);
}

/* Who wants a plan back must not lose the step before it unseen. */
static bool may_go(struct call *c, const struct undoing *u)
{
    if (!*u->plan || !*u->what || !c->ask ||
        c->ask(
            arena_printf(&c->memory,
                         "the plan of %s was stored since, and undo takes no plan back; the step "
                         "before it is '%s'. Take that back? [y/N] ",
                         u->plan, u->what)))
        return true;
    buf_str(&c->talk, "nothing was taken back; ");
    say_how(c, u);
    return false;
}

static void say_plan(struct call *c, const struct undoing *u, const char *what)
{
    if (!*u->plan || c->ask)
        return;
    buf_printf(&c->talk, "the plan of %s was stored since and stays, as undo takes no plan back; ",
               u->plan);
    say_how(c, u);
    buf_printf(&c->talk, "undo --redo brings '%s' back\n", what);
}

static bool nothing(const struct call *c, const struct undoing *u, bool redo, struct err *e)
{
    if (redo)
        return err_set(e, ERR_FAILED, "%s: nothing of yours to do again", c->words[0]);
    if (!*u->plan)
        return err_set(e, ERR_FAILED, "%s: nothing of yours to take back", c->words[0]);
    return err_set(
        e, ERR_FAILED,
        "%s: nothing of yours to take back, and undo takes no plan back; another plan of "
        "the day takes its place: boxcall plan SHOW --date %s --minutes 90",
        c->words[0], u->plan);
}

static bool travel(struct call *c, struct app *a, bool redo, struct err *e)
{
    char what[100];
    struct undoing u = {0};
    if (!redo && !find_plan(a, &u, e))
        return false;
    if (!may_go(c, &u))
        return true;
    if (!app_travel(a, !redo, what, e))
        return e->code == ERR_NONE ? nothing(c, &u, redo, e) : false;
    buf_printf(&c->talk, "%s: %s\n", redo ? "done again" : "taken back", what);
    say_plan(c, &u, what);
    return true;
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    if (!app_open(&app, c->words[0], e))
        return false;
    const bool ok = travel(c, &app, call_value(c, "redo") != NULL, e);
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
              "same. Not steps: settings, clips, what was watched, and a plan kept anew. Where a "
              "plan of yours was stored since, that is said, at a terminal before anything is "
              "taken back: another plan of its day takes its place.",
    .options = {{"redo", NULL, "do it again", false}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
