#include <stdio.h>
#include <string.h>

#include "app/marks.h"
#include "app/tables.h"
#include "base/near.h"
#include "plan/from_show.h"
#include "score/score.h"
#include "sys/file.h"
#include "verb/add_score.h"
#include "verb/clips.h"
#include "verb/rows.h"

enum { TABLE_LIMIT = 1 << 30 };

/* --- what is said ---------------------------------------------------------------------------- */

static const char *who_speaks(const char *what)
{
    return strcmp(what, "sets") == 0 ? "marks or ties speak" : "marks or drafts speak";
}

static void report(struct call *c, const char *what, const struct table_report *r)
{
    buf_printf(&c->talk, "%s: %d added, %d changed, %d as before", what, r->rows.added,
               r->rows.changed, r->rows.same);
    if (r->rows.removed)
        buf_printf(&c->talk, ", %d removed", r->rows.removed);
    if (r->rows.kept)
        buf_printf(&c->talk, ", %d not in the table any more but kept, since %s of them",
                   r->rows.kept, who_speaks(what));
    buf_char(&c->talk, '\n');
}

static void list_losses(const struct table_report *r, const char *what, struct buf *out)
{
    const struct {
        long n;
        const char *one, *many;
    } losses[] = {{r->dots, "dot", "dots"}, {r->ties, "tie of a clip", "ties of clips"}};
    buf_printf(out, "%d row%s of %s", r->rows.removed, r->rows.removed == 1 ? "" : "s", what);
    if (r->rows.kept)
        buf_printf(out, " (and %d more leave%s the lists, kept since %s of them)", r->rows.kept,
                   r->rows.kept == 1 ? "s" : "", who_speaks(what));
    for (size_t i = 0; i < 2; i++)
        if (losses[i].n > 0)
            buf_printf(out, ", %ld %s", losses[i].n,
                       losses[i].n == 1 ? losses[i].one : losses[i].many);
}

/* --- tables ---------------------------------------------------------------------------------- */

/* A replace says first what it would take away, and keeps a copy of the show before it does. */
static bool may_replace(struct call *c, struct app *app, const char *what,
                        const struct table_text *text, struct err *e)
{
    struct table_report look;
    struct buf losses = {0};
    if (!app_put_table(app, &(struct table_put){what, text, TABLE_LOOK}, &look, e))
        return false;
    if (look.rows.removed + look.rows.kept == 0 && look.dots <= 0 && look.ties <= 0)
        return true;
    list_losses(&look, what, &losses);
    bool ok = call_value(c, "yes") != NULL;
    if (!ok && c->ask) {
        const char *question =
            arena_printf(&c->memory, "%s would be taken away; go on? [y/N] ", buf_text(&losses));
        ok = c->ask(question) ||
             err_set(e, ERR_INPUT, "nothing was changed; without --replace nothing is taken away");
    } else if (!ok) {
        err_set(e, ERR_INPUT,
                "%s: %s would be taken away; say --yes if that is meant, or leave --replace out",
                text->source, buf_text(&losses));
    }
    if (ok) {
        const char *copy = app_copy_before(app, what, &c->memory, e);
        ok = copy != NULL;
        if (ok)
            buf_printf(&c->talk, "taken away: %s; the show as it was is %s\n", buf_text(&losses),
                       copy);
    }
    buf_free(&losses);
    return ok;
}

/* A wrong dot is a caution that nobody believes later; here the table is still at hand. */
static void say_leaps(struct call *c, const struct show *show)
{
    enum { NAMED = 3 };
    const struct plan_leap *leaps;
    const size_t n = plan_show_leaps(show, &c->memory, &leaps);
    for (size_t i = 0; i < n && i < NAMED; i++)
        buf_printf(&c->talk, "look again: %s to set %s is %.0f in a step, and nobody steps %d\n",
                   show->performers[leaps[i].performer].label, show->sets[leaps[i].set].label,
                   leaps[i].step_in, PLAN_STEP_MOST_IN);
    if (n > NAMED)
        buf_printf(&c->talk, "look again: and %zu more\n", n - NAMED);
}

static bool add_table(struct call *c, struct app *app, const char *what,
                      const struct table_text *text, struct err *e)
{
    struct table_report r;
    bool replace = call_value(c, "replace") != NULL;
    if (replace && !may_replace(c, app, what, text, e))
        return false;
    if (!app_put_table(app, &(struct table_put){what, text, replace ? TABLE_REPLACE : TABLE_ADD},
                       &r, e))
        return false;
    report(c, what, &r);
    if (strcmp(what, "dots") == 0 || strcmp(what, "sets") == 0)
        say_leaps(c, &app->show);
    return true;
}

static bool add_sets(struct call *c, struct app *app, const struct table_text *table, struct err *e)
{
    return add_table(c, app, "sets", table, e);
}

/* A table of sets, or music that makes one: the bytes tell, whatever the file is called. */
static bool add_any(struct call *c, struct app *app, const char *what,
                    const struct table_text *text, struct err *e)
{
    const bool sets = strcmp(what, "sets") == 0;
    if (sets && score_kind(text->bytes, text->n) != SCORE_NONE)
        return add_score(c, &(struct score_road){app, text, add_sets}, e);
    for (size_t k = 0; score_options[k]; k++)
        if (call_value(c, score_options[k]))
            return err_set(e, ERR_USAGE,
                           "add %s: --%s is for music (MIDI or MusicXML) that sets are made "
                           "from; %s is none",
                           what, score_options[k], text->source);
    return add_table(c, app, what, text, e);
}

static bool add_marks(struct call *c, struct app *app, const struct table_text *text, struct err *e)
{
    struct marks_report r;
    if (!app_put_marks(app, text, &r, e))
        return false;
    buf_printf(&c->talk, "marks: %zu added", r.added);
    if (r.changed)
        buf_printf(&c->talk, ", %zu changed", r.changed);
    if (r.same)
        buf_printf(&c->talk, ", %zu there already", r.same);
    buf_char(&c->talk, '\n');
    return true;
}

static bool add_text(struct call *c, struct app *app, struct err *e)
{
    struct buf bytes = {0};
    const char *what = c->words[1], *path = c->words[2];
    bool ok = file_read(path, TABLE_LIMIT, &bytes, e);
    struct table_talk talk = {0};
    struct table_text text = {buf_text(&bytes), bytes.n, strcmp(path, "-") ? path : "stdin", &talk};
    ok = ok && (strcmp(what, "marks") == 0 ? add_marks(c, app, &text, e)
                                           : add_any(c, app, what, &text, e));
    call_say_table(c, &talk);
    table_talk_free(&talk);
    buf_free(&bytes);
    return ok;
}

/* --- the verb -------------------------------------------------------------------------------- */

static bool unknown(const char *what, struct err *e)
{
    struct near near = {.word = what};
    for (size_t i = 0; table_names[i]; i++)
        near_offer(&near, table_names[i]);
    near_offer(&near, "clip");
    near_offer(&near, "marks");
    return err_set(e, ERR_USAGE, "add: cannot add '%s'%s", what,
                   near_said(&near, "; it is one of clip, sections, roster, faults, sets, dots, "
                                    "marks")
                       .text);
}

/* Options that say something about another kind of file. */
static bool check_options(const struct call *c, const char *what, bool clip, bool marks,
                          struct err *e)
{
    static const char *const for_clips[] = {"label", "date", "run"}, *const for_tables[] = {
                                                                         "replace", "yes", "keep"};
    for (size_t k = 0; !clip && k < 3; k++)
        if (call_value(c, for_clips[k]))
            return err_set(e, ERR_USAGE, "add %s: --%s is for clips", what, for_clips[k]);
    for (size_t k = 0; (clip || marks) && k < 3; k++)
        if (call_value(c, for_tables[k]))
            return err_set(e, ERR_USAGE, "add %s: --%s is for the staff's tables", what,
                           for_tables[k]);
    for (size_t k = 0; (clip || marks) && score_options[k]; k++)
        if (call_value(c, score_options[k]))
            return err_set(e, ERR_USAGE, "add %s: --%s is for music that sets are made from", what,
                           score_options[k]);
    if (call_value(c, "keep") && call_value(c, "replace"))
        return err_set(e, ERR_USAGE, "add %s: --keep and --replace are opposites; leave one out",
                       what);
    return true;
}

static bool run(struct call *c, struct err *e)
{
    const char *what = c->words[1];
    size_t i = 0;
    while (table_names[i] && strcmp(table_names[i], what) != 0)
        i++;
    bool clip = strcmp(what, "clip") == 0, marks = strcmp(what, "marks") == 0;
    if (!table_names[i] && !clip && !marks)
        return unknown(what, e);
    struct app app;
    if (!check_options(c, what, clip, marks, e) || !app_open(&app, c->words[0], e))
        return false;
    bool ok = clip ? add_clip(c, &app, e) : add_text(c, &app, e);
    app_close(&app);
    return ok;
}

static const struct verb_table tables[] = {
    {"sections", sections_columns},
    {"roster", roster_columns},
    {"faults", faults_columns},
    {"sets", sets_columns},
    {"dots", dots_columns},
    {"marks", marks_columns},
    {NULL, NULL},
};

const struct verb verb_add = {
    .name = "add",
    .usage = "SHOW clip|sections|roster|faults|sets|dots|marks FILE",
    .summary = "Bring a clip, a table (CSV) or annotations into the show",
    .detail =
        "The first line of a table names its columns, in any order; they are listed below. Columns "
        "of one's own are passed over, and named. Cells are apart by commas, semicolons or tabs, "
        "as the first line shows; where they are not apart by commas, 2,5 is a number, in a dot "
        "and "
        "a time too. Wrong cells are named all at once, the first twenty of them, and nothing of "
        "the table is taken.\n"
        "\n"
        "Marks may also come as W3C Web Annotations (JSON-LD), from boxcall calls --as annotations "
        "or another program: a moment (t=65.2, a media fragment) in a target whose source is a "
        "clip "
        "of the show, a body with the purpose tagging for each section or performer, one with the "
        "purposes tagging and classifying for the fault, and a note as commenting.\n"
        "\n"
        "Adding a table again updates it: rows are matched by name, new ones are added, and "
        "nothing "
        "is taken away. With --replace the stored table becomes this one: what would go is said "
        "first, a copy of the show is kept beside it, and rows that marks speak of stay readable. "
        "A key that another row has is refused, with one that is free. A clip added again is "
        "updated. FILE may be - for standard input (tables only).\n"
        "\n"
        "Sets also come from music: a Standard MIDI File, or MusicXML (.musicxml, .xml, .mxl). A "
        "set begins at every marker or rehearsal mark when there are two or more, else every 8 "
        "measures. Repeats, endings and jumps (D.C., D.S., coda) are played out. A count is the "
        "meter's beat, in 6/8, 9/8 and 12/8 the dotted one. A set keeps one tempo, or one that "
        "changes evenly; where the music's does not, it is parted (C, C+8). The sets are shown "
        "and asked about before they are stored; in a script --yes stores them. How long a hold "
        "is, no music says: the show's own stay.",
    .options =
        {{"label", "TEXT", "clip: its label (default: the file's name without ending)", false},
         {"date", "YYYY-MM-DD", "clip: date of the rehearsal (default: the file's date)", false},
         {"run", "N", "clip: which run of that date (default: the next one)", false},
         {"keep", NULL, "tables: keep what the file does not have (as without --replace)", false},
         {"replace", NULL, "tables: take away what the file does not have", false},
         {"yes", NULL, "with --replace, or with music: do not ask", false},
         {"look", NULL, "music: print the table of its sets (CSV), store nothing", false},
         {"markers", NULL, "music: a set at every marker, even if there is but one", false},
         {"every", "N", "music: a set every N measures, whatever is marked", false},
         {"beat", "NOTE", "music: what is counted: eighth, quarter, dotted-quarter or half", false},
         {0}},
    .tables = tables,
    .least = 3,
    .most = 3,
    .long_work = true,
    .run = run,
};
