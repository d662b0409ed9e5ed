#include <stdlib.h>
#include <string.h>

#include "app/plan.h"
#include "paper/plan.h"
#include "sys/clock.h"
#include "verb/rows.h"

static bool has_reps(const struct rep_block *b)
{
    return b->reps > 0 && *b->sets && b->kind != PLAN_RUN;
}

/* " 3    " or, of several chunks, " 3.2  " */
static void put_number(const struct rep_plan *p, size_t row, struct buf *out)
{
    char number[24];
    const int blank = p->blocks[row].block < 9 ? 2 : 1;
    buf_printf(out, "%*s%-*s", blank, "", 6 - blank, app_plan_number(p, row, number));
}

static void list(const struct rep_plan *p, struct buf *out)
{
    char clock[24];
    buf_printf(out, "Plan of %s, %d minutes\n", p->date, p->minutes);
    for (size_t i = 0; i < p->n_blocks; i++) {
        const struct rep_block *b = &p->blocks[i];
        put_number(p, i, out);
        buf_printf(out, " [%c] %-6s ", b->reps_made >= 0 ? 'x' : ' ',
                   plan_clock(p->start_min, b->begins_s / PLAN_MINUTE_S * PLAN_MINUTE_S, clock));
        buf_printf(out, "%s%s", b->who, *b->who ? ": " : "");
        if (has_reps(b))
            buf_printf(out, "set %s, %d rep%s", b->sets, b->reps, b->reps == 1 ? "" : "s");
        else
            buf_str(out, b->what);
        if (b->reps_made >= 0 && has_reps(b))
            buf_printf(out, ", %d made", b->reps_made);
        buf_char(out, '\n');
    }
}

/* "3" is a block, "3.2" its second chunk: the rows it has. */
static bool rows_of(const struct rep_plan *p, const char *text, struct plan_tick *out,
                    struct err *e)
{
    char *end;
    const long block = strtol(text, &end, 10);
    const long part = *end == '.' ? strtol(end + 1, &end, 10) : 0;
    out->n = 0;
    for (size_t i = 0; i < p->n_blocks && !*end; i++) {
        const struct rep_block *b = &p->blocks[i];
        if (b->block + 1 != block || (part && b->part + 1 != part))
            continue;
        out->from = out->n++ ? out->from : i;
    }
    if (out->n > 0)
        return true;
    const int most = p->n_blocks ? p->blocks[p->n_blocks - 1].block + 1 : 0;
    return err_set(e, ERR_INPUT,
                   "tick: '%s' is not a block of the plan, from 1 to %d, or a chunk of one, as 3.2",
                   text, most);
}

static bool reps_of(struct call *c, struct plan_tick *t, struct err *e)
{
    char *end;
    t->reps_made = call_value(c, "undo") ? TICK_BACK : TICK_PLANNED;
    if (c->n_words < 3 || t->reps_made == TICK_BACK)
        return true;
    const long n = strtol(c->words[2], &end, 10);
    if (end == c->words[2] || *end || n < 0 || n > PLAN_REPS_MOST)
        return err_set(e, ERR_INPUT, "tick: '%s' is not a number of reps from 0 to %d", c->words[2],
                       PLAN_REPS_MOST);
    if (t->n > 1)
        return err_set(e, ERR_INPUT, "tick: block %s has %zu chunks; say of which: %s.1 to %s.%zu",
                       c->words[1], t->n, c->words[1], c->words[1], t->n);
    t->reps_made = (int)n;
    return true;
}

static bool tick(struct call *c, struct app *app, struct rep_plan *p, struct err *e)
{
    const char *word = c->words[1];
    struct plan_tick t = {.plan = p->id, .what = arena_printf(&c->memory, "block %.20s", word)};
    struct plan_ticked done;
    bool any = false;
    if (!rows_of(p, word, &t, e) || !reps_of(c, &t, e))
        return false;
    for (size_t i = t.from; i < t.from + t.n; i++)
        any |= p->blocks[i].reps_made >= 0;
    if (t.reps_made == TICK_BACK && !any) {
        buf_printf(&c->talk, "block %s was not ticked off; nothing changed\n", word);
        return true;
    }
    if (!app_plan_tick(app, &t, &c->memory, &done, e))
        return false;
    for (size_t i = t.from; i < t.from + t.n; i++)
        p->blocks[i].reps_made = t.reps_made == TICK_PLANNED ? p->blocks[i].reps : t.reps_made;
    if (t.reps_made == TICK_BACK)
        buf_printf(&c->talk, "block %s is not done after all; %d mark%s open again%s%s\n", word,
                   done.marks, done.marks == 1 ? " is" : "s are", *done.lines ? ": " : "",
                   done.lines);
    else
        buf_printf(&c->talk, "block %s is done; %d mark%s now repped%s%s\n", word, done.marks,
                   done.marks == 1 ? "" : "s", *done.lines ? ": " : "", done.lines);
    return true;
}

/* Today's where there is one, else the newest. */
static bool plan_of_day(struct call *c, struct app *app, struct rep_plan *p, struct err *e)
{
    char today[11];
    struct err none;
    const char *date = call_value(c, "date");
    clock_today(today);
    if ((date || !store_plan(app->store, &c->memory, today, p, &none)) &&
        !store_plan(app->store, &c->memory, date, p, e))
        return false;
    struct rep_plan before;
    const bool other = store_plan_before(app->store, &c->memory, p, &before, &none);
    if (call_value(c, "earlier") && !other)
        return err_set(e, ERR_INPUT, "%s", none.text);
    if (call_value(c, "earlier"))
        *p = before;
    else if (other)
        buf_printf(&c->talk,
                   "an earlier plan of %s is stored too, with what was ticked off of it: "
                   "--earlier\n",
                   p->date);
    return true;
}

static bool run(struct call *c, struct err *e)
{
    struct app app;
    struct rep_plan p;
    if (call_value(c, "undo") && c->n_words < 2)
        return err_set(e, ERR_USAGE, "tick: --undo of which block? boxcall tick SHOW BLOCK --undo");
    if (!app_open(&app, c->words[0], e))
        return false;
    bool ok = plan_of_day(c, &app, &p, e) && (c->n_words < 2 || tick(c, &app, &p, e));
    if (ok)
        list(&p, &c->out);
    app_close(&app);
    return ok;
}

const struct verb verb_tick = {
    .name = "tick",
    .usage = "SHOW [BLOCK [REPS]]",
    .summary = "Tick a block of the rep plan off; its lines become repped",
    .detail =
        "BLOCK is its number on the plan; a sectional's list may be ticked off chunk by chunk, "
        "as 3.2. Without it the plan is listed with its ticks. REPS is how many were made, "
        "when that is not what was planned. Marks that wait for a decision of the staff stay "
        "open.",
    .options = {{"date", "YYYY-MM-DD", "the plan of that day (default: today's, else the newest)",
                 false},
                {"earlier", NULL,
                 "the plan of that day that was ticked off before it was planned "
                 "anew",
                 false},
                {"undo", NULL, "the block was not done after all; says what is open again", false},
                {0}},
    .least = 1,
    .most = 3,
    .run = run,
};
