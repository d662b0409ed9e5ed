#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "app/share.h"
#include "app/tables.h"
#include "sys/file.h"

#include "verb/verbs.h"

/* "shows/larkspur.show" -> "larkspur" */
static const char *title_of(struct arena *a, const char *path)
{
    char *copy = arena_strdup(a, path);
    char *name = basename(copy), *dot = strrchr(name, '.');
    if (dot && dot != name)
        *dot = '\0';
    return name;
}

static bool fill(struct app *app, const char *table, const struct buf *bytes, struct err *e)
{
    char source[40];
    struct table_report r;
    snprintf(source, sizeof source, "%s.csv", table);
    struct table_text text = {buf_text(bytes), bytes->n, source};
    return app_put_table(app, table, &text, TABLE_FIRST, &r, e);
}

static bool run(struct call *c, struct err *e)
{
    struct store *store;
    const char *path = c->words[0], *title = call_value(c, "title"),
               *field = call_value(c, "field");
    struct buf sections = {0}, faults = {0};
    struct app app = {0};
    bool ok = share_read("sections.csv", &sections, e) && share_read("faults.csv", &faults, e);
    ok = ok && store_create(path, title ? title : title_of(&c->memory, path),
                            field ? field : "high-school", &store, e);
    if (ok) {
        store_close(store);
        ok = app_open(&app, path, e) && fill(&app, "sections", &sections, e) &&
             fill(&app, "faults", &faults, e);
        if (!ok)
            unlink(path);
    }
    if (ok)
        buf_printf(&c->talk, "%s: made, with %zu sections and %zu faults to begin with\n", path,
                   app.show.n_sections, app.show.n_faults);
    app_close(&app);
    buf_free(&sections);
    buf_free(&faults);
    return ok;
}

const struct verb verb_new = {
    .name = "new",
    .usage = "SHOW",
    .summary = "Make a show file, one per season",
    .detail = "The new file holds a common section tree and a list of faults with their keys. "
              "Add your own to them (boxcall add SHOW sections FILE.csv), or put a whole table of "
              "yours in their place (--replace).",
    .options = {{"title", "TEXT", "name of the show (default: the file's name)", false},
                {"field", "NAME", "hash marks: high-school (default) or college", false},
                {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
