#include "plan/gather.h"

#include <stdlib.h>
#include <string.h>

struct moments {
    struct report_moment *at;
    size_t n, cap;
};

struct part { /* one fault of one section */
    int section, fault;
    double open;    /* severities of all its marks */
    double *by_set; /* [n_sets] */
    struct moments worked, asked;
};

struct plan_gather {
    const struct show *show;
    struct plan_set *sets;
    struct arena *mem;
    struct part *at;
    size_t n, cap;
    double *marked; /* [n_sections * n_sets]: severities of all marks, clean ones too */
};

struct plan_gather *plan_gather_begin(const struct show *show, struct plan_set *sets,
                                      struct arena *a)
{
    struct plan_gather *g = xcalloc(1, sizeof *g);
    *g = (struct plan_gather){.show = show, .sets = sets, .mem = a};
    g->marked = xcalloc(show->n_sections * show->n_sets + 1, sizeof *g->marked);
    return g;
}

void plan_gather_drop(struct plan_gather *g)
{
    for (size_t i = 0; g && i < g->n; i++) {
        free(g->at[i].by_set);
        free(g->at[i].worked.at);
        free(g->at[i].asked.at);
    }
    if (g) {
        free(g->at);
        free(g->marked);
    }
    free(g);
}

static struct part *part_of(struct plan_gather *g, int section, int fault)
{
    for (size_t i = g->n; i-- > 0;)
        if (g->at[i].section == section && g->at[i].fault == fault)
            return &g->at[i];
    g->at = array_grow(g->at, g->n, &g->cap, sizeof *g->at);
    g->at[g->n] = (struct part){
        .section = section,
        .fault = fault,
        .by_set = xcalloc(g->show->n_sets + 1, sizeof(double)),
    };
    return &g->at[g->n++];
}

/* The mark may be given more than once, for several performers of the section. */
static bool keep_moment(struct moments *list, const struct plan_mark *m)
{
    if (m->again && list->n && list->at[list->n - 1].mark == m->mark)
        return false;
    list->at = array_grow(list->at, list->n, &list->cap, sizeof *list->at);
    list->at[list->n++] = (struct report_moment){
        .fault = m->fault, .at = {m->clip, m->at_us}, .mark = m->mark, .set = m->set};
    return true;
}

void plan_gather_add(struct plan_gather *g, const struct plan_mark *m)
{
    if (m->set >= 0 && !m->again)
        g->marked[(size_t)m->section * g->show->n_sets + (size_t)m->set] += m->severity;
    if (m->state == MARK_CLEAN)
        return;
    plan_show_collision(g->show, m->fault, m->set, g->sets, g->mem);
    struct part *p = part_of(g, m->section, m->fault);
    if (m->asks) {
        keep_moment(&p->asked, m);
    } else if (keep_moment(&p->worked, m)) {
        const double counts = m->severity * (m->state == MARK_REPPED ? PLAN_REPPED_COUNTS : 1);
        p->open += counts;
        if (m->set >= 0)
            p->by_set[m->set] += counts;
    }
}

static struct plan_target target_of(const struct part *p, const struct moments *list,
                                    struct arena *mem)
{
    struct report_moment *m = arena_alloc(mem, (list->n + 1) * sizeof *m);
    if (list->n)
        memcpy(m, list->at, list->n * sizeof *m);
    return (struct plan_target){p->section, p->fault, (int)list->n, m, list->n};
}

static struct plan_item item_of(const struct show *show, const struct part *p,
                                const struct plan_groups *groups, struct arena *mem)
{
    const int group = groups->of_section[p->section];
    size_t n = 0;
    for (size_t s = 0; s < show->n_sets; s++)
        n += p->by_set[s] > 0;
    int *sets = arena_alloc(mem, n * sizeof *sets);
    double *shares = arena_alloc(mem, n * sizeof *shares), weight = 0;
    size_t k = 0;
    for (size_t s = 0; s < show->n_sets; s++)
        if (p->by_set[s] > 0) {
            sets[k] = (int)s;
            shares[k++] = p->by_set[s];
            weight += p->by_set[s];
        }
    return (struct plan_item){
        .name = arena_printf(mem, "%s: %s", show->sections[p->section].name,
                             show->faults[p->fault].name),
        .group = group,
        .nobody = group == PLAN_EVERYONE && !plan_show_attends(show, groups, p->section),
        .weight = weight,
        .sets = sets,
        .set_shares = shares,
        .n_sets = n,
        .needs_all = group == PLAN_EVERYONE || show->faults[p->fault].together,
    };
}

/* Marks of a line whose set is not known, while others of it are planned. */
static void keep_nowhere(const struct plan_gather *g, const struct part *p, struct plan_report *out)
{
    struct moments nowhere = {.at = arena_alloc(g->mem, (p->worked.n + 1) * sizeof *nowhere.at)};
    for (size_t i = 0; i < p->worked.n; i++)
        if (p->worked.at[i].set < 0)
            nowhere.at[nowhere.n++] = p->worked.at[i];
    if (nowhere.n)
        out->unplaced[out->n_unplaced++] = target_of(p, &nowhere, g->mem);
}

static void keep_items(const struct plan_gather *g, const struct plan_groups *groups,
                       struct plan_report *out)
{
    struct plan_item *items = arena_alloc(g->mem, (g->n + 1) * sizeof *items);
    out->targets = arena_alloc(g->mem, (g->n + 1) * sizeof *out->targets);
    out->unplaced = arena_alloc(g->mem, (g->n + 1) * sizeof *out->unplaced);
    out->decide = arena_alloc(g->mem, (g->n + 1) * sizeof *out->decide);
    for (size_t i = 0; i < g->n; i++) {
        const struct part *p = &g->at[i];
        out->open_weight += p->open;
        if (p->asked.n > 0)
            out->decide[out->n_decide++] = target_of(p, &p->asked, g->mem);
        if (p->worked.n == 0)
            continue;
        const struct plan_item item = item_of(g->show, p, groups, g->mem);
        if (item.n_sets == 0) {
            out->unplaced[out->n_unplaced++] = target_of(p, &p->worked, g->mem);
        } else {
            out->targets[out->in.n_items] = target_of(p, &p->worked, g->mem);
            items[out->in.n_items++] = item;
            keep_nowhere(g, p, out);
        }
    }
    out->in.items = items;
}

/* --- sections that may have nothing open ------------------------------------------------------ */

struct marked {
    int set;
    double weight;
};

static int heaviest_first(const void *a, const void *b)
{
    const struct marked *x = a, *y = b;
    return x->weight != y->weight ? (x->weight < y->weight) - (x->weight > y->weight)
                                  : x->set - y->set;
}

static void keep_least_clean(const struct plan_gather *g, int section, struct plan_group *group)
{
    const size_t n = g->show->n_sets;
    struct marked *at = arena_alloc(g->mem, (n + 1) * sizeof *at);
    int *sets = arena_alloc(g->mem, (n + 1) * sizeof *sets);
    for (size_t s = 0; s < n; s++)
        at[s] = (struct marked){(int)s, g->marked[(size_t)section * n + s]};
    qsort(at, n, sizeof *at, heaviest_first);
    for (size_t s = 0; s < n && at[s].weight > 0; s++)
        sets[group->n_least_clean++] = at[s].set;
    group->least_clean = sets;
    group->there |= group->n_least_clean > 0;
    for (size_t i = 0; i < g->n; i++)
        group->there |= g->at[i].section == section;
}

static void keep_groups(const struct plan_gather *g, struct plan_groups *groups)
{
    for (size_t i = 0; i < g->show->n_sections; i++)
        if (groups->of_section[i] >= 0)
            keep_least_clean(g, (int)i, &groups->at[groups->of_section[i]]);
}

bool plan_gather_end(struct plan_gather *g, struct plan_groups *groups, struct plan_report *out,
                     struct err *e)
{
    keep_items(g, groups, out);
    keep_groups(g, groups);
    plan_gather_drop(g);
    if (out->in.n_items > 0)
        return true;
    return err_set(
        e, ERR_INPUT,
        out->n_unplaced > 0
            ? "no open mark knows its set, so there is nothing to plan; tie the clips to "
              "the sets: boxcall count SHOW CLIP tie TIME SET"
        : out->n_decide > 0
            ? "all that is open waits for a decision of the staff, so there is nothing to "
              "rehearse yet; see it with: boxcall define SHOW"
            : "nothing is open in these clips, so there is nothing to plan");
}
