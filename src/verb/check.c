#include "app/app.h"
#include "app/voice.h"
#include "show/path.h"
#include "store/draft.h"
#include "verb/rows.h"

/* Two performers of one section with the same number: a chord could only reach the first. */
static void note_numbers(const struct show *show, struct buf *talk)
{
    for (size_t i = 0; i < show->n_performers; i++)
        for (size_t k = i + 1; k < show->n_performers; k++) {
            const struct performer *p = &show->performers[i], *q = &show->performers[k];
            if (!p->removed && !q->removed && p->number >= 0 && p->section == q->section &&
                p->number == q->number)
                buf_printf(
                    talk, "note: %s and %s of %s have the same number %d; a chord finds %s\n",
                    p->label, q->label, show->sections[p->section].name, p->number, p->label);
        }
}

static void note_paths(const struct show *show, struct buf *talk)
{
    struct buf note = {0};
    for (size_t i = 0; i < show->n_sets; i++) {
        buf_clear(&note);
        if (path_note(show, &show->sets[i], &note))
            buf_printf(talk, "note: %s\n", buf_text(&note));
    }
    buf_free(&note);
}

static void note_files(struct app *app, struct buf *talk)
{
    for (size_t i = 0; i < app->clips.n; i++) {
        struct err why;
        if (!app_clip_path(app, &app->clips.at[i], &why))
            buf_printf(talk, "note: %s\n", why.text);
    }
}

struct drafts_note {
    const struct app *app;
    struct buf *talk;
};

static void note_waiting(void *ctx, int64_t clip, int64_t waiting)
{
    const struct drafts_note *n = ctx;
    for (size_t i = 0; i < n->app->clips.n; i++)
        if (n->app->clips.at[i].id == clip)
            buf_printf(n->talk, "note: %lld draft%s for the clip '%s' wait%s to be looked at\n",
                       (long long)waiting, waiting == 1 ? "" : "s", n->app->clips.at[i].label,
                       waiting == 1 ? "s" : "");
}

/* A copy of a show with clashing keys is a copy all the same. */
static bool copy(struct call *c, struct app *app, struct err *e)
{
    const char *to = call_value(c, "copy");
    if (!to)
        return true;
    if (!store_copy(app->store, to, e))
        return false;
    buf_printf(&c->talk, "%s: a whole copy, the newest marks too\n", to);
    return true;
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = store_check(app.store, e) && copy(c, &app, e);
    struct drafts_note drafts = {&app, &c->talk};
    if (ok && !show_check_keys(&app.show, e))
        ok = err_in(e, "%s", c->words[0]);
    if (ok) {
        if (store_read_only(app.store))
            buf_str(&c->talk, "note: the file may only be read here\n");
        note_numbers(&app.show, &c->talk);
        note_paths(&app.show, &c->talk);
        note_files(&app, &c->talk);
        app_voice_unheard(&app.show, &c->talk);
        ok = store_each_clip_drafts(app.store, note_waiting, &drafts, e);
    }
    if (ok) {
        buf_printf(&c->out,
                   "%s: sound; %zu sections, %zu performers, %zu faults, %zu sets, %zu "
                   "dots, %zu clips; the keys are complete when typed\n",
                   c->words[0], app.show.n_sections, app.show.n_performers, app.show.n_faults,
                   app.show.n_sets, app.show.n_dots, app.clips.n);
    }
    app_close(&app);
    return ok;
}

const struct verb verb_check = {
    .name = "check",
    .usage = "SHOW",
    .summary = "Check a show file: the database, the keys, the clips; copy it safely",
    .detail = "Refuses a set of section or fault keys in which one key is the beginning of "
              "another, since a chord could then not tell when it is complete.\n"
              "\n"
              "Names and words of the show that cannot be heard when they are spoken are noted: "
              "the recogniser's dictionary lacks them, and the column say of sections or faults "
              "does not tell how they sound.\n"
              "\n"
              "--copy is the safe way to copy a show at any time, with a review open or after a "
              "crash: the newest marks may stand beside the file, in SHOW-wal, and a file manager "
              "would leave them behind.",
    .options = {{"copy", "FILE", "a whole copy under this name", false}, {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
