/* A whole copy of the show; the way on when the file was moved away under the review. */
#include "app/app.h"
#include "command/command.h"
#include "command/reload.h"

void command_copy(struct desk *d, const char *arg)
{
    struct err e, again;
    bool was_lost = d->lost;
    if (!*arg) {
        desk_trouble(d, "write: copy FILE, a new file's name");
        return;
    }
    bool ok = app_move_to(d->app, arg, &e);
    d->lost = d->leaving = false;
    if (!desk_reload(d, &again)) {
        desk_trouble(d, "%s", again.text);
        return;
    }
    if (!ok) {
        d->lost = was_lost;
        desk_trouble(d, "not copied: %s", e.text);
        return;
    }
    desk_say(d,
             was_lost ? "the review goes on in %s; marks are saved there from now on"
                      : "%s: a whole copy of the show",
             arg);
}
