#include <stdlib.h>
#include <string.h>

#include "verb/lists.h"
#include "verb/rows.h"

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    enum format as;
    struct app app;
    struct fix_report r;
    struct fix_choice choice = {.for_whom = call_value(c, "for"), .since = call_value(c, "since")};
    const char *by = call_value(c, "by");
    if (by && !rank_by_named(by, &choice.by))
        return err_set(e, ERR_USAGE,
                       "fixes: no order '%s'; --by takes frequency, runs, severity, rate, recent",
                       by);
    if (!call_format(c, can, 3, &as, e) || !lists_open(c, &app, e))
        return false;
    choice.clips = call_values(c, "clip", &choice.n_clips);
    choice.moments = true;
    choice.labels_only = call_value(c, "labels-only") != NULL;
    const char *term = getenv("TERM");
    struct fixes_style style = {
        .labels_only = call_value(c, "labels-only") != NULL,
        .width = c->columns,
        .brief = call_value(c, "brief") != NULL,
        .numbers = call_value(c, "numbers") != NULL,
        .links = c->tty && term && strcmp(term, "dumb") != 0 && strcmp(term, "linux") != 0,
    };
    c->raw = style.links && as == AS_TEXT;
    bool ok = app_fixes(&app, &choice, &c->memory, &r, e);
    if (ok && as == AS_TEXT)
        fixes_text(&r, &style, &c->out);
    else if (ok && as == AS_CSV)
        fixes_csv(&r, &c->out);
    else if (ok)
        fixes_json(&r, &style, &c->out);
    app_close(&app);
    return ok;
}

const struct verb verb_fixes = {
    .name = "fixes",
    .usage = "SHOW",
    .summary = "Print a fix list, ranked by frequency",
    .detail =
        "For each fault: how many marks, in how many of the chosen runs, who, every moment by "
        "set and count, the notes, what was measured, what right looks like, and its state. "
        "Praise comes first; marks on a group the section belongs to are shown apart. A mark "
        "with several targets counts once. Links begin two seconds before their moment.\n"
        "\n" RANK_RULE,
    .options = {{"for", "WHO", "a section or a performer (default: the whole ensemble)", false},
                {"clip", "CLIP", "only this clip; may be given several times", true},
                {"since", "YYYY-MM-DD", "only clips from this date on", false},
                {"by", "ORDER", "frequency (default), runs, severity, rate or recent", false},
                {"brief", NULL, "text: one line for each fault", false},
                {"numbers", NULL,
                 "text: rates, intervals, which lines are about equally frequent, and how that is "
                 "computed",
                 false},
                {"labels-only", NULL, "leave the names of people out", false},
                LISTS_LINK_FROM,
                {"as", "FORMAT", "text (default), csv or json", false},
                CALL_SEMICOLONS,
                {0}},
    .written = (const struct verb_written[]){{"", fixes_columns}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
