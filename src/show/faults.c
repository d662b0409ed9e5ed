#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/utf8.h"
#include "show/keys.h"
#include "show/show.h"
#include "show/table.h"

enum { FAULT, FAMILY, KEY, CAUSE, RIGHT, WORDS, TOGETHER, SAY };

static bool read_name(struct table_items *all, const struct table_row *row, void *item,
                      struct err *e)
{
    struct fault *f = item;
    const char *name = row->cell[FAULT];
    if (!*name)
        return table_error(row, FAULT, e, "the cell is empty; name the fault");
    for (size_t i = 0; i < all->n; i++) {
        const struct fault *before = table_item(all, i);
        if (utf8_casecmp(before->name, name) == 0)
            return table_error(row, FAULT, e, "'%s' is there already (line %d); keep one", name,
                               before->line);
    }
    f->name = arena_strdup(all->a, name);
    f->line = row->cell_line[FAULT];
    return true;
}

static bool read_family(struct table_items *all, const struct table_row *row, void *item,
                        struct err *e)
{
    (void)e;
    ((struct fault *)item)->family = arena_strdup(all->a, row->cell[FAMILY]);
    return true;
}

static void keep_family(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->family = ((const struct fault *)was)->family;
}

static bool read_key(struct table_items *all, const struct table_row *row, void *item,
                     struct err *e)
{
    return key_cell(all->a, row, KEY, &((struct fault *)item)->key, e);
}

static void keep_key(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->key = ((const struct fault *)was)->key;
}

static bool read_cause(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    const char *cause = row->cell[CAUSE];
    bool define = strcasecmp(cause, "define") == 0;
    (void)all;
    if (*cause && !define && strcasecmp(cause, "execute") != 0)
        return table_error(row, CAUSE, e, "'%s' is not a cause; write define or execute", cause);
    ((struct fault *)item)->cause = define ? CAUSE_DEFINE : CAUSE_EXECUTE;
    return true;
}

static void keep_cause(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->cause = ((const struct fault *)was)->cause;
}

static bool read_right(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    (void)e;
    ((struct fault *)item)->right = arena_strdup(all->a, row->cell[RIGHT]);
    return true;
}

static void keep_right(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->right = ((const struct fault *)was)->right;
}

static bool read_words(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    (void)e;
    ((struct fault *)item)->words = arena_strdup(all->a, row->cell[WORDS]);
    return true;
}

static void keep_words(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->words = ((const struct fault *)was)->words;
}

static bool read_together(struct table_items *all, const struct table_row *row, void *item,
                          struct err *e)
{
    (void)all;
    return table_truth(row, TOGETHER, &((struct fault *)item)->together, e);
}

static void keep_together(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->together = ((const struct fault *)was)->together;
}

static bool read_say(struct table_items *all, const struct table_row *row, void *item,
                     struct err *e)
{
    (void)e;
    ((struct fault *)item)->say = arena_strdup(all->a, row->cell[SAY]);
    return true;
}

static void keep_say(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct fault *)item)->say = ((const struct fault *)was)->say;
}

const struct table_column faults_columns[] = {
    [FAULT] = {"fault", true, "its name", read_name, NULL},
    [FAMILY] = {"family", false, "what it belongs with", read_family, keep_family},
    [KEY] = {"key", false, "its letters in a chord; chosen when empty", read_key, keep_key},
    [CAUSE] = {"cause", false, "execute (the usual), or define when staff must decide first",
               read_cause, keep_cause},
    [RIGHT] = {"right", false, "what right looks like", read_right, keep_right},
    [WORDS] = {"words", false, "other words for it, apart by ;", read_words, keep_words},
    [TOGETHER] = {"together", false,
                  "yes: it only mends with the other sections there, so not in sectionals",
                  read_together, keep_together},
    [SAY] = {"say", false,
             "how it is said, in the sounds of the recogniser's dictionary (ARPABET), for words it "
             "lacks: M EH L OW, or mello: M EH L OW for one of its words; several apart by ;",
             read_say, keep_say},
    {.name = NULL},
};

bool faults_read(struct arena *a, const struct table_text *text, struct fault_list *out,
                 struct err *e)
{
    struct table_items all = {.a = a, .columns = faults_columns, .size = sizeof(struct fault)};
    bool ok = table_items(&all, text, e);
    *out = (struct fault_list){all.at, all.n, all};
    return ok;
}

/* A fault that is new to the show goes with those of its family, where the table does not say. */
static void join_family(const struct table_items *all, struct fault *f, const struct show *show)
{
    for (size_t k = 0; k < show->n_faults && table_lacks(all, TOGETHER); k++)
        if (*f->family && utf8_casecmp(show->faults[k].family, f->family) == 0)
            f->together |= show->faults[k].together;
}

void faults_stay(struct fault_list *l, const struct show *show)
{
    for (size_t i = 0; i < l->n; i++) {
        join_family(&l->read, &l->at[i], show);
        for (size_t k = 0; k < show->n_faults; k++)
            if (table_same(show->faults[k].name, &l->at[i].name))
                table_keep(&l->read, &l->at[i], &show->faults[k]);
    }
}
