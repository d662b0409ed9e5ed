#include <stdlib.h>
#include <string.h>

#include "base/near.h"
#include "base/utf8.h"
#include "show/keys.h"
#include "show/show.h"
#include "show/table.h"

enum { SECTION, PARENT, KEY, WORDS, SAY };

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

struct parents {
    const struct show *show; /* whose sections may be parents too; NULL */
    const struct section_list *list;
};

static bool read_name(struct table_items *all, const struct table_row *row, void *item,
                      struct err *e)
{
    struct section *s = item;
    const char *name = row->cell[SECTION];
    if (!*name)
        return table_error(row, SECTION, e, "the cell is empty; name the section");
    for (size_t i = 0; i < all->n; i++) {
        const struct section *before = table_item(all, i);
        if (utf8_casecmp(before->name, name) == 0)
            return table_error(row, SECTION, e, "'%s' is there already (line %d); keep one", name,
                               before->line);
    }
    s->name = arena_strdup(all->a, name);
    s->up = -1;
    s->line = row->cell_line[SECTION];
    return true;
}

static bool read_parent(struct table_items *all, const struct table_row *row, void *item,
                        struct err *e)
{
    (void)e;
    ((struct section *)item)->parent = arena_strdup(all->a, row->cell[PARENT]);
    return true;
}

static bool read_key(struct table_items *all, const struct table_row *row, void *item,
                     struct err *e)
{
    return key_cell(all->a, row, KEY, &((struct section *)item)->key, e);
}

static void keep_key(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct section *)item)->key = ((const struct section *)was)->key;
}

static bool read_words(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    (void)e;
    ((struct section *)item)->words = arena_strdup(all->a, row->cell[WORDS]);
    return true;
}

static void keep_words(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct section *)item)->words = ((const struct section *)was)->words;
}

static bool read_say(struct table_items *all, const struct table_row *row, void *item,
                     struct err *e)
{
    (void)e;
    ((struct section *)item)->say = arena_strdup(all->a, row->cell[SAY]);
    return true;
}

static void keep_say(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct section *)item)->say = ((const struct section *)was)->say;
}

const struct table_column sections_columns[] = {
    [SECTION] = {"section", true, "its name", read_name, NULL},
    [PARENT] = {"parent", false, "the section above it", read_parent, NULL},
    [KEY] = {"key", false, "its letters in a chord; chosen when empty", read_key, keep_key},
    [WORDS] = {"words", false, "other words for it, apart by ;", read_words, keep_words},
    [SAY] = {"say", false,
             "how it is said, in the sounds of the recogniser's dictionary (ARPABET), for words it "
             "lacks: M EH L OW, or mello: M EH L OW for one of its words; several apart by ;",
             read_say, keep_say},
    {.name = NULL},
};

/* Second pass, when every section is known; also when cells were wrong, to name all that are. */
static bool on_parent(void *ctx, const struct table_row *row, struct err *e)
{
    const struct parents *p = ctx;
    const struct section_list *l = p->list;
    const int at = position(l, row->cell[SECTION]);
    if (at < 0 || !*l->at[at].parent) /* one that is not there was named as wrong before */
        return true;
    struct section *s = &l->at[at];
    s->up = position(l, s->parent);
    if (s->up < 0 && stays(p->show, s->parent))
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

bool sections_read(struct arena *a, const struct table_text *text, struct section_list *out,
                   struct err *e)
{
    return sections_read_among(a, NULL, text, out, e);
}

bool sections_read_among(struct arena *a, const struct show *show, const struct table_text *text,
                         struct section_list *out, struct err *e)
{
    struct table_items all = {.a = a, .columns = sections_columns, .size = sizeof(struct section)};
    bool ok = table_items(&all, text, e);
    *out = (struct section_list){all.at, all.n, all};
    struct parents parents = {show, out};
    const bool cells_only = text->talk && text->talk->n_wrong > 0 && !text->talk->broken;
    return (ok || cells_only) && table_read(text, sections_columns, on_parent, &parents, e);
}

/* A parent stays where it is there still: among others that stay, or in the table. */
void sections_stay(struct section_list *l, const struct show *show, bool others)
{
    for (size_t i = 0; i < l->n; i++)
        for (size_t k = 0; k < show->n_sections; k++) {
            const struct section *was = &show->sections[k];
            if (!table_same(was->name, &l->at[i].name))
                continue;
            table_keep(&l->read, &l->at[i], was);
            if (table_lacks(&l->read, PARENT) && (others || position(l, was->parent) >= 0))
                l->at[i].parent = was->parent;
        }
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
