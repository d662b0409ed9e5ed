/* The columns of a rep plan's blocks and of what a sectional has in its list. */
#include "paper/json.h"
#include "paper/plan_inner.h"
#include "paper/table.h"

json_t *plan_target_json(const struct plan_report *r, const struct plan_target *t, int marks)
{
    json_t *o = json_object();
    json_object_set_new(o, "target", json_text(r->show->sections[t->section].name));
    json_object_set_new(o, "fault", json_text(r->show->faults[t->fault].name));
    json_object_set_new(o, "marks", json_integer(marks));
    return o;
}

static json_t *work_moments(const struct plan_report *r, const struct plan_work *w,
                            const struct plan_target *t)
{
    json_t *list = json_array();
    struct buf link = {0};
    for (size_t i = 0; i < t->n_moments; i++) {
        const struct report_moment *m = &t->moments[i];
        if (!plan_in_work(w, m))
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

static bool block(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->b->number + 1;
    return true;
}

static void tick(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    plan_number_text(l->b, l->w, out);
}

static void tick_block(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    plan_number_text(l->b, NULL, out);
}

static void start(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    char clock[24];
    buf_str(out, plan_clock(l->r->plan.start_min, l->b->start_s, clock));
}

static bool start_s(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->b->start_s;
    return true;
}

static bool seconds(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->b->seconds;
    return true;
}

static void kind(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    buf_str(out, plan_block_kind(l->b));
}

static void name(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    buf_str(out, l->b->name);
}

static bool nobody(const struct plan_block *b)
{
    return b->kind == PLAN_FIXED || b->kind == PLAN_BREAK;
}

static void who(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    buf_str(out, nobody(l->b) ? l->b->name : plan_who(l->r, l->b->group));
}

static void who_json(const void *row, json_t *o)
{
    const struct plan_line *l = row;
    json_t *who = json_array();
    json_array_append_new(who, json_text(plan_who(l->r, l->b->group)));
    json_object_set_new(o, "who", who);
}

static void sets(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    if (l->w)
        plan_sets_text(l->r, l->w, out);
}

static void sets_json(const void *row, json_t *o)
{
    const struct plan_line *l = row;
    json_t *sets = json_array();
    for (int s = l->w ? l->w->first_set : 0; l->w && s <= l->w->last_set; s++)
        json_array_append_new(sets, json_text(l->r->show->sets[s].label));
    json_object_set_new(o, "sets", sets);
}

static bool counts(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->counts : 0;
    return l->w;
}

static bool bpm(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->bpm_low : 0;
    return l->w && l->w->bpm_low > 0;
}

static bool reps(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->reps : 0;
    return l->w;
}

static bool rep_seconds(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->rep_s : 0;
    return l->w;
}

static bool gain(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->gain : 0;
    return l->w;
}

static void gain_json(const void *row, json_t *o)
{
    const struct plan_line *l = row;
    json_object_set_new(o, "gain", json_real(l->w ? l->w->gain : 0));
}

static void worked(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    for (size_t k = 0; l->w && k < l->w->n_fixes; k++)
        buf_printf(out, "%s%s", k ? "; " : "", l->r->in.items[l->w->fixes[k]].name);
}

static json_t *work_fixes(const struct plan_report *r, const struct plan_work *w)
{
    json_t *fixes = json_array();
    for (size_t i = 0; w && i < w->n_fixes; i++) {
        const struct plan_target *t = &r->targets[w->fixes[i]];
        json_t *f = plan_target_json(r, t, plan_marks_in(w, t));
        json_object_set_new(f, "moments", work_moments(r, w, t));
        json_array_append_new(fixes, f);
    }
    return fixes;
}

static void worked_json(const void *row, json_t *o)
{
    const struct plan_line *l = row;
    json_object_set_new(o, "fixes", work_fixes(l->r, l->w));
}

static bool setup_seconds(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->setup_s : 0;
    return l->w;
}

static bool walk_seconds(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->w ? l->w->walk_s : 0;
    return l->w && l->w->walk_s != 0;
}

static void walk_first(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    if (l->w)
        plan_walks_text(l->r, l->w, out);
}

static void begins(const void *row, struct buf *out)
{
    const struct plan_line *l = row;
    char clock[24];
    buf_str(out, plan_clock(l->r->plan.start_min, l->w ? l->w->start_s : l->b->start_s, clock));
}

const struct column plan_columns[] = {
    {.name = "block", .kind = COLUMN_WHOLE, .where = IN_CSV, .number = block, .help = "its number"},
    {.name = "start", .where = IN_BOTH, .cell = start, .help = "time of day of the block"},
    {.name = "start_s",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = start_s,
     .help = "seconds from the beginning"},
    {.name = "seconds",
     .kind = COLUMN_WHOLE,
     .where = IN_BOTH,
     .number = seconds,
     .help = "how long the block takes"},
    {.name = "kind",
     .where = IN_BOTH,
     .cell = kind,
     .help = "rep, sectional, fixed, rest, break or run"},
    {.name = "name",
     .where = IN_JSON,
     .cell = name,
     .help = "of what is fixed or run, or what a section does that has nothing to mend"},
    {.name = "who",
     .where = IN_CSV,
     .cell = who,
     .help = "who rehearses, or what is fixed; a sectional has a row for each of its chunks"},
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
    {.name = "begins",
     .where = IN_BOTH,
     .cell = begins,
     .help = "time of day of its set-up, in a sectional its own"},
    {.name = "tick", .where = IN_BOTH, .cell = tick, .help = "what boxcall tick calls it: 3, 3.2"},
    {.name = "gain", .where = IN_JSON, .json = gain_json, .help = ""},
    {.name = "fixes", .where = IN_JSON, .json = worked_json, .help = ""},
    {.name = NULL},
};

void plan_csv(const struct plan_paper *p, struct buf *out)
{
    const struct plan_report *r = p->r;
    table_csv_head(plan_columns, out);
    for (size_t i = 0; i < r->plan.n_blocks; i++) {
        const struct plan_block *b = &r->plan.blocks[i];
        const size_t n = plan_on_paper(p, b) ? b->n_list : 0;
        for (size_t k = 0; k < n; k++)
            table_csv_row(plan_columns, &(struct plan_line){r, i, b, &b->list[k]}, out);
        if (b->n_list == 0 && plan_on_paper(p, b))
            table_csv_row(plan_columns, &(struct plan_line){r, i, b, NULL}, out);
    }
}

/* --- a sectional's own list --------------------------------------------------------------------- */

static const struct column plan_list_columns[] = {
    {.name = "tick", .where = IN_JSON, .cell = tick, .help = "what boxcall tick calls it: 3, 3.2"},
    {.name = "begins", .where = IN_JSON, .cell = begins, .help = "time of day of its set-up"},
    {.name = "sets", .where = IN_JSON, .json = sets_json, .help = "the sets that are run"},
    {.name = "counts",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = counts,
     .help = "of all its sets"},
    {.name = "bpm",
     .kind = COLUMN_NUMBER,
     .where = IN_JSON,
     .number = bpm,
     .help = "the slowest written tempo"},
    {.name = "reps", .kind = COLUMN_WHOLE, .where = IN_JSON, .number = reps, .help = "how many"},
    {.name = "seconds_per_rep",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = rep_seconds,
     .help = "playing and going back"},
    {.name = "seconds_setup",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = setup_seconds,
     .help = "before its first rep"},
    {.name = "seconds_walked",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = walk_seconds,
     .help = "the first rep, walked at half tempo"},
    {.name = "walk_first",
     .kind = COLUMN_MAYBE,
     .where = IN_JSON,
     .cell = walk_first,
     .help = "why it is walked first"},
    {.name = "gain", .where = IN_JSON, .json = gain_json, .help = "weight it should mend"},
    {.name = "fixes", .where = IN_JSON, .json = worked_json, .help = "what is worked on"},
    {.name = NULL},
};

static void list_json(const void *row, json_t *o)
{
    const struct plan_line *l = row;
    json_t *list = json_array();
    for (size_t k = 0; k < l->b->n_list; k++)
        json_array_append_new(
            list, table_json(plan_list_columns,
                             &(struct plan_line){l->r, l->number, l->b, &l->b->list[k]}));
    json_object_set_new(o, "list", list);
}

/* Each fix once, with its moments of all chunks. */
static void all_fixes_json(const void *row, json_t *o)
{
    const struct plan_line *l = row;
    json_t *fixes = json_array();
    for (size_t i = 0; i < l->b->n_fixes; i++) {
        const struct plan_target *t = &l->r->targets[l->b->fixes[i]];
        json_t *moments = json_array();
        int marks = 0;
        for (size_t k = 0; k < l->b->n_list; k++) {
            json_t *some = work_moments(l->r, &l->b->list[k], t);
            marks += plan_marks_in(&l->b->list[k], t);
            json_array_extend(moments, some);
            json_decref(some);
        }
        json_t *f = plan_target_json(l->r, t, marks);
        json_object_set_new(f, "moments", moments);
        json_array_append_new(fixes, f);
    }
    json_object_set_new(o, "fixes", fixes);
}

static bool all_reps(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->b->reps;
    return true;
}

static bool all_gain(const void *row, double *out)
{
    const struct plan_line *l = row;
    *out = l->b->gain;
    return true;
}

const struct column plan_sectional_columns[] = {
    {.name = "tick", .where = IN_JSON, .cell = tick_block, .help = "what boxcall tick calls it"},
    {.name = "start", .where = IN_JSON, .cell = start, .help = "the same for every section"},
    {.name = "start_s",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = start_s,
     .help = "seconds from the beginning"},
    {.name = "seconds",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = seconds,
     .help = "the same for every section"},
    {.name = "kind", .where = IN_JSON, .cell = kind, .help = "sectional"},
    {.name = "name",
     .where = IN_JSON,
     .cell = name,
     .help = "what it does when it has nothing to mend"},
    {.name = "who", .where = IN_JSON, .json = who_json, .help = "the section"},
    {.name = "list", .where = IN_JSON, .json = list_json, .help = "its chunks in order"},
    {.name = "reps",
     .kind = COLUMN_WHOLE,
     .where = IN_JSON,
     .number = all_reps,
     .help = "of its whole list"},
    {.name = "gain",
     .kind = COLUMN_NUMBER,
     .where = IN_JSON,
     .number = all_gain,
     .help = "of its whole list"},
    {.name = "fixes",
     .where = IN_JSON,
     .json = all_fixes_json,
     .help = "of its whole list, each once"},
    {.name = NULL},
};
