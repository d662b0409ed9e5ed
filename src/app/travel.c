/* Taking a step back, and what follows from it. */
#include <string.h>

#include "app/ties.h"

/* The rows are as they were; the show is read again, and marks find their place anew. */
static bool follow(struct store *s, struct travelled *t, struct err *e)
{
    struct app *a = t->ctx;
    if (!app_reload(a, e) || (t->roster && !store_follow_roster(s, 0, e)))
        return false;
    for (size_t i = 0; i < t->n_marks && !t->roster; i++)
        if (!store_follow_roster(s, t->marks[i], e))
            return false;
    if (t->drill)
        return app_place_all(a, e);
    for (size_t i = 0; i < t->n_marks; i++)
        if (!app_place_one(a, t->marks[i], e))
            return false;
    return true;
}

bool app_travel(struct app *a, bool back, char what[100], struct err *e)
{
    struct travelled t = {.then = follow, .ctx = a};
    bool ok = (back ? store_undo : store_redo)(a->store, &t, e);
    memcpy(what, t.what, sizeof t.what);
    if (ok || e->code == ERR_NONE)
        return ok;
    struct err again; /* what was read within the step that failed is not so */
    if (!app_reload(a, &again))
        *e = again;
    return false;
}
