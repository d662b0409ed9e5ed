#include "app/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan_parts.h"

/* --- groups ---------------------------------------------------------------------------------- */

static bool is_leaf(const struct show *show, size_t section)
{
    for (size_t i = 0; i < show->n_sections; i++)
        if (show->sections[i].up == (int)section)
            return false;
    return true;
}

struct groups {
    struct plan_group *at;
    size_t n;
    int *of_section; /* group of a section, PLAN_EVERYONE for those that are not leaves */
};

static bool plan_groups(struct app *a, const struct plan_choice *choice, struct arena *mem,
                        struct groups *out, struct err *e)
{
    const struct show *show = &a->show;
    int *with = arena_alloc(mem, (choice->n_with + 1) * sizeof *with);
    for (size_t i = 0; i < choice->n_with; i++)
        if (!section_named(show, choice->with[i], &with[i], e))
            return false;
    out->at = arena_alloc(mem, (show->n_sections + 1) * sizeof *out->at);
    out->of_section = arena_alloc(mem, (show->n_sections + 1) * sizeof(int));
    for (size_t i = 0; i < show->n_sections; i++) {
        out->of_section[i] = PLAN_EVERYONE;
        if (!is_leaf(show, i) || (int)i == show->root)
            continue;
        bool attends = choice->n_with == 0;
        for (size_t k = 0; k < choice->n_with; k++)
            attends |= section_within(show, (int)i, with[k]);
        out->of_section[i] = (int)out->n;
        out->at[out->n++] = (struct plan_group){.name = arena_strdup(mem, show->sections[i].name),
                                                .attends = attends,
                                                .apart = !choice->together};
    }
    return true;
}

/* --- items ----------------------------------------------------------------------------------- */

struct part { /* one fault of one section */
    int section, fault, marks;
    double weight, *by_set; /* [n_sets] */
    struct report_moment *moments;
    size_t n_moments, cap;
};

struct gathering {
    struct app *app;
    const struct fix_report *report;
    struct plan_set *sets;
    struct arena *mem;
    struct part *at;
    size_t n, cap;
};

static struct part *part_of(struct gathering *g, int section, int fault)
{
    for (size_t i = g->n; i-- > 0;)
        if (g->at[i].section == section && g->at[i].fault == fault)
            return &g->at[i];
    g->at = array_grow(g->at, g->n, &g->cap, sizeof *g->at);
    g->at[g->n] = (struct part){
        .section = section,
        .fault = fault,
        .by_set = xcalloc(g->app->show.n_sets + 1, sizeof(double)),
    };
    return &g->at[g->n++];
}

static bool on_seen(void *ctx, const struct seen_row *row)
{
    struct gathering *g = ctx;
    size_t clip = 0;
    while (clip < g->report->n_clips && g->report->clips[clip].id != row->clip)
        clip++;
    if (row->praise || row->state == MARK_CLEAN || clip == g->report->n_clips)
        return true;
    part_collision(&g->app->show, row->fault, row->set, g->sets, g->mem);
    struct part *p = part_of(g, row->section, row->fault);
    if (row->again && p->n_moments && p->moments[p->n_moments - 1].mark == row->mark)
        return true; /* another performer of the same mark */
    p->marks++;
    p->weight += row->severity;
    if (row->set >= 0)
        p->by_set[row->set] += row->severity;
    p->moments = array_grow(p->moments, p->n_moments, &p->cap, sizeof *p->moments);
    p->moments[p->n_moments++] = (struct report_moment){
        .fault = row->fault, .at = {clip, row->at_us}, .mark = row->mark, .set = row->set};
    return true;
}

static struct plan_target target_of(const struct part *p, struct arena *mem)
{
    struct report_moment *m = arena_alloc(mem, (p->n_moments + 1) * sizeof *m);
    memcpy(m, p->moments, p->n_moments * sizeof *m);
    return (struct plan_target){p->section, p->fault, p->marks, m, p->n_moments};
}

static struct plan_item item_of(struct app *a, const struct part *p, int group, struct arena *mem)
{
    size_t n = 0;
    for (size_t s = 0; s < a->show.n_sets; s++)
        n += p->by_set[s] > 0;
    int *sets = arena_alloc(mem, n * sizeof *sets);
    double *shares = arena_alloc(mem, n * sizeof *shares), weight = 0;
    size_t k = 0;
    for (size_t s = 0; s < a->show.n_sets; s++)
        if (p->by_set[s] > 0) {
            sets[k] = (int)s;
            shares[k++] = p->by_set[s];
            weight += p->by_set[s];
        }
    return (struct plan_item){
        .name = arena_printf(mem, "%s: %s", a->show.sections[p->section].name,
                             a->show.faults[p->fault].name),
        .group = group,
        .weight = weight,
        .sets = sets,
        .set_shares = shares,
        .n_sets = n,
        .needs_all = group == PLAN_EVERYONE || a->show.faults[p->fault].together,
    };
}

static bool plan_items(struct app *a, const struct groups *groups, const struct fix_report *clips,
                       struct plan_set *sets, struct arena *mem, struct plan_report *out,
                       struct err *e)
{
    struct gathering g = {.app = a, .report = clips, .sets = sets, .mem = mem};
    int *all = arena_alloc(mem, (a->show.n_sections + 1) * sizeof *all);
    for (size_t i = 0; i < a->show.n_sections; i++)
        all[i] = (int)i;
    struct seen_choice choice = {
        .sections = all, .n_sections = a->show.n_sections, .performer = -1};
    bool ok = store_each_seen(a->store, &choice, on_seen, &g, e);
    struct plan_item *items = arena_alloc(mem, (g.n + 1) * sizeof *items);
    out->targets = arena_alloc(mem, (g.n + 1) * sizeof *out->targets);
    out->unplaced = arena_alloc(mem, (g.n + 1) * sizeof *out->unplaced);
    for (size_t i = 0; i < g.n; i++) {
        struct plan_item item = item_of(a, &g.at[i], groups->of_section[g.at[i].section], mem);
        if (item.n_sets == 0) {
            out->unplaced[out->n_unplaced++] = target_of(&g.at[i], mem);
        } else {
            out->targets[out->in.n_items] = target_of(&g.at[i], mem);
            items[out->in.n_items++] = item;
        }
        free(g.at[i].by_set);
        free(g.at[i].moments);
    }
    free(g.at);
    out->in.items = items;
    if (ok && out->in.n_items == 0 && out->n_unplaced > 0)
        return err_set(e, ERR_INPUT,
                       "no open mark knows its set, so there is nothing to plan; tie the clips to "
                       "the sets: boxcall count SHOW CLIP tie TIME SET");
    if (ok && out->in.n_items == 0)
        return err_set(e, ERR_INPUT, "nothing is open in these clips, so there is nothing to plan");
    return ok;
}

/* A plan stays on a screen while the show is loaded again, so its names and clips are its own. The
 * copy has what a plan speaks of: sections, faults and sets, at the same positions. */
static const struct show *own_show(const struct show *show, struct arena *mem)
{
    struct show *out = arena_alloc(mem, sizeof *out);
    *out = (struct show){.n_sections = show->n_sections,
                         .n_faults = show->n_faults,
                         .n_sets = show->n_sets,
                         .grid = show->grid,
                         .root = show->root};
    out->sections = arena_alloc(mem, (show->n_sections + 1) * sizeof *out->sections);
    for (size_t i = 0; i < show->n_sections; i++)
        out->sections[i] = (struct section){.id = show->sections[i].id,
                                            .name = arena_strdup(mem, show->sections[i].name),
                                            .parent = "",
                                            .key = "",
                                            .words = "",
                                            .up = show->sections[i].up};
    out->faults = arena_alloc(mem, (show->n_faults + 1) * sizeof *out->faults);
    for (size_t i = 0; i < show->n_faults; i++)
        out->faults[i] = (struct fault){.id = show->faults[i].id,
                                        .name = arena_strdup(mem, show->faults[i].name),
                                        .family = "",
                                        .key = "",
                                        .right = "",
                                        .words = ""};
    out->sets = arena_alloc(mem, (show->n_sets + 1) * sizeof *out->sets);
    for (size_t i = 0; i < show->n_sets; i++)
        out->sets[i] = (struct set){.id = show->sets[i].id,
                                    .label = arena_strdup(mem, show->sets[i].label),
                                    .counts = show->sets[i].counts,
                                    .name = ""};
    return out;
}

bool app_plan_names_hold(const struct plan_report *r, const struct show *show)
{
    const struct show *own = r->show;
    if (own->n_sections != show->n_sections || own->n_faults != show->n_faults ||
        own->n_sets != show->n_sets)
        return false;
    for (size_t i = 0; i < own->n_sections; i++)
        if (strcmp(own->sections[i].name, show->sections[i].name) != 0 ||
            own->sections[i].up != show->sections[i].up)
            return false;
    for (size_t i = 0; i < own->n_faults; i++)
        if (strcmp(own->faults[i].name, show->faults[i].name) != 0)
            return false;
    for (size_t i = 0; i < own->n_sets; i++)
        if (strcmp(own->sets[i].label, show->sets[i].label) != 0)
            return false;
    return true;
}

static const struct report_clip *own_clips(const struct fix_report *fixes, struct arena *mem)
{
    struct report_clip *out = arena_alloc(mem, (fixes->n_clips + 1) * sizeof *out);
    for (size_t i = 0; i < fixes->n_clips; i++) {
        out[i] = fixes->clips[i];
        out[i].label = arena_strdup(mem, out[i].label);
        out[i].link = arena_strdup(mem, out[i].link);
        out[i].path = arena_strdup(mem, out[i].path);
        out[i].date = arena_strdup(mem, out[i].date);
    }
    return out;
}

bool app_plan(struct app *a, const struct plan_choice *choice, struct arena *mem,
              struct plan_report *out, struct err *e)
{
    struct fix_choice clips = {
        .clips = choice->clips, .n_clips = choice->n_clips, .since = choice->since};
    struct fix_report fixes;
    struct groups groups = {0};
    *out = (struct plan_report){.show = own_show(&a->show, mem),
                                .date = arena_strdup(mem, choice->date)};
    if (!app_fixes(a, &clips, mem, &fixes, e) || !plan_groups(a, choice, mem, &groups, e))
        return false;
    out->clips = own_clips(&fixes, mem);
    out->n_clips = fixes.n_clips;
    out->title = arena_strdup(mem, a->title);
    out->in.rules = choice->rules;
    struct plan_set *sets = part_sets(a, mem);
    out->in.sets = sets;
    out->in.n_sets = a->show.n_sets;
    out->in.groups = groups.at;
    out->in.n_groups = groups.n;
    out->in.fixed = choice->fixed;
    out->in.n_fixed = choice->n_fixed;
    if (!part_seconds(a, choice, sets, mem, e) ||
        !plan_items(a, &groups, &fixes, sets, mem, out, e) || !part_heat(choice, mem, out, e))
        return false;
    if (out->heat.closed && !choice->indoors) {
        part_closed(choice, mem, out);
        return true;
    }
    struct plan_input in = out->in; /* the wishes are the caller's and end before the report */
    in.wishes = choice->wishes;
    in.n_wishes = choice->n_wishes;
    return plan_make(&in, mem, &out->plan, e);
}
