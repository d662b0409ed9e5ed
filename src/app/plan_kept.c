#include "app/plan_kept.h"

#include <stdlib.h>
#include <string.h>

static const char *const kinds[] = {[PLAN_KEEP] = "keep",
                                    [PLAN_LEAVE] = "leave",
                                    [PLAN_MOVE] = "move",
                                    [PLAN_TOGETHER] = "together",
                                    [PLAN_APART] = "apart"};
enum { KINDS = sizeof kinds / sizeof *kinds, CELLS = 6 };

const char *plan_wishes_text(const struct plan_wishes *w, const struct plan_report *r,
                             struct arena *mem)
{
    struct buf text = {0};
    for (size_t i = 0; i < w->n; i++) {
        const struct plan_wish *x = &w->at[i];
        const bool sets = x->kind != PLAN_TOGETHER && x->kind != PLAN_APART;
        buf_printf(&text, "%s\t%s\t%s\t%s\t%d\t%d\n", kinds[x->kind],
                   x->group >= 0 ? r->in.groups[x->group].name : "",
                   sets ? r->show->sets[x->first_set].label : "",
                   sets ? r->show->sets[x->last_set].label : "", x->reps, x->to);
    }
    const char *kept = arena_strdup(mem, buf_text(&text));
    buf_free(&text);
    return kept;
}

static int set_named(const struct plan_report *r, const char *label)
{
    for (size_t i = 0; i < r->show->n_sets; i++)
        if (strcmp(r->show->sets[i].label, label) == 0)
            return (int)i;
    return -1;
}

static bool group_named(const struct plan_report *r, const char *name, int *out)
{
    *out = PLAN_EVERYONE;
    for (size_t i = 0; i < r->in.n_groups && *name; i++)
        if (strcmp(r->in.groups[i].name, name) == 0)
            *out = (int)i;
    return !*name || *out >= 0;
}

static bool wish_of(char *const *cells, const struct plan_report *r, struct plan_wish *out)
{
    int kind = 0;
    while (kind < KINDS && strcmp(cells[0], kinds[kind]) != 0)
        kind++;
    *out = (struct plan_wish){
        .kind = (enum plan_wish_kind)kind, .reps = atoi(cells[4]), .to = atoi(cells[5])};
    if (kind == KINDS || !group_named(r, cells[1], &out->group))
        return false;
    if (kind == PLAN_TOGETHER || kind == PLAN_APART)
        return true;
    out->first_set = set_named(r, cells[2]);
    out->last_set = set_named(r, cells[3]);
    return out->first_set >= 0 && out->last_set >= out->first_set;
}

/* Cuts a line at its tabs; false when it has not as many cells as a wish has. */
static bool cells_of(char *line, char **cells)
{
    int n = 0;
    for (char *s = line; s && n < CELLS; n++) {
        char *tab = strchr(s, '\t');
        cells[n] = s;
        if (tab)
            *tab = '\0';
        s = tab ? tab + 1 : NULL;
    }
    return n == CELLS;
}

bool plan_wishes_parse(const char *text, const struct plan_report *r, struct plan_wishes *out)
{
    struct arena scratch = {0};
    bool all = true;
    while (*text) {
        char *cells[CELLS];
        struct plan_wish wish;
        const size_t n = strcspn(text, "\n");
        if (cells_of(arena_strndup(&scratch, text, n), cells) && wish_of(cells, r, &wish)) {
            out->at = array_grow(out->at, out->n, &out->cap, sizeof *out->at);
            out->at[out->n++] = wish;
        } else {
            all = false;
        }
        text += n + (text[n] == '\n');
    }
    arena_free(&scratch);
    return all;
}
