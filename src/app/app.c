#include "app/app.h"

#include <ctype.h>
#include <pwd.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/shell.h"
#include "clip/find.h"
#include "sys/file.h"

const char *app_author(void)
{
    const char *name = getenv("BOXCALL_AUTHOR");
    if (name && *name)
        return name;
    const struct passwd *p = getpwuid(getuid());
    return p ? p->pw_name : "";
}

struct fresh {
    struct arena memory;
    struct show show;
    struct clip_list clips;
    const char *title;
    int64_t version;
};

static bool read_fresh(struct store *s, void *ctx, struct err *e)
{
    struct fresh *f = ctx;
    f->version = store_version(s);
    if (!store_show(s, &f->memory, &f->show, e) || !store_clips(s, &f->memory, &f->clips, e))
        return false;
    f->title = store_setting(s, &f->memory, "title");
    return true;
}

bool app_reload(struct app *a, struct err *e)
{
    struct fresh f = {0};
    if (!store_reading(a->store, read_fresh, &f, e)) {
        arena_free(&f.memory);
        return false;
    }
    arena_free(&a->memory);
    a->memory = f.memory;
    a->show = f.show;
    a->clips = f.clips;
    a->title = f.title ? f.title : "";
    a->version = f.version;
    return true;
}

bool app_open(struct app *a, const char *path, struct err *e)
{
    *a = (struct app){0};
    if (!store_open(path, &a->store, e))
        return false;
    store_author(a->store, app_author());
    if (app_reload(a, e))
        return true;
    app_close(a);
    return false;
}

void app_close(struct app *a)
{
    store_close(a->store);
    arena_free(&a->memory);
    *a = (struct app){0};
}

bool app_move_to(struct app *a, const char *path, struct err *e)
{
    struct store *fresh;
    if (!store_copy(a->store, path, e))
        return false;
    struct err ignored;
    if (store_holds(a->store, &ignored))
        return true;
    if (!store_open(path, &fresh, e))
        return false;
    store_author(fresh, app_author());
    store_close(a->store);
    a->store = fresh;
    return app_reload(a, e);
}

/* --- clips ----------------------------------------------------------------------------------- */

const char *app_clip_path(struct app *a, const struct clip *c, struct err *e)
{
    const char *show = store_path(a->store), *slash = strrchr(show, '/');
    const struct clip_file file = {c->path, c->size_bytes, c->head_tail};
    const char *found =
        clip_find(&file, arena_strndup(&a->memory, show, (size_t)(slash - show)), &a->memory);
    if (!found)
        err_set(e, ERR_INPUT,
                "%s: the clip '%s' is not there any more, nor beside the show file; put it back or "
                "say where it is: boxcall add %s clip FILE --label %s",
                c->path, c->label, shell_word(show).text, shell_word(c->label).text);
    return found;
}

const char *app_clip_here(const struct app *a, struct arena *mem, const struct clip *c)
{
    const char *show = store_path(a->store), *slash = strrchr(show, '/');
    if (*c->link != '/') {
        const char *beside = arena_printf(mem, "%.*s/%s", (int)(slash - show), show, c->link);
        if (file_exists(beside))
            return beside;
    }
    return file_exists(c->path) ? c->path : NULL;
}

bool date_check(const char *text, const char *what, struct err *e)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool shape = strlen(text) == 10 && text[4] == '-' && text[7] == '-';
    for (int i = 0; shape && i < 10; i++)
        shape = i == 4 || i == 7 || isdigit((unsigned char)text[i]);
    int year = shape ? atoi(text) : 0, month = shape ? atoi(text + 5) : 0,
        day = shape ? atoi(text + 8) : 0;
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
    if (!shape || month < 1 || month > 12 || day < 1 ||
        day > days[month - 1] + (month == 2 && leap))
        return err_set(e, ERR_INPUT, "%s '%s' is not a date; write it as 2026-09-14", what, text);
    return true;
}

struct seen_choice app_all_seen(const struct app *a, struct arena *mem)
{
    int *all = arena_alloc(mem, (a->show.n_sections + 1) * sizeof *all);
    for (size_t i = 0; i < a->show.n_sections; i++)
        all[i] = (int)i;
    return (struct seen_choice){.sections = all, .n_sections = a->show.n_sections, .performer = -1};
}
