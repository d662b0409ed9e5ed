#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "show/path.h"
#include "show/show.h"
#include "show/table.h"

/* Counts of a cell that cannot be read: a path is not measured against them. */
enum { COUNTS_WRONG = -1 };

enum { SET, COUNTS, TEMPO, TEMPO_END, HOLD, MEASURES, NAME, PATH };

/* A label is one word: what is typed and what a plan keeps are labels with blanks between. */
static void close_up(const struct table_row *row, char *label)
{
    static const char no_break[] = "\u00a0";
    char *to = label;
    for (const char *s = label; *s;) {
        const size_t blank = *s == ' ' || *s == '\t' ? 1 : strncmp(s, no_break, 2) == 0 ? 2 : 0;
        if (!blank)
            *to++ = *s;
        s += blank ? blank : 1;
    }
    *to = '\0';
    if (strcmp(label, row->cell[SET]) != 0 && row->talk &&
        !(row->talk->notes.n && strstr(row->talk->notes.p, "a set's label is one word")))
        buf_printf(&row->talk->notes, "a set's label is one word: '%s' is called %s, and so on\n",
                   row->cell[SET], label);
}

static bool read_label(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    struct set *s = item;
    char *label = arena_strdup(all->a, row->cell[SET]);
    close_up(row, label);
    s->label = label;
    if (!*label)
        return table_error(row, SET, e, "the cell is empty; label the set (12, 12A)");
    for (size_t i = 0; i < all->n; i++) {
        const struct set *before = table_item(all, i);
        if (utf8_casecmp(before->label, label) == 0)
            return table_error(row, SET, e, "set '%s' is there already (line %d); keep one", label,
                               before->line);
    }
    s->line = row->cell_line[SET];
    return true;
}

static bool read_counts(struct table_items *all, const struct table_row *row, void *item,
                        struct err *e)
{
    struct set *s = item;
    double x;
    (void)all;
    s->counts = COUNTS_WRONG;
    if (!*row->cell[COUNTS])
        return table_error(row, COUNTS, e, "the cell is empty; how many counts lead to set '%s'?",
                           s->label);
    if (!table_number(row, COUNTS, (struct table_range){0, 999, 0}, &x, e))
        return false;
    if (x != floor(x))
        return table_error(row, COUNTS, e, "%s is not a whole number", row->cell[COUNTS]);
    s->counts = (int)x;
    return true;
}

static bool read_tempo(struct table_items *all, const struct table_row *row, void *item,
                       struct err *e)
{
    struct set *s = item;
    double x;
    (void)all;
    if (!table_number(row, TEMPO, (struct table_range){20, 400, 0}, &x, e))
        return false;
    s->tempo = x;
    return true;
}

static void keep_tempo(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct set *)item)->tempo = ((const struct set *)was)->tempo;
}

/* A set of one tempo ends with it. */
static bool read_tempo_end(struct table_items *all, const struct table_row *row, void *item,
                           struct err *e)
{
    struct set *s = item;
    (void)all;
    if (!table_number(row, TEMPO_END, (struct table_range){20, 400, s->tempo}, &s->tempo_end, e))
        return false;
    return s->tempo_end <= 0 || *row->cell[TEMPO] ||
           table_error(row, TEMPO, e, "the cell is empty, but tempo_end is given; give both");
}

/* What stays of the tempo was taken over before this. */
static void keep_tempo_end(const struct table_items *all, void *item, const void *was)
{
    struct set *s = item;
    const struct set *before = was;
    (void)all;
    s->tempo_end = before->tempo_end == before->tempo ? s->tempo : before->tempo_end;
}

static bool read_hold(struct table_items *all, const struct table_row *row, void *item,
                      struct err *e)
{
    struct set *s = item;
    double x;
    (void)all;
    if (!table_number(row, HOLD, (struct table_range){0, 600, 0}, &x, e))
        return false;
    s->hold = x;
    return true;
}

static void keep_hold(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct set *)item)->hold = ((const struct set *)was)->hold;
}

static bool read_measures(struct table_items *all, const struct table_row *row, void *item,
                          struct err *e)
{
    struct set *s = item;
    double x;
    (void)all;
    if (!table_number(row, MEASURES, (struct table_range){0, 999, 0}, &x, e))
        return false;
    s->measures = (int)x;
    return true;
}

static void keep_measures(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct set *)item)->measures = ((const struct set *)was)->measures;
}

static bool read_name(struct table_items *all, const struct table_row *row, void *item,
                      struct err *e)
{
    (void)e;
    ((struct set *)item)->name = arena_strdup(all->a, row->cell[NAME]);
    return true;
}

static void keep_name(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct set *)item)->name = ((const struct set *)was)->name;
}

static bool read_path(struct table_items *all, const struct table_row *row, void *item,
                      struct err *e)
{
    struct set *s = item;
    struct path path;
    struct err why;
    s->path = arena_strdup(all->a, row->cell[PATH]);
    return path_read(all->a, s->path, s->counts, &path, &why) ||
           table_error(row, PATH, e, "%s", why.text);
}

static void keep_path(const struct table_items *all, void *item, const void *was)
{
    (void)all;
    ((struct set *)item)->path = ((const struct set *)was)->path;
}

const struct table_column sets_columns[] = {
    [SET] = {"set", true, "its label: 12, 12A; in the order they are performed", read_label, NULL},
    [COUNTS] = {"counts", true, "counts of the move that ends on it", read_counts, NULL},
    [TEMPO] = {"tempo", false, "beats a minute at its count 1", read_tempo, keep_tempo},
    [TEMPO_END] = {"tempo_end", false, "at its end, where the tempo changes", read_tempo_end,
                   keep_tempo_end},
    [HOLD] = {"hold", false, "seconds behind the last count", read_hold, keep_hold},
    [MEASURES] = {"measures", false, "how many", read_measures, keep_measures},
    [NAME] = {"name", false, "what it is called besides", read_name, keep_name},
    [PATH] = {"path", false,
              "how people get there, ';' between: hold 8 (stand first), halt 4 (there 4 counts "
              "before the end), follow T1-T8 or follow T1 T3 T2 (the leader first); else straight",
              read_path, keep_path},
    {.name = NULL},
};

bool sets_read(struct arena *a, const struct table_text *text, struct set_list *out, struct err *e)
{
    struct table_items all = {.a = a, .columns = sets_columns, .size = sizeof(struct set)};
    bool ok = table_items(&all, text, e);
    *out = (struct set_list){all.at, all.n, all};
    return ok;
}

void sets_stay(struct set_list *l, const struct show *show)
{
    for (size_t i = 0; i < l->n; i++) {
        const int there = show_set(show, l->at[i].label);
        if (there < 0)
            continue;
        if (!table_same(show->sets[there].label, &l->at[i].label))
            l->at[i].label = show->sets[there].label; /* with its blanks, from an older show file */
        table_keep(&l->read, &l->at[i], &show->sets[there]);
    }
}
