#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "sys/clock.h"
#include "sys/file.h"
#include "verb/rows.h"
#include "verb/sheets.h"

/* Options that only some kinds take stand in their row. */
static const struct kind {
    const char *name;
    sheets_fn print;
    const char *takes[3];
} kinds[] = {
    {"fixes", sheets_fixes, {"since", "url", "clip"}},
    {"define", sheets_define, {"since", "clip"}},
    {"plan", sheets_plan, {"date"}},
    {"chart", sheets_chart, {"set"}},
};
enum { KINDS = sizeof kinds / sizeof *kinds };

static bool takes(const struct kind *k, const char *option)
{
    for (size_t i = 0; i < sizeof k->takes / sizeof *k->takes; i++)
        if (k->takes[i] && strcmp(k->takes[i], option) == 0)
            return true;
    return false;
}

static bool read_kind(struct call *c, const struct kind **out, struct err *e)
{
    static const char *const only[] = {"since", "clip", "url", "set", "date"};
    *out = NULL;
    for (size_t i = 0; i < KINDS; i++)
        if (strcmp(c->words[1], kinds[i].name) == 0)
            *out = &kinds[i];
    if (!*out)
        return err_set(e, ERR_USAGE,
                       "sheet: no sheet '%s'; there are fixes, define, plan and chart",
                       c->words[1]);
    for (size_t i = 0; i < sizeof only / sizeof *only; i++)
        if (call_value(c, only[i]) && !takes(*out, only[i]))
            return err_set(e, ERR_USAGE, "sheet: --%s is not for '%s'; see boxcall sheet --help",
                           only[i], (*out)->name);
    return true;
}

/* A file of another kind is not written over: it may be the show. */
static bool may_write(const char *path, struct err *e)
{
    static const char pdf[] = "%PDF-";
    enum { LIMIT = 256 << 20 };
    struct stat st;
    struct buf bytes = {0};
    if (stat(path, &st) != 0 || st.st_size == 0)
        return true;
    const bool ours = file_read(path, LIMIT, &bytes, e) && bytes.n >= sizeof pdf - 1 &&
                      memcmp(bytes.p, pdf, sizeof pdf - 1) == 0;
    buf_free(&bytes);
    return ours || err_set(e, ERR_INPUT,
                           "--out %s: is there already and is no PDF; name another file", path);
}

static bool read_style(struct call *c, struct sheet_style *s, struct err *e)
{
    const char *paper = call_value(c, "paper"), *as = call_value(c, "as"),
               *out = call_value(c, "out");
    *s = (struct sheet_style){.labels_only = call_value(c, "labels-only") != NULL,
                              .made_at = app_local_time(&c->memory, clock_wall_ms())};
    if (paper && !sheet_paper_named(paper, &s->paper))
        return err_set(e, ERR_USAGE, "sheet: no paper '%s'; --paper takes letter or a4", paper);
    if (as && strcmp(as, format_name(AS_PDF)) != 0)
        return err_set(e, ERR_USAGE, "sheet: cannot write '%s'; --as takes pdf", as);
    if (!out && c->tty)
        return err_set(e, ERR_USAGE,
                       "sheet: a PDF does not go to a terminal; name a file: --out FILE");
    return !out || may_write(out, e);
}

/* "fixes.pdf: 10 pages: flutes, clarinets (2 pages) ..."; of what goes to standard output only what is
 * amiss. */
static void say(struct call *c, const char *file, const struct sheet_made *made)
{
    if (file)
        buf_printf(&c->talk, "%s: %d page%s: %s\n", file, made->pages, made->pages == 1 ? "" : "s",
                   buf_text(&made->what));
    if (made->strange)
        buf_printf(&c->talk,
                   "look again: no font is installed here for %d letter%s, which stand%s as boxes; "
                   "install one for the script (Debian: fonts-noto-core, fonts-noto-cjk)\n",
                   made->strange, made->strange == 1 ? "" : "s", made->strange == 1 ? "s" : "");
}

static bool run(struct call *c, struct err *e)
{
    const char *file = call_value(c, "out");
    const struct kind *kind;
    struct sheet_style style;
    struct sheet_made made = {0};
    struct app app;
    if (!read_kind(c, &kind, e) || !read_style(c, &style, e) || !app_open(&app, c->words[0], e))
        return false;
    c->raw = true;
    bool ok = kind->print(c, &app, &style, &made, e);
    app_close(&app);
    if (ok && file)
        ok = file_write(file, made.pdf.p, made.pdf.n, e);
    else if (ok)
        buf_add(&c->out, made.pdf.p, made.pdf.n);
    if (ok)
        say(c, file, &made);
    sheet_made_free(&made);
    return ok;
}

const struct verb verb_sheet = {
    .name = "sheet",
    .usage = "SHOW fixes|define|plan|chart",
    .summary = "Print sheets of paper to carry: a PDF",
    .detail =
        "fixes: the list of a section or a performer, each on a page of its own where it fits: a "
        "box to tick, who, where, what was said and what right looks like. Without --for every "
        "section that has marks; a group of sections only when its marks stand on no other "
        "sheet. A list that does not fit on a page is printed without its times and older notes, "
        "and says so, where that saves a page.\n"
        "\n"
        "define: what the staff must decide, with room to write it, and what was decided.\n"
        "\n"
        "plan: the rep plan of a day as it is stored, for a clipboard: a box to tick for every "
        "rep; "
        "with --for what a section does, minute by minute.\n"
        "\n"
        "chart: where sets put everybody, a page a set, seen from the box; the people of --for are "
        "drawn full, with their labels. Without --set those sets that open marks of --for speak "
        "of, "
        "else all. The whole field is drawn, or, where labels need more room, the part of it "
        "where people stand; a label that has no room even so is named below.\n"
        "\n"
        "The pages of each section, performer or part are numbered on their own. To standard "
        "output goes the PDF alone.\n"
        "\n"
        "With --url a code beside each line leads a phone to its first moment on the pages that "
        "boxcall publish makes. Moments of sections that have no page there stand as times "
        "alone.\n"
        "\n"
        "Sheets hold names of people, minors too: --labels-only leaves them out, and tells of "
        "notes that have one in them. A file is written over only when it is a PDF.",
    .options = {{"for", "WHO", "a section or a performer; may be given several times", true},
                {"out", "FILE", "the file to write (default: standard output, no terminal)", false},
                {"paper", "SIZE", "letter (default) or a4", false},
                {"clip", "CLIP", "fixes, define: only this clip; may be given several times", true},
                {"since", "YYYY-MM-DD", "fixes, define: only clips from this date on", false},
                {"date", "YYYY-MM-DD", "plan: of this day (default: today)", false},
                {"set", "LABEL", "chart: this set; may be given several times", true},
                {"url", "BASE", "fixes: where the folder of boxcall publish is found on the web",
                 false},
                {"labels-only", NULL, "leave the names of people out", false},
                {"as", "FORMAT", "pdf (default)", false},
                {0}},
    .least = 2,
    .most = 2,
    .run = run,
};
