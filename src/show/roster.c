#include <ctype.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "show/show.h"
#include "show/table.h"

enum { PERFORMER, NAME, SECTION };

static const struct table_column columns[] = {
    [PERFORMER] = {"performer", true},
    [NAME] = {"name", false},
    [SECTION] = {"section", true},
    {NULL, false},
};

struct reading {
    struct arena *a;
    const struct show *show;
    struct performer *at;
    size_t n, cap;
    unsigned absent;
};

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

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    const char *label = row->cell[PERFORMER];
    if (!*label)
        return table_error(row, PERFORMER, e, "the cell is empty; give the performer a label (T3)");
    if (strchr(label, ';'))
        return table_error(row, PERFORMER, e, "'%s': a label cannot contain ';'", label);
    for (size_t i = 0; i < r->n; i++)
        if (utf8_casecmp(r->at[i].label, label) == 0)
            return table_error(row, PERFORMER, e,
                               "'%s' is there already (line %d); every performer needs a label of "
                               "their own",
                               label, r->at[i].line);
    if (!*row->cell[SECTION])
        return table_error(row, SECTION, e, "the cell is empty; name the section of '%s'", label);
    int section;
    struct err why;
    if (!section_named(r->show, row->cell[SECTION], &section, &why))
        return table_error(row, SECTION, e, "%s", why.text);
    r->absent = table_absent(row);
    r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
    r->at[r->n++] = (struct performer){
        .label = arena_strdup(r->a, label),
        .name = arena_strdup(r->a, row->cell[NAME]),
        .section = section,
        .number = number_in(label),
        .line = row->cell_line[PERFORMER],
    };
    return true;
}

bool roster_read(struct arena *a, const struct show *show, const char *bytes, size_t n,
                 const char *source, struct performer_list *out, struct err *e)
{
    struct reading r = {.a = a, .show = show};
    bool ok = table_read(bytes, n, source, columns, on_row, &r, e);
    out->at = arena_take(a, r.at, r.n * sizeof *r.at);
    out->n = r.n;
    out->absent = r.absent;
    return ok;
}

void roster_stay(struct performer_list *l, const struct show *show)
{
    for (size_t i = 0; i < l->n; i++)
        for (size_t k = 0; k < show->n_performers; k++)
            if (table_same(show->performers[k].label, &l->at[i].label) && l->absent >> NAME & 1)
                l->at[i].name = show->performers[k].name;
}
