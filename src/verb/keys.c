#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/keymap.h"
#include "paper/json.h"
#include "paper/table.h"
#include "screen/screens.h"
#include "verb/rows.h"

struct row {
    const char *keys, *what, *kind, *where;
};

struct rows {
    struct row *at;
    size_t n, cap;
};

static void add(struct rows *r, const char *keys, const char *what, const char *kind,
                const char *where)
{
    if (!*keys)
        return;
    r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
    r->at[r->n++] = (struct row){keys, what, kind, where};
}

static void add_show(struct rows *r, const struct show *show)
{
    for (size_t i = 0; i < show->n_sections; i++)
        if (!show->sections[i].removed)
            add(r, show->sections[i].key, show->sections[i].name, "section", "review");
    for (size_t i = 0; i < show->n_faults; i++)
        if (!show->faults[i].removed)
            add(r, show->faults[i].key, show->faults[i].name, "fault", "review");
}

static void write_text(const struct rows *r, struct buf *out)
{
    const char *kind = "";
    for (size_t i = 0; i < r->n; i++) {
        const struct row *x = &r->at[i];
        if (strcmp(kind, x->kind) != 0)
            buf_printf(out, "%s%s keys\n", *kind ? "\n" : "", x->kind);
        kind = x->kind;
        buf_printf(out, "  %-12s %s", x->keys, x->what);
        buf_printf(out, strcmp(x->kind, "tool") == 0 ? "  (%s)\n" : "\n", x->where);
    }
}

static void keys(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->keys);
}

static void what(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->what);
}

static void kind(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->kind);
}

static void where(const void *row, struct buf *out)
{
    buf_str(out, ((const struct row *)row)->where);
}

static const struct column columns[] = {
    {.name = "keys", .where = IN_BOTH, .cell = keys, .help = "as typed"},
    {.name = "what", .where = IN_BOTH, .cell = what, .help = "a name, or what the key does"},
    {.name = "kind", .where = IN_BOTH, .cell = kind, .help = "section, fault or tool"},
    {.name = "where", .where = IN_BOTH, .cell = where, .help = "on which screen"},
    {.name = NULL},
};

static void write_json(const struct rows *r, struct buf *out)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->n; i++)
        json_array_append_new(list, table_json(columns, &r->at[i]));
    json_put(list, out);
}

static void write_csv(const struct rows *r, struct buf *out)
{
    table_csv_head(columns, out);
    for (size_t i = 0; i < r->n; i++)
        table_csv_row(columns, &r->at[i], out);
}

static bool run(struct call *c, struct err *e)
{
    static const enum format can[] = {AS_TEXT, AS_CSV, AS_JSON};
    enum format as;
    struct app app = {0};
    struct keymap k = {0};
    struct rows r = {0};
    if (!call_format(c, can, 3, &as, e))
        return false;
    bool ok =
        (c->n_words == 0 || app_open(&app, c->words[0], e)) && keymap_own(&k, &review_tools, e);
    if (ok) {
        add_show(&r, &app.show);
        for (size_t i = 0; i < k.n; i++)
            if (*k.at[i].command)
                add(&r, k.at[i].key, keymap_help(&k, &k.at[i]), "tool", k.at[i].table);
        (as == AS_TEXT ? write_text : as == AS_CSV ? write_csv : write_json)(&r, &c->out);
    }
    free(r.at);
    keymap_free(&k);
    app_close(&app);
    return ok;
}

const struct verb verb_keys = {
    .name = "keys",
    .usage = "[SHOW]",
    .summary = "List every key: sections, faults, tools",
    .detail =
        "With SHOW also the keys of its sections and faults. Tool keys can be changed in a "
        "file keys.ini in the configuration folder (~/.config/boxcall): sections [anywhere] "
        "[review] [lists] [lead] [tap-measure] [plan], lines KEY = COMMAND. A line that begins "
        "with # or ; is a "
        "comment, but '# = note' gives that key itself a meaning, and '[ = note' the bracket.",
    .options = {{"as", "FORMAT", "text (default), csv or json", false}, CALL_SEMICOLONS, {0}},
    .written = (const struct verb_written[]){{"", columns}, {0}},
    .most = 1,
    .run = run,
};
