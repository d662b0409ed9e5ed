#include <libgen.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "app/share.h"
#include "app/tables.h"
#include "sys/clock.h"
#include "sys/file.h"

#include "verb/rows.h"

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
    struct table_text text = {buf_text(bytes), bytes->n, source, NULL};
    return app_put_table(app, &(struct table_put){table, &text, TABLE_FIRST}, &r, e);
}

/* The whole show under a name of its own first. */
static bool make(struct call *c, const char *temp, struct app *app, struct err *e)
{
    struct store *store;
    const char *title = call_value(c, "title"), *field = call_value(c, "field");
    struct buf sections = {0}, faults = {0};
    bool ok = share_read("sections.csv", &sections, e) && share_read("faults.csv", &faults, e) &&
              store_create(temp, title ? title : title_of(&c->memory, c->words[0]),
                           field ? field : "high-school", &store, e);
    if (ok) {
        store_close(store);
        ok = app_open(app, temp, e) && fill(app, "sections", &sections, e) &&
             fill(app, "faults", &faults, e);
    }
    buf_free(&sections);
    buf_free(&faults);
    return ok;
}

static void remove_all(struct call *c, const char *temp)
{
    static const char *const endings[] = {"", "-wal", "-shm", "-journal"};
    for (size_t i = 0; i < sizeof endings / sizeof *endings; i++)
        unlink(arena_printf(&c->memory, "%s%s", temp, endings[i]));
}

/* It gets its name when it is whole: of two programs that make one name at once, one does, and the
 * other removes nothing but its own. */
static bool run(struct call *c, struct err *e)
{
    const char *path = c->words[0];
    struct app app = {0};
    uint32_t any;
    if (file_exists(path))
        return err_set(e, ERR_INPUT, "%s: is there already; choose another name", path);
    char *absolute = file_absolute(path, e); /* says it of this name, not of the temporary one */
    if (!absolute)
        return false;
    free(absolute);
    random_bytes(&any, sizeof any);
    const char *temp = arena_printf(&c->memory, "%s.%08x", path, any);
    bool ok = make(c, temp, &app, e);
    const size_t sections = app.show.n_sections, faults = app.show.n_faults;
    app_close(&app);
    ok = ok && file_settle(temp, path, e);
    if (ok)
        buf_printf(&c->talk, "%s: made, with %zu sections and %zu faults to begin with\n", path,
                   sections, faults);
    else
        remove_all(c, temp);
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
                {"field", "NAME",
                 "the ground: high-school (default), college, professional or 'floor 90x60 ft'",
                 false},
                {0}},
    .least = 1,
    .most = 1,
    .run = run,
};
