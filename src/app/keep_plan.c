/* A plan on its way into the show file, and the ticks after the rehearsal. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/plan.h"

static const char *sets_of(const struct plan_report *r, const struct plan_block *b,
                           struct arena *mem)
{
    struct buf text = {0};
    for (int s = b->first_set; s >= 0 && s <= b->last_set; s++)
        buf_printf(&text, "%s%s", s > b->first_set ? " " : "", r->show->sets[s].label);
    const char *kept = arena_strdup(mem, buf_text(&text));
    buf_free(&text);
    return kept;
}

bool app_plan_keep(struct app *a, const struct plan_report *r, struct arena *mem,
                   struct rep_plan *out, struct err *e)
{
    *out = (struct rep_plan){.date = r->date,
                             .start_min = r->plan.start_min,
                             .minutes = r->plan.seconds / 60,
                             .gain = r->plan.gain,
                             .n_blocks = r->plan.n_blocks};
    out->blocks = arena_alloc(mem, r->plan.n_blocks * sizeof *out->blocks);
    for (size_t i = 0; i < r->plan.n_blocks; i++) {
        const struct plan_block *b = &r->plan.blocks[i];
        bool reps = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
        struct rep_fix *fixes = arena_alloc(mem, b->n_fixes * sizeof *fixes);
        for (size_t k = 0; k < b->n_fixes; k++) {
            const struct plan_target *t = &r->targets[b->fixes[k]];
            fixes[k] = (struct rep_fix){t->section, t->fault, t->marks};
        }
        out->blocks[i] = (struct rep_block){
            .start_s = b->start_s,
            .seconds = b->seconds,
            .kind = (int)b->kind,
            .who = reps ? plan_who(r, b->group) : "",
            .what = b->kind == PLAN_BREAK ? "water and rest" : b->name,
            .sets = sets_of(r, b, mem),
            .reps = b->reps,
            .reps_made = -1,
            .fixes = fixes,
            .n_fixes = b->n_fixes,
        };
    }
    return store_plan_put(a->store, &a->show, out, e);
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
    int repped;
};

/* Open marks of the block's lines become repped; back: those that were repped are open again. */
static bool rep_lines(struct app *a, const struct rep_block *b, bool back, struct arena *mem,
                      int *moved, struct err *e)
{
    int64_t *clips = arena_alloc(mem, a->clips.n * sizeof *clips);
    size_t n_sets;
    const int *sets = block_sets(a, b, mem, &n_sets);
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
                                   .only_repped = back};
        const int changed =
            store_item_state(a->store, &a->show, &item, back ? MARK_OPEN : MARK_REPPED, e);
        if (changed < 0)
            return false;
        *moved += changed;
    }
    return true;
}

/* The plan is read here, so that its lines are positions in the show as it is now. */
static bool tick(struct store *s, void *ctx, struct err *e)
{
    struct ticking *t = ctx;
    struct arena mem = {0};
    struct rep_plan p;
    t->repped = 0;
    bool ok = app_reload(t->app, e) && store_plan_row(s, &mem, t->tick->plan, &p, e) &&
              (t->tick->block < p.n_blocks ||
               err_set(e, ERR_INPUT, "the plan has no block %zu", t->tick->block + 1)) &&
              store_plan_tick(s, t->tick->plan, (int)t->tick->block, t->tick->reps_made, e);
    const bool back = t->tick->reps_made < 0;
    /* A tick of no reps moved nothing, so taking it back moves nothing either. */
    if (ok && (back ? p.blocks[t->tick->block].reps_made : t->tick->reps_made) > 0)
        ok = rep_lines(t->app, &p.blocks[t->tick->block], back, &mem, &t->repped, e);
    arena_free(&mem);
    return ok;
}

bool app_plan_tick(struct app *a, const struct plan_tick *done, int *repped, struct err *e)
{
    struct ticking t = {a, done, 0};
    char what[60];
    snprintf(what, sizeof what, "%s block %zu", done->reps_made < 0 ? "untick" : "tick",
             done->block + 1);
    bool ok = store_step(a->store, what, tick, &t, e);
    *repped = t.repped;
    return ok;
}
