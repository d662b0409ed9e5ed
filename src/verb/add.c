#include <string.h>

#include "base/near.h"
#include "sys/file.h"
#include "verb/clips.h"
#include "verb/tables.h"
#include "verb/verbs.h"

enum { TABLE_LIMIT = 1 << 30 };

/* What can be added as a table, with the words of the report. */
static const struct {
    const char *name;
    put_fn *put;
} tables[] = {
    {"sections", put_sections}, {"roster", put_roster}, {"faults", put_faults},
    {"sets", put_sets},         {"dots", put_dots},
};
enum { TABLES = sizeof tables / sizeof *tables };

static void report(struct call *c, const char *what, const struct put_report *r)
{
    buf_printf(&c->talk, "%s: %d added, %d changed, %d as before", what, r->added, r->changed,
               r->same);
    if (r->removed)
        buf_printf(&c->talk, ", %d removed", r->removed);
    if (r->kept)
        buf_printf(&c->talk, ", %d not in the table any more but kept, since marks speak of them",
                   r->kept);
    buf_char(&c->talk, '\n');
}

static bool add_table(struct call *c, struct app *app, size_t i, struct err *e)
{
    struct buf bytes = {0};
    struct put_report r;
    const char *path = c->words[2];
    bool ok = file_read(path, TABLE_LIMIT, &bytes, e) &&
              tables[i].put(app, buf_text(&bytes), bytes.n, strcmp(path, "-") ? path : "stdin",
                            call_value(c, "keep") != NULL, &r, e);
    struct err clash;
    if (ok) {
        report(c, tables[i].name, &r);
        if (i != 1 && !show_check_keys(&app->show, &clash))
            buf_printf(&c->talk, "note: %s (boxcall check refuses this)\n", clash.text);
    }
    buf_free(&bytes);
    return ok;
}

static bool add_marks(struct call *c, struct app *app, struct err *e)
{
    struct buf bytes = {0};
    size_t added = 0, updated = 0;
    const char *path = c->words[2];
    bool ok = file_read(path, TABLE_LIMIT, &bytes, e) &&
              put_marks(app, buf_text(&bytes), bytes.n, strcmp(path, "-") ? path : "stdin", &added,
                        &updated, e);
    if (ok)
        buf_printf(&c->talk,
                   updated ? "marks: %zu added, %zu there already\n" : "marks: %zu added\n", added,
                   updated);
    buf_free(&bytes);
    return ok;
}

static bool unknown(const char *what, struct err *e)
{
    struct near near = {.word = what};
    for (size_t i = 0; i < TABLES; i++)
        near_offer(&near, tables[i].name);
    near_offer(&near, "clip");
    near_offer(&near, "marks");
    if (near.best)
        return err_set(e, ERR_USAGE, "add: cannot add '%s'; did you mean '%s'?", what, near.best);
    return err_set(e, ERR_USAGE,
                   "add: cannot add '%s'; it is one of clip, sections, roster, "
                   "faults, sets, dots, marks",
                   what);
}

static bool run(struct call *c, struct err *e)
{
    const char *what = c->words[1];
    size_t i = 0;
    while (i < TABLES && strcmp(tables[i].name, what) != 0)
        i++;
    bool clip = strcmp(what, "clip") == 0, marks = strcmp(what, "marks") == 0;
    if (i == TABLES && !clip && !marks)
        return unknown(what, e);
    static const char *const for_clips[] = {"label", "date", "run"};
    for (size_t k = 0; !clip && k < 3; k++)
        if (call_value(c, for_clips[k]))
            return err_set(e, ERR_USAGE, "add %s: --%s is for clips", what, for_clips[k]);
    struct app app;
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = clip    ? add_clip(c, &app, e)
              : marks ? add_marks(c, &app, e)
                      : add_table(c, &app, i, e);
    app_close(&app);
    return ok;
}

const struct verb verb_add = {
    .name = "add",
    .usage = "SHOW clip|sections|roster|faults|sets|dots|marks FILE",
    .summary = "Bring a clip or a table (CSV) into the show",
    .detail =
        "Tables, first line the column names, in any order:\n"
        "  sections: section,parent,key,words\n"
        "  roster:   performer,name,section\n"
        "  faults:   fault,family,key,cause,right,words\n"
        "  sets:     set,counts,tempo,tempo_end,hold,measures,name\n"
        "  dots:     performer,set,across,depth (side 1, 2.5 outside 35 / 4 in front of front "
        "hash)\n"
        "            or performer,set,x,y in steps from the 50 and the front sideline\n"
        "  marks:    clip,time,target,fault,note,severity,cause,praise,author\n"
        "\n"
        "Adding a table again updates it: rows are matched by name, and what the table does not "
        "have any more is removed, or kept when marks speak of it. A clip added again is updated "
        "too. FILE may be - for standard input (tables only).",
    .options = {{"label", "TEXT", "clip: its label (default: the file's name without ending)",
                 false},
                {"date", "YYYY-MM-DD", "clip: date of the rehearsal (default: the file's date)",
                 false},
                {"run", "N", "clip: which run of that date (default: the next one)", false},
                {"keep", NULL, "tables: keep rows that the file does not have", false},
                {0}},
    .least = 3,
    .most = 3,
    .run = run,
};
