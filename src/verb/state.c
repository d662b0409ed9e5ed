#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "verb/rows.h"

static bool state_named(const char *name, enum mark_state *out, struct err *e)
{
    for (int s = MARK_OPEN; s <= MARK_CLEAN; s++)
        if (strcmp(name, mark_state_name((enum mark_state)s)) == 0) {
            *out = (enum mark_state)s;
            return true;
        }
    return err_set(e, ERR_USAGE, "state: '%s' is not a state; write open, repped or clean", name);
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    struct fix_report r;
    enum mark_state state = MARK_OPEN;
    int fault, changed = 0;
    struct fix_choice choice = {.for_whom = c->words[1], .since = call_value(c, "since")};
    choice.clips = call_values(c, "clip", &choice.n_clips);
    if (!state_named(c->words[3], &state, e) || !app_open(&app, c->words[0], e))
        return false;
    bool ok = fault_named(&app.show, c->words[2], &fault, e) &&
              app_fixes(&app, &choice, &c->memory, &r, e);
    if (ok) {
        int64_t *clips = arena_alloc(&c->memory, r.n_clips * sizeof *clips);
        for (size_t i = 0; i < r.n_clips; i++)
            clips[i] = r.clips[i].id;
        struct item_choice item = {.section = r.section,
                                   .performer = r.performer,
                                   .fault = fault,
                                   .clips = clips,
                                   .n_clips = r.n_clips};
        changed = store_item_state(app.store, &app.show, &item, state, e);
        ok = changed >= 0;
    }
    if (ok)
        buf_printf(&c->talk, "%s, %s: %d mark%s now %s\n", report_for(&r),
                   app.show.faults[fault].name, changed, changed == 1 ? "" : "s",
                   mark_state_name(state));
    app_close(&app);
    return ok;
}

const struct verb verb_state = {
    .name = "state",
    .usage = "SHOW WHO FAULT open|repped|clean",
    .summary = "Say that a line of a fix list was repped, or is clean",
    .detail = "All marks of the fault for WHO (a section with all below it, or a performer) go to "
              "that state. A later mark on a clean line brings it back.",
    .options = {{"clip", "CLIP", "only marks of this clip; may be given several times", true},
                {"since", "YYYY-MM-DD", "only clips from this date on", false},
                {0}},
    .least = 4,
    .most = 4,
    .run = run,
};
