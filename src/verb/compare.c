#include <string.h>

#include "app/compare.h"
#include "paper/compare.h"
#include "verb/rows.h"

/* A date, or clips by name: one of the two. */
static bool read_side(struct call *c, const char *date, const char *clips, struct fix_choice *out,
                      struct err *e)
{
    out->date = call_value(c, date);
    out->clips = call_values(c, clips, &out->n_clips);
    if (!out->date == !out->n_clips)
        return err_set(e, ERR_USAGE, "compare: give either --%s DATE or --%s CLIP", date, clips);
    return true;
}

static bool some_clips(const struct comparison_side *s, const char *date, struct err *e)
{
    return s->n_clips > 0 ||
           err_set(e, ERR_INPUT, "no clip of %s in the show", date ? date : "these");
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    enum format as;
    struct app app;
    struct comparison r;
    struct compare_choice choice = {.for_whom = call_value(c, "for")};
    if (!call_format(c, can, 3, &as, e) || !read_side(c, "from", "from-clip", &choice.from, e) ||
        !read_side(c, "to", "to-clip", &choice.to, e) || !app_open(&app, c->words[0], e))
        return false;
    bool ok = app_compare(&app, &choice, &c->memory, &r, e) &&
              some_clips(&r.from, choice.from.date, e) && some_clips(&r.to, choice.to.date, e);
    if (ok && as == AS_TEXT)
        compare_text(&r, call_value(c, "all") != NULL, &c->out);
    else if (ok)
        (as == AS_CSV ? compare_csv : compare_json)(&r, &c->out);
    app_close(&app);
    return ok;
}

const struct verb verb_compare = {
    .name = "compare",
    .usage = "SHOW --from DATE --to DATE",
    .summary = "Compare two rehearsals: fixed, fewer, same, more, new",
    .detail =
        "Section by section (or --for one), the marks of each fault in the sets that both played, "
        "over the stretches that the same person watched, with the exact conditional test of two "
        "Poisson rates, set by set and reviewer by reviewer, and false discoveries held at 5 % "
        "over "
        "all lines, so that noise is not called progress. Marks of one fault within 3 s count "
        "once in it. 'fixed' is only said where enough was played again and watched; otherwise "
        "'unseen'. Where no clip is tied to sets, time alone is compared. Without stored watching "
        "nothing is called fewer or more. Text shows what changed, csv and json every line.",
    .options = {{"from", "DATE", "clips of this date", false},
                {"to", "DATE", "against clips of this date", false},
                {"from-clip", "CLIP", "or this clip; may be given several times", true},
                {"to-clip", "CLIP", "against this clip; may be given several times", true},
                {"for", "WHO", "a section or a performer (default: every section)", false},
                {"all", NULL, "text: also what did not change beyond noise", false},
                {"as", "FORMAT", "text (default), csv or json", false},
                CALL_SEMICOLONS,
                {0}},
    .written = (const struct verb_written[]){{"", compare_columns}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
