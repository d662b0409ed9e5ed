#include "app/plan.h"

#include "app/asks.h"
#include "app/learn.h"
#include "app/ties.h"
#include "plan/gather.h"

struct gathering {
    struct app *app;
    const struct fix_report *report;
    struct plan_gather *into;
};

static bool on_seen(void *ctx, const struct seen_row *row)
{
    struct gathering *g = ctx;
    size_t clip = 0;
    while (clip < g->report->n_clips && g->report->clips[clip].id != row->clip)
        clip++;
    if (row->praise || clip == g->report->n_clips)
        return true;
    plan_gather_add(g->into,
                    &(struct plan_mark){.section = row->section,
                                        .fault = row->fault,
                                        .set = row->set,
                                        .severity = row->severity,
                                        .clip = clip,
                                        .at_us = row->at_us,
                                        .mark = row->mark,
                                        .again = row->again,
                                        .state = row->state,
                                        .asks = app_mark_asks(g->app->store, &g->app->show, row)});
    return true;
}

/* What was marked in the clips of the list. */
static bool open_marks(struct app *a, const struct fix_report *clips, struct plan_gather *into,
                       struct err *e)
{
    struct arena scratch = {0};
    struct gathering g = {a, clips, into};
    const struct seen_choice choice = app_all_seen(a, &scratch);
    const bool ok = store_each_seen(a->store, &choice, on_seen, &g, e);
    arena_free(&scratch);
    return ok;
}

static bool items(struct app *a, const struct plan_choice *choice, struct plan_set *sets,
                  struct plan_report *out, struct arena *mem, struct err *e)
{
    struct fix_choice clips = {
        .clips = choice->clips, .n_clips = choice->n_clips, .since = choice->since};
    struct fix_report fixes;
    struct plan_groups groups;
    if (!app_fixes(a, &clips, mem, &fixes, e) ||
        !plan_show_groups(&a->show, &choice->who, mem, &groups, e))
        return false;
    out->clips = plan_report_clips(fixes.clips, fixes.n_clips, mem);
    out->n_clips = fixes.n_clips;
    out->in.groups = groups.at;
    out->in.n_groups = groups.n;
    struct plan_gather *g = plan_gather_begin(&a->show, sets, mem);
    if (open_marks(a, &fixes, g, e))
        return plan_gather_end(g, &groups, out, e);
    plan_gather_drop(g);
    return false;
}

void app_plan_decide(struct app *a, const struct plan_choice *choice, struct arena *mem,
                     struct plan_report *out)
{
    struct err none;
    struct plan_report now = {.show = out->show};
    struct plan_set *sets = plan_show_sets(&a->show, app_moves(&a->show, mem), mem);
    if (!items(a, choice, sets, &now, mem, &none))
        return; /* nothing to rehearse, or nothing that can be read */
    out->decide = now.decide;
    out->n_decide = now.n_decide;
}

/* Reps that mend nothing are in no plan, so the least that a share can be. */
#define LEARN_LEAST 0.01

static void take_share(const struct learned *l, double *share, bool *seen)
{
    if (!l->enough)
        return;
    *share = l->p > LEARN_LEAST ? l->p : LEARN_LEAST;
    *seen = true;
}

bool app_plan_learn(struct app *a, const struct plan_choice *choice, struct arena *mem,
                    struct plan_report *out, struct err *e)
{
    struct plan_rules *rules = &out->in.rules;
    struct learn_report seen;
    struct buf text = {0};
    out->learned = "";
    if (!choice->learn_history && !choice->tell_history)
        return true;
    if (!app_learn(a, rules->say, mem, &seen, e))
        return false;
    if (seen.together.lines > 0 || seen.apart.lines == 0)
        learn_sentence(&seen.together, false, &text);
    if (seen.apart.lines > 0) {
        buf_str(&text, text.n ? " " : "");
        learn_sentence(&seen.apart, true, &text);
    }
    out->learned = arena_strdup(mem, buf_text(&text));
    buf_free(&text);
    if (choice->learn_history) {
        take_share(&seen.together, &rules->learn, &rules->learn_seen);
        take_share(&seen.apart, &rules->apart_learn, &rules->apart_learn_seen);
    }
    return !choice->learn_history || rules->learn_seen || rules->apart_learn_seen ||
           err_set(e, ERR_INPUT,
                   "plan: --learn history has too little to go by: %s Leave --learn "
                   "out, or give a share, as 0.3",
                   out->learned);
}

bool app_plan(struct app *a, const struct plan_choice *choice, struct arena *mem,
              struct plan_report *out, struct err *e)
{
    const struct moves moves = app_moves(&a->show, mem);
    struct plan_set *sets = plan_show_sets(&a->show, moves, mem);
    *out = (struct plan_report){.show = plan_report_show(&a->show, mem),
                                .title = arena_strdup(mem, a->title),
                                .date = arena_strdup(mem, choice->date),
                                .in = {.rules = choice->rules,
                                       .sets = sets,
                                       .n_sets = a->show.n_sets,
                                       .fixed = choice->fixed,
                                       .n_fixed = choice->n_fixed}};
    for (size_t i = 0; i < choice->n_seconds; i++)
        if (!plan_show_seconds(choice->seconds[i], moves, sets, e))
            return false;
    if (!app_plan_learn(a, choice, mem, out, e) || !items(a, choice, sets, out, mem, e) ||
        !plan_weather_put(&choice->weather, mem, out, e))
        return false;
    if (choice->work_min > 0)
        out->in.rules.breaks =
            (struct heat_breaks){.work_most_s = choice->work_min * 60,
                                 .break_s = choice->rest_min * 60,
                                 .source = arena_printf(mem,
                                                        "%d min after %d min of work at most, as "
                                                        "asked for",
                                                        choice->rest_min, choice->work_min)};
    if (out->heat.closed && !choice->indoors) {
        plan_weather_closed(mem, out);
        return true;
    }
    struct plan_input in = out->in; /* the wishes are the caller's and end before the report */
    in.wishes = choice->wishes;
    in.n_wishes = choice->n_wishes;
    return plan_make(&in, mem, &out->plan, e);
}
