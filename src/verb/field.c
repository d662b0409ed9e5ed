/* The field in a clip's pictures, from the command line. */
#include <string.h>

#include "verb/fielding.h"
#include "verb/rows.h"
#include "verb/subs.h"

/* --- the verb ---------------------------------------------------------------------------------------- */

static const struct asked {
    struct sub sub;
    bool (*run)(struct fielding *f, struct err *e);
} subs[] = {
    {{"pick", "TIME X,Y SPOT", 3, 20, ""}, verb_field_pick},
    {{"line", "TIME X,Y X,Y LINE", 4, 12, ""}, verb_field_line},
    {{"picks", "", 0, 0, "as semicolons"}, verb_field_picks},
    {{"unpick", "N", 1, 1, ""}, verb_field_unpick},
    {{"camera", "[TIME]", 0, 1, "as semicolons"}, verb_field_camera},
    {{"at", "TIME X,Y", 2, 2, "as semicolons mark target tolerance"}, verb_field_at},
    {{"pixel", "TIME SPOT", 2, 20, "as semicolons"}, verb_field_pixel},
    {{"gaps", "TIME X,Y X,Y ...", 3, CALL_WORDS, "as semicolons of mark target tolerance"},
     verb_field_gaps},
    {{"fit", "TIME line|arc X,Y ...", 4, CALL_WORDS, "as semicolons mark tolerance"},
     verb_field_fit},
    {{"corner", "TIME X,Y X,Y X,Y", 4, 4, "as semicolons"}, verb_field_corner},
    {{"pace", "TIME X,Y TIME X,Y", 4, 4, "as semicolons counts of mark target tolerance"},
     verb_field_pace},
    {{"angle", "TIME X,Y X,Y X,Y X,Y", 5, 5, "as semicolons"}, verb_field_angle},
    {{"who", "TIME X,Y", 2, 2, "as semicolons"}, verb_field_who},
    {{"check", "TIME X,Y ...", 2, CALL_WORDS, "as semicolons for mark tolerance"},
     verb_field_check},
    {{"dots", "[SET [COUNT] | TIME]", 0, 2, "as semicolons"}, verb_field_dots},
};

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    struct app app;
    struct fielding f = {.c = c, .app = &app, .n = c->n_words - 3, .words = c->words + 3};
    const struct subs all = SUBS_OF(subs);
    const struct asked *asked = sub_asked(c, &all, e);
    if (!asked)
        return false;
    if (!call_format(c, can, 3, &f.as, e) || !app_open(&app, c->words[0], e))
        return false;
    f.clip = clip_named(&app.clips, c->words[1], e);
    bool ok = f.clip && (f.clip->width > 0 ||
                         err_set(e, ERR_INPUT, "clip '%s' has no picture", f.clip->label));
    ok = ok && asked->run(&f, e);
    if (!ok)
        buf_clear(&c->talk); /* how well a camera is known is nothing beside what went wrong */
    app_close(&app);
    return ok;
}

const struct verb verb_field = {
    .name = "field",
    .usage = "SHOW CLIP pick TIME X,Y SPOT | line TIME X,Y X,Y LINE | picks | unpick N | "
             "camera [TIME] | at TIME X,Y | pixel TIME SPOT | gaps TIME X,Y X,Y ... | "
             "fit TIME line|arc X,Y ... | corner TIME X,Y X,Y X,Y | pace TIME X,Y TIME X,Y | "
             "angle TIME X,Y X,Y X,Y X,Y | who TIME X,Y | check TIME X,Y ... | "
             "dots [SET [COUNT] | TIME]",
    .summary = "Find the field in a clip's pictures and measure on it: places, gaps, lines, who "
               "stands there",
    .detail =
        "X,Y are pixels of the picture as it is shown, from its top left corner, y down. pick says "
        "which SPOT a pixel is ('side 1, 2.5 outside 35; 4 behind front hash'), line that two "
        "pixels lie on a LINE ('50', 'side 2, 35', 'front sideline', 'back hash'). Four spots, "
        "roughly, are enough where the lines are painted: from then on the lines say where the "
        "field is, in every picture, and camera says how well. Without lines the picks alone say "
        "it, and the errors are as large as that is uncertain.\n"
        "\n"
        "Click feet, where they meet the ground. Steps across and in depth are those of the show's "
        "grid; distances are inches and steps of 22.5 in. Every error is half the width of a 95 % "
        "interval.\n"
        "\n"
        "who and check need dots and a clip that is tied to the drill (boxcall count). who tells "
        "how probable each performer is, if it is one of those with a dot; check pairs all clicks "
        "with dots at once and parts what the whole form is off by from what each is off within "
        "it. angle is one on the picture, between two lines of two pixels each, not in space. "
        "--mark FAULT makes marks of what was measured: of the gap "
        "that closes most, of everybody who is off a line, an arc, the form or the dot, or of a "
        "step "
        "size that is not what the dots or --of ask for; by more than the error and --tolerance. "
        "Nothing is marked when nobody is off. camera without a time follows the whole clip; when "
        "it is interrupted, what was followed "
        "is kept.",
    .options = {{"as", "FORMAT", "text (default), csv or json", false},
                CALL_SEMICOLONS,
                {"of", "STEPS", "gaps: what each should be (default: what most are); pace: to 5",
                 false},
                {"counts", "N", "pace: the counts between the two (default: by the clip's ties)",
                 false},
                {"for", "SECTION", "check: only the dots of a section", false},
                {"mark", "FAULT", "gaps, fit, at, pace, check: mark who is off", false},
                {"target", "WHO",
                 "gaps, at, pace: of whom the mark is (default: who is likely there)", false},
                {"tolerance", "STEPS",
                 "with --mark: what is let pass (0.5, common practice, no source)", false},
                {0}},
    .written = (const struct verb_written[]){{"picks", field_picks_columns},
                                             {"camera", field_camera_columns},
                                             {"at", field_place_columns},
                                             {"who", field_who_columns},
                                             {"gaps", field_gaps_columns},
                                             {"fit and check", field_off_columns},
                                             {"pace", field_pace_columns},
                                             {"dots", field_dots_columns},
                                             {0}},
    .least = 3,
    .most = CALL_WORDS,
    .long_work = true,
    .run = run,
};
