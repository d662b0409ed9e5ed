#include "plan/gather.h"

#include <stdlib.h>
#include <string.h>

struct part { /* one fault of one section */
    int section, fault, marks;
    double open;    /* severities of all its marks */
    double *by_set; /* [n_sets] */
    struct report_moment *moments;
    size_t n_moments, cap;
};

struct plan_gather {
    const struct show *show;
    struct plan_set *sets;
    struct arena *mem;
    struct part *at;
    size_t n, cap;
};

struct plan_gather *plan_gather_begin(const struct show *show, struct plan_set *sets,
                                      struct arena *a)
{
    struct plan_gather *g = xcalloc(1, sizeof *g);
    *g = (struct plan_gather){.show = show, .sets = sets, .mem = a};
    return g;
}

void plan_gather_drop(struct plan_gather *g)
{
    for (size_t i = 0; g && i < g->n; i++) {
        free(g->at[i].by_set);
        free(g->at[i].moments);
    }
    if (g)
        free(g->at);
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

void plan_gather_add(struct plan_gather *g, const struct plan_mark *m)
{
    plan_show_collision(g->show, m->fault, m->set, g->sets, g->mem);
    struct part *p = part_of(g, m->section, m->fault);
    if (m->again && p->n_moments && p->moments[p->n_moments - 1].mark == m->mark)
        return;
    p->marks++;
    p->open += m->severity;
    if (m->set >= 0)
        p->by_set[m->set] += m->severity;
    p->moments = array_grow(p->moments, p->n_moments, &p->cap, sizeof *p->moments);
    p->moments[p->n_moments++] = (struct report_moment){
        .fault = m->fault, .at = {m->clip, m->at_us}, .mark = m->mark, .set = m->set};
}

static struct plan_target target_of(const struct part *p, struct arena *mem)
{
    struct report_moment *m = arena_alloc(mem, (p->n_moments + 1) * sizeof *m);
    memcpy(m, p->moments, p->n_moments * sizeof *m);
    return (struct plan_target){p->section, p->fault, p->marks, m, p->n_moments};
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

static void keep_items(const struct plan_gather *g, const struct plan_groups *groups,
                       struct plan_report *out)
{
    struct plan_item *items = arena_alloc(g->mem, (g->n + 1) * sizeof *items);
    out->targets = arena_alloc(g->mem, (g->n + 1) * sizeof *out->targets);
    out->unplaced = arena_alloc(g->mem, (g->n + 1) * sizeof *out->unplaced);
    for (size_t i = 0; i < g->n; i++) {
        const struct part *p = &g->at[i];
        out->open_weight += p->open;
        const struct plan_item item = item_of(g->show, p, groups, g->mem);
        if (item.n_sets == 0) {
            out->unplaced[out->n_unplaced++] = target_of(p, g->mem);
        } else {
            out->targets[out->in.n_items] = target_of(p, g->mem);
            items[out->in.n_items++] = item;
        }
    }
    out->in.items = items;
}

bool plan_gather_end(struct plan_gather *g, const struct plan_groups *groups,
                     struct plan_report *out, struct err *e)
{
    keep_items(g, groups, out);
    plan_gather_drop(g);
    if (out->in.n_items > 0)
        return true;
    return err_set(
        e, ERR_INPUT,
        out->n_unplaced > 0
            ? "no open mark knows its set, so there is nothing to plan; tie the clips to "
              "the sets: boxcall count SHOW CLIP tie TIME SET"
            : "nothing is open in these clips, so there is nothing to plan");
}
