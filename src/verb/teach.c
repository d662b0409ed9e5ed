#include "verb/teach.h"

#include <string.h>

#include "app/hear.h"
#include "app/teach.h"
#include "base/near.h"
#include "paper/lessons.h"

/* --- --teach ------------------------------------------------------------------------------------ */

struct teaching {
    struct app *app;
    const struct teach *at;
    size_t n;
};

static bool no_such_name(const struct show *show, const char *name, struct err *e)
{
    struct near near = {.word = name};
    for (size_t i = 0; i < show->n_faults; i++)
        if (!show->faults[i].removed)
            near_offer(&near, show->faults[i].name);
    for (size_t i = 0; i < show->n_sections; i++)
        if (!show->sections[i].removed)
            near_offer(&near, show->sections[i].name);
    return err_set(e, ERR_INPUT, "hear: --teach: no fault or section '%.80s'%s", name,
                   near_said(&near, "").text);
}

static bool read_teach(struct call *c, const struct show *show, const char *text, struct teach *out,
                       struct err *e)
{
    const char *equals = strchr(text, '=');
    if (!equals)
        return err_set(e, ERR_USAGE,
                       "hear: --teach '%.80s' lacks its '='; write FAULT=WORDS or SECTION=WORDS",
                       text);
    const char *name = arena_strndup(&c->memory, text, (size_t)(equals - text));
    out->words = equals + 1;
    out->of = show_fault(show, name);
    out->section = out->of < 0;
    if (out->section)
        out->of = show_section(show, name);
    return out->of >= 0 || no_such_name(show, name, e);
}

static bool teach_all(struct store *s, void *ctx, struct err *e)
{
    const struct teaching *x = ctx;
    (void)s;
    for (size_t i = 0; i < x->n; i++)
        if (!app_teach(x->app, &x->at[i], e))
            return err_in(e, "hear: --teach");
    return true;
}

/* Read before the show is read again, which moves names. */
static const char *told(struct call *c, const struct show *show, const struct teach *t)
{
    return arena_printf(&c->memory, "%s learns '%s'\n",
                        t->section ? show->sections[t->of].name : show->faults[t->of].name,
                        t->words);
}

bool hear_teach(struct call *c, struct app *app, struct err *e)
{
    size_t n;
    const char **given = call_values(c, "teach", &n);
    struct teach *all = arena_alloc(&c->memory, (n + 1) * sizeof *all);
    const char **say = arena_alloc(&c->memory, (n + 1) * sizeof *say);
    for (size_t i = 0; i < n; i++) {
        if (!read_teach(c, &app->show, given[i], &all[i], e))
            return false;
        say[i] = told(c, &app->show, &all[i]);
    }
    struct teaching x = {app, all, n};
    const bool one = n == 1; /* its own step has the better name */
    if (!(one ? teach_all(app->store, &x, e)
              : store_step(app->store, arena_printf(&c->memory, "teach %zu words", n), teach_all,
                           &x, e)) ||
        !app_reload(app, e))
        return false;
    for (size_t i = 0; i < n; i++)
        buf_str(&c->talk, say[i]);
    if (c->n_words < 3 && !call_value(c, "words"))
        buf_str(&c->talk, "hear a commentary again to use what was learnt\n");
    return true;
}

/* --- --words ------------------------------------------------------------------------------------ */

bool hear_words(struct call *c, struct app *app, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    static void (*const writers[])(const struct show *, const struct lessons *, struct buf *) = {
        [AS_TEXT] = lessons_text, [AS_CSV] = lessons_csv, [AS_JSON] = lessons_json};
    enum format as;
    struct corrections from;
    struct lessons l;
    if (!call_format(c, can, sizeof can / sizeof *can, &as, e) ||
        !app_corrections(app, &c->memory, &from, e))
        return false;
    const struct lexicon *known = app_lexicon(app, &c->memory, e);
    if (!known)
        return false;
    teach_lessons(&c->memory, known, &from, &l);
    writers[as](&app->show, &l, &c->out);
    if (as == AS_TEXT && l.n == 0)
        buf_str(&c->talk, "no draft that was put right holds a word to learn\n");
    return true;
}
