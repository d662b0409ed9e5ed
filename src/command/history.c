#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/command.h"
#include "command/hold.h"
#include "command/reload.h"
#include "command/screen.h"

/* Whoever takes marks back one after the other must not take the roster back with one press too
 * many: a table that lies below is named first. */
static bool stops_at_table(struct desk *d)
{
    char what[100];
    bool below;
    struct err ignored;
    if (!store_next_undo(d->app->store, what, &below, &ignored) || !below ||
        strncmp(what, "add ", 4) != 0 || strcmp(what, d->warned) == 0)
        return false;
    snprintf(d->warned, sizeof d->warned, "%s", what);
    desk_say(d, "the step before is '%s'; once more takes the table back", what);
    return true;
}

/* Nor must who wants a plan back, which is no step, lose the step before it. */
static bool stops_at_plan(struct desk *d)
{
    char what[100], date[11], warned[sizeof d->warned];
    bool below;
    struct err ignored;
    if (!store_next_undo(d->app->store, what, &below, &ignored) || !*what ||
        !store_plan_since_step(d->app->store, date, &ignored) || !*date)
        return false;
    snprintf(warned, sizeof warned, "%s %.80s", date, what);
    if (strcmp(warned, d->warned) == 0)
        return false;
    snprintf(d->warned, sizeof d->warned, "%s", warned);
    desk_say(d,
             "the plan of %s was stored since, and undo takes no plan back; once more takes back "
             "the step before: %s",
             date, what);
    return true;
}

static void travel(struct desk *d, bool back)
{
    char what[100];
    struct err e, again;
    bool ok = app_travel(d->app, back, what, &e);
    desk_wrote(d);
    if (!desk_reload(d, &again)) /* whatever came of it: the show was read again */
        desk_trouble(d, "%s", again.text);
    else if (ok)
        desk_say(d, "%s: %s", back ? "taken back" : "done again", what);
    else
        desk_trouble(d, "%s",
                     e.code ? e.text
                     : back ? "nothing to take back"
                            : "nothing to do again");
}

void command_undo(struct desk *d, const char *arg)
{
    (void)arg;
    hold_drop(d);
    if ((d->screen->undo && d->screen->undo(d)) || stops_at_table(d) || stops_at_plan(d))
        return;
    d->warned[0] = '\0';
    travel(d, true);
}

void command_redo(struct desk *d, const char *arg)
{
    (void)arg;
    hold_drop(d);
    travel(d, false);
}
