#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "show/show.h"
#include "show/table.h"

enum { PERFORMER, NAME, SECTION };

/* T3 -> 3, G-12 -> 12: the last run of digits. */
static int number_in(const char *label)
{
    int number = -1;
    for (const char *s = label; *s;) {
        if (!isdigit((unsigned char)*s)) {
            s++;
            continue;
        }
        char *end;
        long n = strtol(s, &end, 10);
        number = n >= 0 && n <= 9999 ? (int)n : -1;
        s = end;
    }
    return number;
}

static bool read_label(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    struct performer *p = item;
    const char *label = p->label = arena_strdup(all->a, row->cell[PERFORMER]);
    if (!*label)
        return table_error(row, PERFORMER, e, "the cell is empty; give the performer a label (T3)");
    if (strchr(label, ';'))
        return table_error(row, PERFORMER, e, "'%s': a label cannot contain ';'", label);
    for (size_t i = 0; i < all->n; i++) {
        const struct performer *before = table_item(all, i);
        if (label_alike(before->label, label))
            return table_error(row, PERFORMER, e,
                               "'%s' is there already (line %d); every performer needs a label of "
                               "their own",
                               label, before->line);
    }
    p->number = number_in(label);
    p->line = row->cell_line[PERFORMER];
    return true;
}

static bool read_name(struct table_items *all, const struct table_row *row, void *item,
                      struct err *e)
{
    (void)e;
    ((struct performer *)item)->name = arena_strdup(all->a, row->cell[NAME]);
    return true;
}

static void keep_name(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct performer *)item)->name = ((const struct performer *)was)->name;
}

static bool read_section(struct table_items *all, const struct table_row *row, void *item,
                         struct err *e)
{
    struct performer *p = item;
    struct err why;
    if (!*row->cell[SECTION])
        return table_error(row, SECTION, e, "the cell is empty; name the section of '%s'",
                           p->label);
    return section_named(all->show, row->cell[SECTION], &p->section, &why) ||
           table_error(row, SECTION, e, "%s", why.text);
}

const struct table_column roster_columns[] = {
    [PERFORMER] = {"performer", true, "a label of their own, as on the drill: T3", read_label,
                   NULL},
    [NAME] = {"name", false, "who it is", read_name, keep_name},
    [SECTION] = {"section", true, "a section, by its name or other words", read_section, NULL},
    {.name = NULL},
};

bool roster_read(struct arena *a, const struct show *show, const struct table_text *text,
                 struct performer_list *out, struct err *e)
{
    struct table_items all = {
        .a = a, .show = show, .columns = roster_columns, .size = sizeof(struct performer)};
    bool ok = table_items(&all, text, e);
    *out = (struct performer_list){show, all.at, all.n, all};
    return ok;
}

static void stay(struct performer_list *l, struct performer *p, const struct performer *was,
                 struct table_talk *talk)
{
    if (!table_same(was->label, &p->label)) {
        if (talk)
            buf_printf(&talk->notes, "'%s' is taken for the '%s' that is there\n", p->label,
                       was->label);
        p->label = was->label;
    }
    table_keep(&l->read, p, was);
}

void roster_stay(struct performer_list *l, const struct show *show, struct table_talk *talk)
{
    for (size_t i = 0; i < l->n; i++) {
        const int there = show_performer(show, l->at[i].label);
        if (there >= 0)
            stay(l, &l->at[i], &show->performers[there], talk);
    }
}
