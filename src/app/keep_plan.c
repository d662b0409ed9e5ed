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

/* The positions of the block's sets. */
static size_t block_sets(const struct app *a, const struct rep_block *b, int *out, size_t most)
{
    size_t n = 0;
    char text[400];
    snprintf(text, sizeof text, "%s", b->sets);
    for (char *s = strtok(text, " "); s && n < most; s = strtok(NULL, " ")) {
        out[n] = show_set(&a->show, s);
        n += out[n] >= 0;
    }
    return n;
}

bool app_plan_tick(struct app *a, const struct rep_plan *p, size_t block, int reps_made,
                   int *repped, struct err *e)
{
    const struct rep_block *b = &p->blocks[block];
    int sets[64];
    size_t n_sets = block_sets(a, b, sets, 64);
    int64_t *clips = xcalloc(a->clips.n, sizeof *clips);
    for (size_t i = 0; i < a->clips.n; i++)
        clips[i] = a->clips.at[i].id;
    *repped = 0;
    bool ok = store_begin(a->store, NULL, e) &&
              store_plan_tick(a->store, p->id, (int)block, reps_made, e);
    for (size_t i = 0; ok && reps_made > 0 && i < b->n_fixes; i++) {
        struct item_choice item = {.section = b->fixes[i].section,
                                   .performer = -1,
                                   .fault = b->fixes[i].fault,
                                   .clips = clips,
                                   .n_clips = a->clips.n,
                                   .sets = sets,
                                   .n_sets = n_sets,
                                   .only_open = true};
        int changed;
        ok = store_item_state(a->store, &a->show, &item, MARK_REPPED, &changed, e);
        *repped += ok ? changed : 0;
    }
    free(clips);
    if (ok)
        return store_commit(a->store, e);
    store_rollback(a->store);
    return false;
}
