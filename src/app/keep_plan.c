/* A plan on its way into the show file, and the ticks after the rehearsal. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan_ask.h"
#include "app/plan_gone.h"
#include "app/plan_kept.h"

static const char *sets_of(const struct plan_report *r, const struct plan_work *w,
                           struct arena *mem)
{
    struct buf text = {0};
    for (int s = w->first_set; s <= w->last_set; s++)
        buf_printf(&text, "%s%s", s > w->first_set ? " " : "", r->show->sets[s].label);
    const char *kept = arena_strdup(mem, buf_text(&text));
    buf_free(&text);
    return kept;
}

static const struct rep_fix *fixes_of(const struct plan_report *r, const struct plan_work *w,
                                      struct arena *mem)
{
    struct rep_fix *fixes = arena_alloc(mem, (w->n_fixes + 1) * sizeof *fixes);
    for (size_t k = 0; k < w->n_fixes; k++) {
        const struct plan_target *t = &r->targets[w->fixes[k]];
        fixes[k] = (struct rep_fix){t->section, t->fault, plan_marks_in(w, t)};
    }
    return fixes;
}

static void add_work(const struct plan_report *r, const struct plan_work *w, struct arena *mem,
                     struct rep_block *out)
{
    out->begins_s = w->start_s;
    out->works_s = w->seconds;
    out->sets = sets_of(r, w, mem);
    out->what = *out->what ? out->what : w->walk_s ? PLAN_WALK_FIRST : "";
    out->reps = w->reps;
    out->rep_s = w->rep_s;
    out->setup_s = w->setup_s;
    out->walk_s = w->walk_s;
    out->counts = w->counts;
    out->bpm_low = w->bpm_low;
    out->bpm_high = w->bpm_high;
    out->gain = w->gain;
    out->kept = w->kept;
    out->fixes = fixes_of(r, w, mem);
    out->n_fixes = w->n_fixes;
}

/* One row for each chunk, one for a block that has none. */
static void add_rows(const struct plan_report *r, size_t number, struct arena *mem,
                     struct rep_plan *out)
{
    const struct plan_block *b = &r->plan.blocks[number];
    const bool people = b->kind != PLAN_FIXED && b->kind != PLAN_BREAK;
    for (size_t k = 0; k < b->n_list || k == 0; k++) {
        struct rep_block *row = &out->blocks[out->n_blocks++];
        *row = (struct rep_block){
            .block = (int)number,
            .part = (int)k,
            .start_s = b->start_s,
            .seconds = b->seconds,
            .begins_s = b->start_s,
            .works_s = b->seconds,
            .kind = (int)b->kind,
            .who = people ? plan_who(r, b->group) : "",
            .what = b->kind == PLAN_BREAK ? "water and rest" : b->name,
            .sets = "",
            .reps_made = -1,
            .cautions = b->cautions,
        };
        if (k < b->n_list)
            add_work(r, &b->list[k], mem, row);
    }
}

static const char *cautions_of(const struct plan *plan, struct arena *mem)
{
    struct buf text = {0};
    for (size_t i = 0; i < plan->n_cautions; i++)
        buf_printf(&text, "%s\n", plan->cautions[i]);
    const char *kept = arena_strdup(mem, buf_text(&text));
    buf_free(&text);
    return kept;
}

/* The policy's path is kept whole: the plan may be read again from another folder. */
static const char *asked_of(const struct plan_choice *choice, struct arena *mem)
{
    struct plan_ask ask = {0};
    for (size_t i = 0; i < choice->asked->n; i++)
        plan_ask_add(&ask, choice->asked->at[i].name, choice->asked->at[i].value, mem);
    if (plan_ask_value(&ask, "policy") && choice->policy_path && *choice->policy_path)
        plan_ask_set(&ask, "policy", choice->policy_path, mem);
    return plan_ask_text(&ask, mem);
}

const char *app_plan_number(const struct rep_plan *p, size_t row, char out[24])
{
    const struct rep_block *b = &p->blocks[row];
    size_t parts = 0;
    for (size_t i = 0; i < p->n_blocks; i++)
        parts += p->blocks[i].block == b->block;
    snprintf(out, 24, parts > 1 ? "%d.%d" : "%d", b->block + 1, b->part + 1);
    return out;
}

void app_plan_rows(const struct plan_report *r, struct arena *mem, struct rep_plan *out)
{
    size_t n = 0;
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        n += r->plan.blocks[i].n_list + 1;
    *out = (struct rep_plan){.date = r->date,
                             .start_min = r->plan.start_min,
                             .minutes = r->plan.seconds / 60,
                             .gain = r->plan.gain,
                             .open_weight = r->open_weight,
                             .asked = "",
                             .wishes = "",
                             .cautions = cautions_of(&r->plan, mem)};
    out->blocks = arena_alloc(mem, (n + 1) * sizeof *out->blocks);
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        add_rows(r, i, mem, out);
}

struct keeping {
    const struct app *app;
    struct rep_plan rows;
    struct arena *mem;
};

static bool keep(struct store *s, void *ctx, struct err *e)
{
    struct keeping *k = ctx;
    return app_plan_gone_keep(s, k->rows.date, k->mem, e) &&
           store_plan_put(s, &k->app->show, &k->rows, e);
}

bool app_plan_keep(struct app *a, const struct plan_choice *choice, const struct plan_report *r,
                   struct arena *mem, struct err *e)
{
    struct keeping k = {.app = a, .mem = mem};
    const struct plan_wishes wishes = {(struct plan_wish *)choice->wishes, choice->n_wishes, 0};
    app_plan_rows(r, mem, &k.rows);
    k.rows.asked = choice->asked ? asked_of(choice, mem) : "";
    k.rows.wishes = plan_wishes_text(&wishes, r, mem);
    return store_step(a->store, NULL, keep, &k, e);
}

/* The positions of the block's sets; labels may hold anything but a blank. */
static int *block_sets(const struct app *a, const struct rep_block *b, struct arena *mem, size_t *n)
{
    char *text = arena_strdup(mem, b->sets);
    int *out = arena_alloc(mem, (strlen(text) + 1) * sizeof *out);
    *n = 0;
    for (char *s = strtok(text, " "); s; s = strtok(NULL, " ")) {
        out[*n] = show_set(&a->show, s);
        *n += out[*n] >= 0;
    }
    return out;
}

struct ticking {
    struct app *app;
    const struct plan_tick *tick;
    struct arena *mem;
    struct buf lines;
    int marks;
};

static void note_line(struct ticking *t, const struct rep_fix *fix, int marks)
{
    if (marks > 0)
        buf_printf(&t->lines, "%s%s: %s (%d)", t->lines.n ? ", " : "",
                   t->app->show.sections[fix->section].name, t->app->show.faults[fix->fault].name,
                   marks);
    t->marks += marks;
}

/* Open marks of the chunk's lines become repped; back: those that were repped are open again. */
static bool rep_lines(struct ticking *t, const struct rep_block *b, bool back, struct err *e)
{
    struct app *a = t->app;
    int64_t *clips = arena_alloc(t->mem, (a->clips.n + 1) * sizeof *clips);
    size_t n_sets;
    const int *sets = block_sets(a, b, t->mem, &n_sets);
    for (size_t i = 0; i < a->clips.n; i++)
        clips[i] = a->clips.at[i].id;
    if (n_sets == 0)
        return true; /* its sets are not in the show any more; no sets would mean all of them */
    for (size_t i = 0; i < b->n_fixes; i++) {
        struct item_choice item = {.section = b->fixes[i].section,
                                   .performer = -1,
                                   .fault = b->fixes[i].fault,
                                   .clips = clips,
                                   .n_clips = a->clips.n,
                                   .sets = sets,
                                   .n_sets = n_sets,
                                   .only_open = !back,
                                   .only_repped = back,
                                   .answered = !back};
        const int changed =
            store_item_state(a->store, &a->show, &item, back ? MARK_OPEN : MARK_REPPED, e);
        if (changed < 0)
            return false;
        note_line(t, &b->fixes[i], changed);
    }
    return true;
}

static bool tick_row(struct ticking *t, const struct rep_plan *p, size_t row, struct err *e)
{
    const struct rep_block *b = &p->blocks[row];
    const int made = t->tick->reps_made == TICK_PLANNED ? b->reps : t->tick->reps_made;
    const bool back = made < 0;
    if (!store_plan_tick(t->app->store, p->id, (int)row, made, e))
        return false;
    /* A tick of no reps moved nothing, so taking it back moves nothing either. */
    return (back ? b->reps_made : made) <= 0 || rep_lines(t, b, back, e);
}

/* The plan is read here, so that its lines are positions in the show as it is now. */
static bool tick(struct store *s, void *ctx, struct err *e)
{
    struct ticking *t = ctx;
    const struct plan_tick *k = t->tick;
    struct rep_plan p;
    t->marks = 0;
    buf_clear(&t->lines);
    if (!app_reload(t->app, e) || !store_plan_row(s, t->mem, k->plan, &p, e))
        return false;
    for (size_t i = k->from; i < k->from + k->n; i++) {
        if (i >= p.n_blocks)
            return err_set(e, ERR_INPUT, "the plan has no %s", k->what);
        if (!tick_row(t, &p, i, e))
            return false;
    }
    return true;
}

bool app_plan_tick(struct app *a, const struct plan_tick *done, struct arena *mem,
                   struct plan_ticked *out, struct err *e)
{
    struct ticking t = {.app = a, .tick = done, .mem = mem};
    char what[60];
    snprintf(what, sizeof what, "%s %s", done->reps_made == TICK_BACK ? "untick" : "tick",
             done->what);
    const bool ok = store_step(a->store, what, tick, &t, e);
    *out = (struct plan_ticked){t.marks, arena_strdup(mem, buf_text(&t.lines))};
    buf_free(&t.lines);
    return ok;
}

/* --- where it was -------------------------------------------------------------------------------- */

struct looking {
    const struct rep_block *b;
    const int *sets;
    size_t n_sets;
    struct plan_found *found;
    const struct app *app;
    size_t clip; /* position of the one that was found */
    bool any;
};

static bool of_chunk(const struct looking *l, const struct seen_row *row)
{
    bool in_set = false, in_fix = false;
    for (size_t i = 0; i < l->n_sets; i++)
        in_set |= l->sets[i] == row->set;
    for (size_t i = 0; in_set && i < l->b->n_fixes; i++)
        in_fix |= l->b->fixes[i].section == row->section && l->b->fixes[i].fault == row->fault;
    return in_fix && !row->praise;
}

static bool look(void *ctx, const struct seen_row *row)
{
    struct looking *l = ctx;
    size_t clip = 0;
    while (clip < l->app->clips.n && l->app->clips.at[clip].id != row->clip)
        clip++;
    const bool sooner =
        !l->any || clip < l->clip || (clip == l->clip && row->at_us < l->found->at_us);
    if (!of_chunk(l, row) || !sooner)
        return true;
    *l->found = (struct plan_found){row->clip, row->at_us, row->mark};
    l->clip = clip;
    l->any = true;
    return true;
}

bool app_plan_moment(struct app *a, const struct rep_block *b, struct plan_found *out,
                     struct err *e)
{
    struct arena mem = {0};
    struct looking l = {.b = b, .found = out, .app = a};
    l.sets = block_sets(a, b, &mem, &l.n_sets);
    const struct seen_choice choice = app_all_seen(a, &mem);
    const bool ok = store_each_seen(a->store, &choice, look, &l, e);
    arena_free(&mem);
    return ok && (l.any || err_set(e, ERR_INPUT, "nothing is marked for this block"));
}
