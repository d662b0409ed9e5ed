#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/utf8.h"
#include "show/keys.h"
#include "show/show.h"
#include "show/table.h"

enum { FAULT, FAMILY, KEY, CAUSE, RIGHT, WORDS };

static const struct table_column columns[] = {
    [FAULT] = {"fault", true},
    [FAMILY] = {"family", false},
    [KEY] = {"key", false},
    [CAUSE] = {"cause", false},
    [RIGHT] = {"right", false},
    [WORDS] = {"words", false},
    {NULL, false},
};

struct reading {
    struct arena *a;
    struct fault *at;
    size_t n, cap;
    unsigned absent;
};

static bool on_row(void *ctx, const struct table_row *row, struct err *e)
{
    struct reading *r = ctx;
    const char *name = row->cell[FAULT], *cause = row->cell[CAUSE], *key;
    if (!*name)
        return table_error(row, FAULT, e, "the cell is empty; name the fault");
    for (size_t i = 0; i < r->n; i++)
        if (utf8_casecmp(r->at[i].name, name) == 0)
            return table_error(row, FAULT, e, "'%s' is there already (line %d); keep one", name,
                               r->at[i].line);
    bool define = strcasecmp(cause, "define") == 0;
    if (*cause && !define && strcasecmp(cause, "execute") != 0)
        return table_error(row, CAUSE, e, "'%s' is not a cause; write define or execute", cause);
    if (!key_cell(r->a, row, KEY, &key, e))
        return false;
    r->absent = table_absent(row);
    r->at = array_grow(r->at, r->n, &r->cap, sizeof *r->at);
    r->at[r->n++] = (struct fault){
        .name = arena_strdup(r->a, name),
        .family = arena_strdup(r->a, row->cell[FAMILY]),
        .key = key,
        .cause = define ? CAUSE_DEFINE : CAUSE_EXECUTE,
        .right = arena_strdup(r->a, row->cell[RIGHT]),
        .words = arena_strdup(r->a, row->cell[WORDS]),
        .line = row->cell_line[FAULT],
    };
    return true;
}

bool faults_read(struct arena *a, const char *bytes, size_t n, const char *source,
                 struct fault_list *out, struct err *e)
{
    struct reading r = {.a = a};
    bool ok = table_read(bytes, n, source, columns, on_row, &r, e);
    out->at = arena_take(a, r.at, r.n * sizeof *r.at);
    out->n = r.n;
    out->absent = r.absent;
    return ok;
}

static void stay(unsigned absent, struct fault *x, const struct fault *was)
{
    if (absent >> FAMILY & 1)
        x->family = was->family;
    if (absent >> KEY & 1)
        x->key = was->key;
    if (absent >> CAUSE & 1)
        x->cause = was->cause;
    if (absent >> RIGHT & 1)
        x->right = was->right;
    if (absent >> WORDS & 1)
        x->words = was->words;
}

void faults_stay(struct fault_list *l, const struct show *show)
{
    for (size_t i = 0; i < l->n; i++)
        for (size_t k = 0; k < show->n_faults; k++)
            if (table_same(show->faults[k].name, &l->at[i].name))
                stay(l->absent, &l->at[i], &show->faults[k]);
}
