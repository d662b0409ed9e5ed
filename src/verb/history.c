/* How each line of a fix list went from rehearsal to rehearsal. */
#include "app/history.h"
#include "paper/history.h"
#include "verb/rows.h"

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    static void (*const writers[])(const struct history_report *, struct buf *) = {
        [AS_TEXT] = history_text, [AS_CSV] = history_csv, [AS_JSON] = history_json};
    enum format as;
    struct app app;
    struct history_report r;
    struct history_choice choice = {
        .list = {.for_whom = call_value(c, "for"), .since = call_value(c, "since")}, .fault = -1};
    const char *name = call_value(c, "fault");
    if (!call_format(c, can, 3, &as, e) || !app_open(&app, c->words[0], e))
        return false;
    const bool ok = (!name || fault_named(&app.show, name, &choice.fault, e)) &&
                    app_history(&app, &choice, &c->memory, &r, e);
    if (ok)
        writers[as](&r, &c->out);
    app_close(&app);
    return ok;
}

const struct verb verb_history = {
    .name = "history",
    .usage = "SHOW",
    .summary = "How each line of a fix list went from rehearsal to rehearsal",
    .detail = "For every fault that was marked: its marks a watched minute, rehearsal by "
              "rehearsal, with the interval that says how far they can be believed, the reps that "
              "were made (ticked blocks of rep plans that were about it) and the state that was "
              "set on that day. All clips of a date are one rehearsal.",
    .options = {{"for", "WHO", "a section or a performer (default: the whole ensemble)", false},
                {"fault", "FAULT", "this fault alone", false},
                {"since", "YYYY-MM-DD", "only clips from this date on", false},
                {"as", "FORMAT", "text (default), csv or json", false},
                CALL_SEMICOLONS,
                {0}},
    .written = (const struct verb_written[]){{"", history_columns}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
