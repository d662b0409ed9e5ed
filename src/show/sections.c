#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "base/utf8.h"
#include "show/keys.h"
#include "show/show.h"
#include "show/table.h"

enum { SECTION, PARENT, KEY, WORDS };

static const struct table_column columns[] = {
    [SECTION] = {"section", true},
    [PARENT] = {"parent", false},
    [KEY] = {"key", false},
    [WORDS] = {"words", false},
    {NULL, false},
};

struct reading {
    struct arena *a;
    const struct show *show; /* whose sections may be parents too; NULL */
    struct section_list *out;
    size_t cap;
};

/* Is it a section that is in use? */
static bool stays(const struct show *show, const char *name)
{
    int at = show ? show_section(show, name) : -1;
    return at >= 0 && !show->sections[at].removed &&
           utf8_casecmp(show->sections[at].name, name) == 0;
}

static int position(const struct section_list *l, const char *name)
{
    for (size_t i = 0; i < l->n; i++)
        if (utf8_casecmp(l->at[i].name, name) == 0)
            return (int)i;
    return -1;
}

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    const char *name = row->cell[SECTION];
    if (!*name)
        return table_error(row, SECTION, e, "the cell is empty; name the section");
    int before = position(r->out, name);
    if (before >= 0)
        return table_error(row, SECTION, e, "'%s' is there already (line %d); keep one", name,
                           r->out->at[before].line);
    const char *key;
    if (!key_cell(r->a, row, KEY, &key, e))
        return false;
    r->out->absent = table_absent(row);
    r->out->at = array_grow(r->out->at, r->out->n, &r->cap, sizeof *r->out->at);
    r->out->at[r->out->n++] = (struct section){
        .name = arena_strdup(r->a, name),
        .parent = arena_strdup(r->a, row->cell[PARENT]),
        .key = key,
        .words = arena_strdup(r->a, row->cell[WORDS]),
        .up = -1,
        .line = row->cell_line[SECTION],
    };
    return true;
}

/* Second pass, when every section is known. */
static bool on_parent(void *ctx, const struct table_row *row, struct err *e)
{
    struct section_list *l = ((struct reading *)ctx)->out;
    struct section *s = &l->at[position(l, row->cell[SECTION])];
    if (!*s->parent)
        return true;
    s->up = position(l, s->parent);
    if (s->up < 0 && stays(((struct reading *)ctx)->show, s->parent))
        return true;
    for (int k = s->up; k >= 0; k = l->at[k].up)
        if (&l->at[k] == s)
            return table_error(row, PARENT, e,
                               "'%s' is above itself; follow its parents and break the loop",
                               s->name);
    struct near near = {.word = s->parent};
    for (size_t k = 0; k < l->n; k++)
        near_offer(&near, l->at[k].name);
    return s->up >= 0 || table_error(row, PARENT, e, "no section '%s'%s", s->parent,
                                     near_said(&near, "; give it a row of its own").text);
}

bool sections_read(struct arena *a, const char *bytes, size_t n, const char *source,
                   struct section_list *out, struct err *e)
{
    struct table_text text = {bytes, n, source};
    return sections_read_among(a, NULL, &text, out, e);
}

bool sections_read_among(struct arena *a, const struct show *show, const struct table_text *text,
                         struct section_list *out, struct err *e)
{
    struct section_list l = {0};
    struct reading r = {.a = a, .show = show, .out = &l};
    bool ok = table_read(text->bytes, text->n, text->source, columns, on_row, &r, e) &&
              table_read(text->bytes, text->n, text->source, columns, on_parent, &r, e);
    out->at = arena_take(a, l.at, l.n * sizeof *l.at);
    out->n = l.n;
    out->absent = l.absent;
    return ok;
}

static void stay(const struct section_list *l, bool others, struct section *x,
                 const struct section *was)
{
    if (l->absent >> PARENT & 1 && (others || position(l, was->parent) >= 0))
        x->parent = was->parent;
    if (l->absent >> KEY & 1)
        x->key = was->key;
    if (l->absent >> WORDS & 1)
        x->words = was->words;
}

void sections_stay(struct section_list *l, const struct show *show, bool others)
{
    for (size_t i = 0; i < l->n; i++)
        for (size_t k = 0; k < show->n_sections; k++)
            if (table_same(show->sections[k].name, &l->at[i].name))
                stay(l, others, &l->at[i], &show->sections[k]);
}

static bool check_above(const struct section_list *l, size_t i, const char *source, struct err *e)
{
    const struct section *s = &l->at[i], *up = s;
    for (size_t steps = 0; *up->parent && steps <= l->n; steps++) {
        int above = position(l, up->parent);
        if (above < 0)
            return err_set(e, ERR_INPUT, "%s:%d: no section '%s' for '%s'; give it a row", source,
                           s->line, up->parent, up->name);
        up = &l->at[above];
        if (up == s)
            return err_set(e, ERR_INPUT,
                           "%s:%d: '%s' would be above itself; follow its parents and break the "
                           "loop",
                           source, s->line, s->name);
    }
    return true;
}

bool sections_check_tree(const struct section_list *l, const char *source, struct err *e)
{
    for (size_t i = 0; i < l->n; i++)
        if (l->at[i].line && !check_above(l, i, source, e))
            return false;
    return true;
}

static int only_head(const struct section *s, size_t n)
{
    int head = -1;
    for (size_t i = 0; i < n; i++) {
        if (s[i].up >= 0 || s[i].removed)
            continue;
        if (head >= 0)
            return -1;
        head = (int)i;
    }
    for (size_t i = 0; head >= 0 && i < n; i++)
        if (s[i].up == head)
            return head;
    return -1;
}

bool sections_need_root(const struct section_list *l)
{
    return only_head(l->at, l->n) < 0 && position(l, "ensemble") < 0;
}
