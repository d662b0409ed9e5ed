/* What the staff must decide: marks with cause define, fault by fault. */
#include <stdlib.h>
#include <string.h>

#include "verb/lists.h"
#include "app/define.h"
#include "paper/define.h"
#include "verb/rows.h"

static bool decide(struct call *c, struct app *app, struct err *e)
{
    int fault;
    const char *text = call_value(c, "decide");
    if (c->n_words < 2)
        return err_set(e, ERR_USAGE, "define: --decide needs the FAULT it is about");
    if (strchr(text, '\n'))
        return err_set(e, ERR_INPUT, "define: a decision is one line");
    if (!fault_named(&app->show, c->words[1], &fault, e) ||
        !store_decide(app->store, &app->show, fault, text, e))
        return false;
    buf_printf(&c->talk,
               *text ? "%s: decided; later marks are for the performers to do\n"
                     : "%s: the decision is taken back\n",
               app->show.faults[fault].name);
    return true;
}

static bool list(struct call *c, struct app *app, enum format as, struct err *e)
{
    struct define_report d;
    struct fix_choice choice = {.for_whom = call_value(c, "for")};
    choice.clips = call_values(c, "clip", &choice.n_clips);
    if (!app_define(app, &choice, &c->memory, &d, e))
        return false;
    if (c->n_words > 1 && !fault_named(&app->show, c->words[1], &d.only, e))
        return false;
    (as == AS_JSON ? define_json : as == AS_CSV ? define_csv : define_text)(&d, &c->out);
    return true;
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    enum format as;
    struct app app;
    if (!call_format(c, can, 3, &as, e) || !lists_open(c, &app, e))
        return false;
    bool ok = call_value(c, "decide") ? decide(c, &app, e) : list(c, &app, as, e);
    app_close(&app);
    return ok;
}

const struct verb verb_define = {
    .name = "define",
    .usage = "SHOW [FAULT]",
    .summary = "What the staff must decide, for whom, with its moments",
    .detail =
        "Lists marks with cause 'define', grouped by fault, and then what was decided. --decide "
        "writes down what right looks like: it then stands on every section's list, the "
        "marks that asked are answered, and later marks of the fault are the performers' to "
        "do, unless one is marked 'define' again.",
    .options = {{"decide", "TEXT", "the decision for FAULT (\"\" takes it back)", false},
                {"for", "WHO", "a section or a performer", false},
                {"clip", "CLIP", "only this clip; may be given several times", true},
                LISTS_LINK_FROM,
                {"as", "FORMAT", "text (default), csv or json", false},
                CALL_SEMICOLONS,
                {0}},
    .written = (const struct verb_written[]){{"", define_columns}, {0}},
    .least = 1,
    .most = 2,
    .run = run,
};
