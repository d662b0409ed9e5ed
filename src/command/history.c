#include "command/command.h"

static void travel(struct desk *d, bool back)
{
    char what[100];
    struct err e;
    bool ok = back ? store_undo(d->app->store, what, &e) : store_redo(d->app->store, what, &e);
    if (!ok) {
        desk_trouble(d, "%s",
                     e.code ? e.text
                     : back ? "nothing to take back"
                            : "nothing to do again");
        return;
    }
    if (!desk_reload(d, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    desk_say(d, "%s: %s", back ? "taken back" : "done again", what);
}

void command_undo(struct desk *d, const char *arg)
{
    (void)arg;
    chord_cancel(d);
    if (!plan_undo(d))
        travel(d, true);
}

void command_redo(struct desk *d, const char *arg)
{
    (void)arg;
    chord_cancel(d);
    travel(d, false);
}
