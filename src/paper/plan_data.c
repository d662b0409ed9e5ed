/* The rep plan's blocks as CSV and JSON, a row for each column. */
#include <math.h>

#include "paper/json.h"
#include "paper/plan_inner.h"
#include "paper/table.h"

static json_t *target_object(const struct plan_report *r, const struct plan_target *t, int marks)
{
    json_t *o = json_object();
    json_object_set_new(o, "target", json_text(r->show->sections[t->section].name));
    json_object_set_new(o, "fault", json_text(r->show->faults[t->fault].name));
    json_object_set_new(o, "marks", json_integer(marks));
    return o;
}

static json_t *block_moments(const struct plan_report *r, const struct plan_block *b,
                             const struct plan_target *t)
{
    json_t *list = json_array();
    struct buf link = {0};
    for (size_t i = 0; i < t->n_moments; i++) {
        const struct report_moment *m = &t->moments[i];
        if (!plan_in_block(b, m))
            continue;
        buf_clear(&link);
        moment_link(r->clips[m->at.clip].link, m->at.at_us, &link);
        json_array_append_new(list, json_pack("{s:o,s:I,s:o,s:s}", "clip",
                                              json_text(r->clips[m->at.clip].label), "ms",
                                              (json_int_t)((m->at.at_us + 500) / 1000), "set",
                                              json_set(r->show, m->set), "link", buf_text(&link)));
    }
    buf_free(&link);
    return list;
}

/* --- columns --------------------------------------------------------------------------------- */

struct line {
    const struct plan_report *r;
    size_t number; /* from 0 */
    const struct plan_block *b;
};

static bool reps_in(const struct line *l)
{
    return l->b->kind == PLAN_REP || l->b->kind == PLAN_SECTIONAL;
}

static bool block(const void *row, double *out)
{
    const struct line *l = row;
    *out = (double)l->number + 1;
    return true;
}

static void start(const void *row, struct buf *out)
{
    const struct line *l = row;
    char clock[24];
    buf_str(out, plan_clock(l->r->plan.start_min, l->b->start_s, clock));
}

static bool start_s(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->start_s;
    return true;
}

static bool seconds(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->seconds;
    return true;
}

static void kind(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, plan_block_kind(l->b));
}

static void name(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, l->b->name);
}

static void who(const void *row, struct buf *out)
{
    const struct line *l = row;
    buf_str(out, reps_in(l) ? plan_who(l->r, l->b->group) : l->b->name);
}

static void who_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_t *who = json_array();
    json_array_append_new(who, json_text(plan_who(l->r, l->b->group)));
    json_object_set_new(o, "who", who);
}

static void sets(const void *row, struct buf *out)
{
    const struct line *l = row;
    if (reps_in(l))
        plan_sets_text(l->r, l->b, out);
}

static void sets_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_t *sets = json_array();
    for (int s = l->b->first_set; reps_in(l) && s <= l->b->last_set; s++)
        json_array_append_new(sets, json_text(l->r->show->sets[s].label));
    json_object_set_new(o, "sets", sets);
}

static bool counts(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->counts;
    return reps_in(l);
}

static bool bpm(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->bpm_low;
    return reps_in(l) && l->b->bpm_low > 0;
}

static bool reps(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->reps;
    return reps_in(l);
}

static bool rep_seconds(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->rep_s;
    return reps_in(l);
}

static bool gain(const void *row, double *out)
{
    const struct line *l = row;
    *out = reps_in(l) ? l->b->gain : 0;
    return reps_in(l);
}

static void gain_json(const void *row, json_t *o)
{
    const struct line *l = row;
    double x;
    gain(l, &x);
    json_object_set_new(o, "gain", json_real(x));
}

static void worked(const void *row, struct buf *out)
{
    const struct line *l = row;
    for (size_t k = 0; k < l->b->n_fixes; k++)
        buf_printf(out, "%s%s", k ? "; " : "", l->r->in.items[l->b->fixes[k]].name);
}

static void worked_json(const void *row, json_t *o)
{
    const struct line *l = row;
    json_t *fixes = json_array();
    for (size_t i = 0; i < l->b->n_fixes; i++) {
        const struct plan_target *t = &l->r->targets[l->b->fixes[i]];
        json_t *f = target_object(l->r, t, plan_marks_in(l->b, t));
        json_object_set_new(f, "moments", block_moments(l->r, l->b, t));
        json_array_append_new(fixes, f);
    }
    json_object_set_new(o, "fixes", fixes);
}

static bool setup_seconds(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->setup_s;
    return reps_in(l);
}

static bool walk_seconds(const void *row, double *out)
{
    const struct line *l = row;
    *out = l->b->walk_s;
    return l->b->walk_s != 0;
}

static void walk_first(const void *row, struct buf *out)
{
    const struct line *l = row;
    plan_walks_text(l->r, l->b, out);
}

const struct column plan_columns[] = {
    {.name = "block", .kind = COLUMN_WHOLE, .where = IN_CSV, .number = block, .help = "its number"},
    {.name = "start", .where = IN_BOTH, .cell = start, .help = "time of day"},
    {.name = "start_s",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = start_s,
     .help = "seconds from the beginning"},
    {.name = "seconds",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = seconds,
     .help = "how long it takes"},
    {.name = "kind",
     .where = IN_BOTH,
     .cell = kind,
     .help = "rep, sectional, fixed, rest or break"},
    {.name = "name", .where = IN_JSON, .cell = name, .help = "of what is fixed"},
    {.name = "who", .where = IN_CSV, .cell = who, .help = "who rehearses, or what is fixed"},
    {.name = "who", .where = IN_JSON, .json = who_json, .help = ""},
    {.name = "sets", .where = IN_CSV, .cell = sets, .help = "the sets that are run"},
    {.name = "sets", .where = IN_JSON, .json = sets_json, .help = ""},
    {.name = "counts",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = counts,
     .help = "of all its sets"},
    {.name = "bpm",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = bpm,
     .format = "%.6g",
     .help = "the slowest written tempo; empty where none is known"},
    {.name = "reps", .kind = COLUMN_WHOLE, .where = IN_BOTH, .number = reps, .help = "how many"},
    {.name = "seconds_per_rep",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = rep_seconds,
     .help = "playing and going back"},
    {.name = "gain",
     .kind = COLUMN_NUMBER,
     .where = IN_CSV,
     .number = gain,
     .format = "%.4f",
     .help = "weight of marks that it should mend"},
    {.name = "fixes", .where = IN_CSV, .cell = worked, .help = "what is worked on"},
    {.name = "seconds_walked",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = walk_seconds,
     .help = "the first rep, walked at half tempo"},
    {.name = "walk_first",
     .kind = COLUMN_MAYBE,
     .where = IN_BOTH,
     .cell = walk_first,
     .help = "why it is walked first"},
    {.name = "seconds_setup",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = setup_seconds,
     .help = "before its first rep: the walk there, what is wanted"},
    {.name = "gain", .where = IN_JSON, .json = gain_json, .help = ""},
    {.name = "fixes", .where = IN_JSON, .json = worked_json, .help = ""},
    {.name = NULL},
};

void plan_csv(const struct plan_report *r, struct buf *out)
{
    table_csv_head(plan_columns, out);
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        table_csv_row(plan_columns, &(struct line){r, i, &r->plan.blocks[i]}, out);
}

/* --- json ------------------------------------------------------------------------------------ */

static json_t *left_list(const struct plan_report *r)
{
    json_t *list = json_array();
    for (size_t i = 0; i < r->in.n_items; i++) {
        const char *why = plan_left_text(r->plan.outcomes[i].left);
        if (!*why)
            continue;
        json_t *o = target_object(r, &r->targets[i], r->targets[i].marks);
        json_object_set_new(o, "why", json_text(why));
        json_array_append_new(list, o);
    }
    for (size_t i = 0; i < r->n_unplaced; i++) {
        json_t *o = target_object(r, &r->unplaced[i], r->unplaced[i].marks);
        json_object_set_new(o, "why", json_text("its moments are not tied to a set"));
        json_array_append_new(list, o);
    }
    return list;
}

static json_t *heat_object(const struct plan_heat *h)
{
    if (!h->indexed && !h->measured)
        return json_null();
    json_t *o = json_object();
    json_object_set_new(o, "index_f",
                        h->indexed && !isnan(h->index_f) ? json_real(h->index_f) : json_null());
    json_object_set_new(o, "category", h->indexed ? json_text(h->category) : json_null());
    json_object_set_new(o, "wbgt_f", h->measured ? json_real(h->wbgt_f) : json_null());
    json_object_set_new(o, "policy", h->measured ? json_text(h->policy) : json_null());
    json_object_set_new(o, "outdoors", h->measured ? json_boolean(!h->closed) : json_null());
    return o;
}

static json_t *assumed_object(const struct plan_rules *rules)
{
    json_t *o = json_object();
    json_object_set_new(o, "say", json_integer(rules->say));
    json_object_set_new(o, "learn", json_real(rules->learn));
    json_object_set_new(o, "learn_sectional", json_real(rules->apart_learn));
    json_object_set_new(o, "reset_s", json_integer(rules->reset_s));
    json_object_set_new(o, "reset_sectional_s", json_integer(rules->apart_reset_s));
    json_object_set_new(o, "setup_s", json_integer(rules->setup_s));
    json_object_set_new(o, "gather_s", json_integer(rules->gather_s));
    return o;
}

void plan_json(const struct plan_report *r, struct buf *out)
{
    json_t *root = json_object(), *blocks = json_array();
    struct buf caution = {0};
    char start[24];
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        json_array_append_new(blocks,
                              table_json(plan_columns, &(struct line){r, i, &r->plan.blocks[i]}));
    for (size_t i = 0; i < r->plan.n_cautions; i++)
        buf_printf(&caution, "%s%s", i ? " " : "", r->plan.cautions[i]);
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "date", json_text(r->date));
    json_object_set_new(root, "start", json_text(plan_clock(r->plan.start_min, 0, start)));
    json_object_set_new(root, "minutes", json_integer(r->plan.seconds / 60));
    json_object_set_new(root, "gain", json_real(r->plan.gain));
    json_object_set_new(root, "weight", json_real(r->plan.weight));
    json_object_set_new(root, "open_weight", json_real(r->open_weight));
    json_object_set_new(root, "assumed", assumed_object(&r->in.rules));
    json_object_set_new(root, "blocks", blocks);
    json_object_set_new(root, "left", left_list(r));
    json_object_set_new(root, "heat", heat_object(&r->heat));
    json_object_set_new(root, "caution", json_text(buf_text(&caution)));
    buf_free(&caution);
    json_put(root, out);
}
