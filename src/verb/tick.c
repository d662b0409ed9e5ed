#include <stdlib.h>

#include "app/plan.h"
#include "paper/plan.h"
#include "verb/rows.h"

static void list(const struct rep_plan *p, struct buf *out)
{
    char clock[24];
    buf_printf(out, "Plan of %s, %d minutes\n", p->date, p->minutes);
    for (size_t i = 0; i < p->n_blocks; i++) {
        const struct rep_block *b = &p->blocks[i];
        bool reps = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
        buf_printf(out, "%3zu [%c] %-6s ", i + 1, b->reps_made >= 0 ? 'x' : ' ',
                   plan_clock(p->start_min, b->start_s, clock));
        if (reps)
            buf_printf(out, "%s: set %s, %d rep%s", b->who, b->sets, b->reps,
                       b->reps == 1 ? "" : "s");
        else
            buf_str(out, b->what);
        if (b->reps_made >= 0 && reps)
            buf_printf(out, ", %d made", b->reps_made);
        buf_char(out, '\n');
    }
}

static bool number(const char *text, long least, long most, const char *what, long *out,
                   struct err *e)
{
    char *end;
    *out = strtol(text, &end, 10);
    if (end == text || *end || *out < least || *out > most)
        return err_set(e, ERR_INPUT, "tick: '%s' is not %s from %ld to %ld", text, what, least,
                       most);
    return true;
}

static bool tick(struct call *c, struct app *app, struct rep_plan *p, struct err *e)
{
    long block, reps;
    int repped;
    if (!number(c->words[1], 1, (long)p->n_blocks, "a block of the plan,", &block, e))
        return false;
    reps = p->blocks[block - 1].reps;
    if (c->n_words > 2 && !number(c->words[2], 0, PLAN_REPS_MOST, "a number of reps", &reps, e))
        return false;
    if (call_value(c, "undo"))
        reps = -1;
    if (!app_plan_tick(app, &(struct plan_tick){p->id, (size_t)block - 1, (int)reps}, &repped, e))
        return false;
    p->blocks[block - 1].reps_made = (int)reps;
    if (reps < 0)
        buf_printf(&c->talk, "block %ld is not done after all; %d mark%s open again\n", block,
                   repped, repped == 1 ? " is" : "s are");
    else
        buf_printf(&c->talk, "block %ld is done; %d mark%s now repped\n", block, repped,
                   repped == 1 ? "" : "s");
    return true;
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    struct rep_plan p;
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = store_plan(app.store, &c->memory, call_value(c, "date"), &p, e) &&
              (c->n_words < 2 || tick(c, &app, &p, e));
    if (ok)
        list(&p, &c->out);
    app_close(&app);
    return ok;
}

const struct verb verb_tick = {
    .name = "tick",
    .usage = "SHOW [BLOCK [REPS]]",
    .summary = "Tick a block of the rep plan off; its lines become repped",
    .detail = "Without BLOCK the plan is listed with its ticks. REPS is how many were made, when "
              "that is not what was planned.",
    .options = {{"date", "YYYY-MM-DD", "the plan of that day (default: the newest)", false},
                {"undo", NULL, "the block was not done after all", false},
                {0}},
    .least = 1,
    .most = 3,
    .run = run,
};
