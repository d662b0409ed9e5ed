/* A plan as it is stored, as a report: for paper, also when something of it was changed by hand or is
 * ticked off, or the marks are others by now. */
#include <string.h>

#include "app/plan_ask.h"
#include "app/ties.h"

struct reading {
    struct app *app;
    const struct rep_plan *rows;
    struct plan_report *out;
    struct arena *mem;
    struct plan_item *items; /* at the targets' positions */
    struct report_moment **moments;
    size_t *cap;
};

/* --- what it is for ------------------------------------------------------------------------------- */

static int target_at(const struct plan_report *r, const struct rep_fix *fix)
{
    for (size_t i = 0; i < r->in.n_items; i++)
        if (r->targets[i].section == fix->section && r->targets[i].fault == fix->fault)
            return (int)i;
    return -1;
}

static void add_targets(struct reading *g, const struct plan_groups *groups)
{
    struct plan_report *out = g->out;
    size_t most = 1;
    for (size_t i = 0; i < g->rows->n_blocks; i++)
        most += g->rows->blocks[i].n_fixes;
    out->targets = arena_alloc(g->mem, most * sizeof *out->targets);
    out->plan.outcomes = arena_alloc(g->mem, most * sizeof *out->plan.outcomes);
    g->items = arena_alloc(g->mem, most * sizeof *g->items);
    g->moments = arena_alloc(g->mem, most * sizeof *g->moments);
    g->cap = arena_alloc(g->mem, most * sizeof *g->cap);
    out->in.items = g->items;
    for (size_t i = 0; i < g->rows->n_blocks; i++) {
        const struct rep_block *b = &g->rows->blocks[i];
        for (size_t k = 0; k < b->n_fixes; k++) {
            const struct rep_fix *f = &b->fixes[k];
            if (target_at(out, f) >= 0)
                continue;
            const size_t at = out->in.n_items++;
            out->targets[at] = (struct plan_target){.section = f->section, .fault = f->fault};
            g->items[at].group = groups->of_section[f->section];
            g->items[at].name = arena_printf(g->mem, "%s: %s", out->show->sections[f->section].name,
                                             out->show->faults[f->fault].name);
        }
    }
    out->plan.n_items = out->in.n_items;
}

static bool on_seen(void *ctx, const struct seen_row *row)
{
    struct reading *g = ctx;
    const struct plan_report *r = g->out;
    size_t clip = 0;
    while (clip < r->n_clips && r->clips[clip].id != row->clip)
        clip++;
    const int at = target_at(r, &(struct rep_fix){row->section, row->fault, 0});
    if (row->praise || row->set < 0 || clip == r->n_clips || at < 0)
        return true;
    struct plan_target *t = &g->out->targets[at];
    if (row->again && t->n_moments && g->moments[at][t->n_moments - 1].mark == row->mark)
        return true; /* of another performer of the section */
    g->moments[at] = array_grow(g->moments[at], t->n_moments, &g->cap[at], sizeof **g->moments);
    g->moments[at][t->n_moments++] = (struct report_moment){
        .fault = row->fault, .at = {clip, row->at_us}, .mark = row->mark, .set = row->set};
    t->marks++;
    return true;
}

static bool add_moments(struct reading *g, struct err *e)
{
    struct app *a = g->app;
    const struct seen_choice choice = app_all_seen(a, g->mem);
    const bool ok = store_each_seen(a->store, &choice, on_seen, g, e);
    for (size_t i = 0; i < g->out->in.n_items; i++) {
        struct plan_target *t = &g->out->targets[i];
        t->moments = arena_take(g->mem, g->moments[i], t->n_moments * sizeof *t->moments);
    }
    return ok;
}

/* --- its blocks ----------------------------------------------------------------------------------- */

static int group_named(const struct plan_report *r, const char *name)
{
    for (size_t i = 0; i < r->in.n_groups; i++)
        if (strcmp(r->in.groups[i].name, name) == 0)
            return (int)i;
    return PLAN_EVERYONE;
}

/* Its first and last set; false when the show has one of them no more. */
static bool find_sets(const struct app *a, const struct rep_block *b, struct arena *mem,
                      struct plan_work *w)
{
    char *text = arena_strdup(mem, b->sets), *last = strrchr(text, ' ');
    w->last_set = show_set(&a->show, last ? last + 1 : text);
    text[strcspn(text, " ")] = '\0';
    w->first_set = show_set(&a->show, text);
    return w->first_set >= 0 && w->last_set >= w->first_set;
}

static struct plan_work work_of(const struct rep_block *b)
{
    struct plan_work w = {
        .start_s = b->begins_s,
        .seconds = b->works_s,
        .counts = b->counts,
        .bpm_low = b->bpm_low,
        .bpm_high = b->bpm_high,
        .reps = b->reps,
        .rep_s = b->rep_s,
        .setup_s = b->setup_s,
        .walk_s = b->walk_s,
        .kept = b->kept,
        .gain = b->gain,
    };
    return w;
}

/* What was marked most there when the plan was made first, so that the order outlives new marks. */
static const int *fixes_of(struct reading *g, const struct rep_block *b)
{
    int *fixes = arena_alloc(g->mem, (b->n_fixes + 1) * sizeof *fixes);
    int *marks = arena_alloc(g->mem, (b->n_fixes + 1) * sizeof *marks);
    for (size_t n = 0; n < b->n_fixes; n++) {
        size_t k = n;
        for (; k > 0 && marks[k - 1] < b->fixes[n].marks; k--) {
            fixes[k] = fixes[k - 1];
            marks[k] = marks[k - 1];
        }
        fixes[k] = target_at(g->out, &b->fixes[n]);
        marks[k] = b->fixes[n].marks;
    }
    return fixes;
}

static void add_fixes(struct reading *g, struct plan_block *b, const struct plan_work *w)
{
    int *fixes = arena_alloc(g->mem, (b->n_fixes + w->n_fixes + 1) * sizeof *fixes);
    if (b->n_fixes)
        memcpy(fixes, b->fixes, b->n_fixes * sizeof *fixes);
    for (size_t i = 0; i < w->n_fixes; i++) {
        bool there = false;
        for (size_t k = 0; k < b->n_fixes; k++)
            there |= fixes[k] == w->fixes[i];
        if (!there)
            fixes[b->n_fixes++] = w->fixes[i];
    }
    b->fixes = fixes;
}

static int parts_of(const struct reading *g, const struct rep_block *row)
{
    int n = 0;
    for (size_t i = 0; i < g->rows->n_blocks; i++)
        n += g->rows->blocks[i].block == row->block;
    return n;
}

static void add_row(struct reading *g, const struct rep_block *row, struct plan_block *b)
{
    struct plan_work w = work_of(row);
    w.part = row->part;
    w.parts = parts_of(g, row);
    if (!*row->sets)
        return;
    if (!find_sets(g->app, row, g->mem, &w)) {
        b->name = arena_printf(g->mem, "set %s, which the show has no more", row->sets);
        return;
    }
    w.fixes = fixes_of(g, row);
    w.n_fixes = row->n_fixes;
    b->list[b->n_list++] = w;
    b->reps += w.reps;
    b->gain += w.gain;
    add_fixes(g, b, &w);
}

static struct plan_block block_of(struct reading *g, const struct rep_block *row)
{
    static const char rest[] = " (rest)";
    const size_t n = strlen(row->what), m = sizeof rest - 1;
    const bool named = row->kind != PLAN_BREAK && strcmp(row->what, PLAN_WALK_FIRST) != 0;
    return (struct plan_block){
        .kind = (enum plan_kind)row->kind,
        .number = row->block,
        .start_s = row->start_s,
        .seconds = row->seconds,
        .group = group_named(g->out, row->who),
        .name = named ? row->what : "",
        .rest = row->kind == PLAN_FIXED && n > m && strcmp(row->what + n - m, rest) == 0,
        .list = arena_alloc(g->mem, (g->rows->n_blocks + 1) * sizeof(struct plan_work)),
        .cautions = row->cautions,
    };
}

static void add_blocks(struct reading *g)
{
    struct plan *plan = &g->out->plan;
    plan->blocks = arena_alloc(g->mem, (g->rows->n_blocks + 1) * sizeof *plan->blocks);
    for (size_t i = 0; i < g->rows->n_blocks; i++) {
        const struct rep_block *row = &g->rows->blocks[i];
        if (row->kind < 0 || row->kind > PLAN_RUN)
            continue; /* from a newer program */
        if (i == 0 || row->block != row[-1].block)
            plan->blocks[plan->n_blocks++] = block_of(g, row);
        if (plan->n_blocks)
            add_row(g, row, &plan->blocks[plan->n_blocks - 1]);
    }
}

static void add_cautions(struct reading *g)
{
    struct plan *plan = &g->out->plan;
    const char *text = g->rows->cautions;
    const char **list = arena_alloc(g->mem, (strlen(text) + 2) * sizeof *list);
    while (*text) {
        const size_t n = strcspn(text, "\n");
        list[plan->n_cautions++] = arena_strndup(g->mem, text, n);
        text += n + (text[n] == '\n');
    }
    if (plan->n_cautions == 0)
        list[plan->n_cautions++] = HEAT_REMINDER; /* from an older file */
    plan->cautions = list;
}

/* --- all of it ------------------------------------------------------------------------------------ */

/* What it was asked for with, as far as that can still be read: a policy's file may be gone. */
static struct plan_choice choice_of(const struct rep_plan *rows, struct arena *mem)
{
    struct plan_ask *ask = arena_alloc(mem, sizeof *ask);
    struct plan_choice choice;
    struct err ignored;
    plan_ask_parse(rows->asked, mem, ask);
    if (ask->n == 0 || !plan_ask_choice(ask, mem, &choice, &ignored))
        choice = (struct plan_choice){.rules = plan_rules_default()};
    choice.rules.minutes = rows->minutes;
    choice.rules.start_min = rows->start_min;
    choice.date = rows->date;
    choice.tell_history = true;
    return choice;
}

/* Clips, groups, heat and what waits for a decision: as they are now. */
static bool begin(struct reading *g, const struct plan_choice *choice, struct plan_groups *groups,
                  struct err *e)
{
    struct app *a = g->app;
    struct err none;
    struct plan_set *sets = plan_show_sets(&a->show, app_moves(&a->show, g->mem), g->mem);
    const struct plan_attend everybody = {0};
    g->out->in.sets = sets;
    g->out->in.n_sets = a->show.n_sets;
    g->out->in.rules = choice->rules;
    g->out->heat_words = g->out->learned = "";
    app_plan_learn(a, choice, g->mem, g->out, &none); /* what cannot be read is not told */
    if (!plan_weather_put(&choice->weather, g->mem, g->out, &none))
        g->out->heat_words = "";
    app_plan_decide(a, choice, g->mem, g->out);
    struct fix_choice clips = {.clips = choice->clips, .n_clips = choice->n_clips};
    struct fix_report fixes;
    if (!app_fixes(a, &clips, g->mem, &fixes, &none) &&
        !app_fixes(a, &(struct fix_choice){0}, g->mem, &fixes, e))
        return false;
    g->out->clips = plan_report_clips(fixes.clips, fixes.n_clips, g->mem);
    g->out->n_clips = fixes.n_clips;
    if (!plan_show_groups(&a->show, &everybody, g->mem, groups, e))
        return false;
    g->out->in.groups = groups->at;
    g->out->in.n_groups = groups->n;
    return true;
}

const char *app_plan_weather_words(const char *asked, struct arena *mem)
{
    struct plan_ask *ask = arena_alloc(mem, sizeof *ask);
    struct plan_choice choice;
    struct plan_report r = {0};
    struct err none;
    plan_ask_parse(asked, mem, ask);
    if (ask->n == 0 || !plan_ask_choice(ask, mem, &choice, &none))
        return "";
    r.in.rules = choice.rules;
    if (!plan_weather_put(&choice.weather, mem, &r, &none))
        return "";
    return r.heat_words;
}

static int spare_of(const struct plan *plan)
{
    int last = 0, spare = 0;
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const int end = plan->blocks[i].start_s + plan->blocks[i].seconds;
        spare += plan->blocks[i].start_s > last ? plan->blocks[i].start_s - last : 0;
        last = end > last ? end : last;
    }
    return spare + (plan->seconds > last ? plan->seconds - last : 0);
}

bool app_plan_stored(struct app *a, const char *date, struct arena *mem, struct plan_report *out,
                     struct err *e)
{
    struct rep_plan rows;
    struct plan_groups groups;
    if (!store_plan(a->store, mem, date, &rows, e))
        return false;
    *out = (struct plan_report){.show = plan_report_show(&a->show, mem),
                                .title = arena_strdup(mem, a->title),
                                .date = rows.date,
                                .open_weight = rows.open_weight};
    struct reading g = {.app = a, .rows = &rows, .out = out, .mem = mem};
    const struct plan_choice choice = choice_of(&rows, mem);
    if (!begin(&g, &choice, &groups, e))
        return false;
    out->plan.start_min = rows.start_min;
    out->plan.seconds = rows.minutes * PLAN_MINUTE_S;
    out->plan.gain = rows.gain;
    out->plan.weight = rows.open_weight;
    add_targets(&g, &groups);
    if (!add_moments(&g, e))
        return false;
    add_blocks(&g);
    add_cautions(&g);
    out->plan.spare_s = spare_of(&out->plan);
    return true;
}
