#include "paper/plan.h"

#include <math.h>
#include <string.h>

#include "count/timecode.h"
#include "paper/json.h"

const char *plan_kind_name(enum plan_kind k)
{
    static const char *const names[] = {[PLAN_REP] = "rep",
                                        [PLAN_SECTIONAL] = "sectional",
                                        [PLAN_FIXED] = "fixed",
                                        [PLAN_BREAK] = "break"};
    return names[k];
}

const char *plan_block_kind(const struct plan_block *b)
{
    return b->kind == PLAN_FIXED && b->rest ? "rest" : plan_kind_name(b->kind);
}

void plan_sets_text(const struct plan_report *r, const struct plan_block *b, struct buf *out)
{
    for (int s = b->first_set; s >= 0 && s <= b->last_set; s++)
        buf_printf(out, "%s%s", s > b->first_set ? " " : "", r->show->sets[s].label);
}

static bool in_block(const struct plan_block *b, const struct report_moment *m)
{
    return m->set >= b->first_set && m->set <= b->last_set;
}

static int marks_in(const struct plan_block *b, const struct plan_target *t)
{
    int n = 0;
    for (size_t i = 0; i < t->n_moments; i++)
        n += in_block(b, &t->moments[i]);
    return n;
}

/* --- text ------------------------------------------------------------------------------------ */

static void put_bpm(const struct plan_block *b, struct buf *out)
{
    if (b->bpm_low <= 0)
        return;
    if (b->bpm_low == b->bpm_high)
        buf_printf(out, " at %.0f", b->bpm_low);
    else
        buf_printf(out, " at %.0f-%.0f", b->bpm_low, b->bpm_high);
}

static void put_reps(const struct plan_block *b, struct buf *out)
{
    if (b->walk_s && b->reps == 1)
        buf_printf(out, ", 1 rep, walked at half tempo in %d:%02d", b->walk_s / 60, b->walk_s % 60);
    else
        buf_printf(out, ", %d rep%s of %d:%02d", b->reps, b->reps == 1 ? "" : "s", b->rep_s / 60,
                   b->rep_s % 60);
    if (b->walk_s && b->reps > 1)
        buf_printf(out, ", the first walked at half tempo in %d:%02d", b->walk_s / 60,
                   b->walk_s % 60);
}

/* Why the block's sets are walked first: "set 2: T1 and M4 come within ...". */
static void put_walks(const struct plan_report *r, const struct plan_block *b, struct buf *out)
{
    for (int s = b->first_set; s >= 0 && s <= b->last_set && b->walk_s; s++)
        if (r->in.sets[s].walk && *r->in.sets[s].walk)
            buf_printf(out, "%sset %s: %s", out->n ? "; " : "", r->in.sets[s].label,
                       r->in.sets[s].walk);
}

static void put_fix(const struct plan_report *r, const struct plan_block *b, int item,
                    struct buf *out)
{
    const struct plan_target *t = &r->targets[item];
    enum { MOMENTS = 3 };
    int shown = 0;
    buf_printf(out, "          %s: %s (%d)", r->show->sections[t->section].name,
               r->show->faults[t->fault].name, marks_in(b, t));
    for (size_t i = 0; i < t->n_moments && shown < MOMENTS; i++) {
        char time[24];
        if (!in_block(b, &t->moments[i]))
            continue;
        time_format_short(t->moments[i].at.at_us, time);
        buf_printf(out, "%s%s %s", shown++ ? ", " : "  watch ",
                   r->clips[t->moments[i].at.clip].label, time);
    }
    buf_char(out, '\n');
}

static void put_block(const struct plan_report *r, size_t number, const struct plan_block *b,
                      struct buf *out)
{
    char clock[24];
    plan_clock(r->plan.start_min, b->start_s, clock);
    buf_printf(out, "%3zu  %-6s %3d:%02d  ", number, clock, b->seconds / 60, b->seconds % 60);
    if (b->kind == PLAN_BREAK) {
        buf_str(out, "water and rest\n");
        return;
    }
    if (b->kind == PLAN_FIXED) {
        buf_printf(out, "%s\n", b->name);
        return;
    }
    buf_printf(out, "%s: set ", plan_who(r, b->group));
    plan_sets_text(r, b, out);
    buf_printf(out, ", %d counts", b->counts);
    put_bpm(b, out);
    put_reps(b, out);
    buf_str(out, b->kept ? " (kept)\n" : "\n");
    for (size_t i = 0; i < b->n_fixes; i++)
        put_fix(r, b, b->fixes[i], out);
}

static void put_left(const struct plan_report *r, struct buf *out)
{
    bool any = false;
    for (size_t i = 0; i < r->in.n_items; i++) {
        const char *why = plan_left_text(r->plan.outcomes[i].left);
        if (!*why)
            continue;
        if (!any)
            buf_str(out, "\nLeft for another day:\n");
        any = true;
        buf_printf(out, "  %s (%d): %s\n", r->in.items[i].name, r->targets[i].marks, why);
    }
    for (size_t i = 0; i < r->n_unplaced; i++)
        buf_printf(out, "%s  %s: %s (%d): its moments are not tied to a set\n",
                   any || i ? "" : "\nLeft for another day:\n",
                   r->show->sections[r->unplaced[i].section].name,
                   r->show->faults[r->unplaced[i].fault].name, r->unplaced[i].marks);
}

void plan_text(const struct plan_report *r, struct buf *out)
{
    char start[24], end[24];
    plan_clock(r->plan.start_min, 0, start);
    plan_clock(r->plan.start_min, r->plan.seconds, end);
    if (r->heat.closed)
        for (size_t i = 0; i < r->plan.n_cautions && r->plan.n_blocks == 0; i++)
            buf_printf(out, "%s\n", r->plan.cautions[i]);
    buf_printf(out, "Rep plan   %s   %s, %s to %s\n", r->title, r->date, start, end);
    buf_str(out, r->heat_words);
    buf_char(out, '\n');
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        put_block(r, i + 1, &r->plan.blocks[i], out);
    if (r->plan.weight > 0)
        buf_printf(out,
                   "\nGain %.1f of %.1f: with these reps about %.0f %% of what is open should "
                   "come clean (a rep mends %.0f %% of what is left; set it with --learn).\n",
                   r->plan.gain, r->plan.weight, 100 * r->plan.gain / r->plan.weight,
                   100 * r->in.rules.learn);
    if (r->plan.spare_s >= 60)
        buf_printf(out, "%d minutes are left over.\n", r->plan.spare_s / 60);
    put_left(r, out);
    buf_str(out, "\nCautions:\n");
    for (size_t i = 0; i < r->plan.n_cautions; i++)
        buf_printf(out, "  %s\n", r->plan.cautions[i]);
}

/* --- csv ------------------------------------------------------------------------------------- */

void plan_csv(const struct plan_report *r, struct buf *out)
{
    struct buf cell = {0};
    char clock[24];
    buf_str(out, "block,start,seconds,kind,who,sets,counts,bpm,reps,seconds_per_rep,gain,fixes,"
                 "seconds_walked,walk_first\r\n");
    for (size_t i = 0; i < r->plan.n_blocks; i++) {
        const struct plan_block *b = &r->plan.blocks[i];
        bool reps = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
        buf_printf(out, "%zu,%s,%d,%s,", i + 1, plan_clock(r->plan.start_min, b->start_s, clock),
                   b->seconds, plan_block_kind(b));
        csv_cell(out, reps ? plan_who(r, b->group) : b->name, true);
        buf_clear(&cell);
        if (reps)
            plan_sets_text(r, b, &cell);
        csv_cell(out, buf_text(&cell), false);
        if (reps)
            buf_printf(out, ",%d,%.6g,%d,%d,%.4f", b->counts, b->bpm_low, b->reps, b->rep_s,
                       b->gain);
        else
            buf_str(out, ",,,,,");
        buf_clear(&cell);
        for (size_t k = 0; k < b->n_fixes; k++)
            buf_printf(&cell, "%s%s", k ? "; " : "", r->in.items[b->fixes[k]].name);
        csv_cell(out, buf_text(&cell), false);
        buf_clear(&cell);
        put_walks(r, b, &cell);
        if (b->walk_s)
            buf_printf(out, ",%d", b->walk_s);
        else
            buf_char(out, ',');
        csv_cell(out, buf_text(&cell), false);
        csv_end(out);
    }
    buf_free(&cell);
}

/* --- json ------------------------------------------------------------------------------------ */

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
        if (!in_block(b, m))
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

static json_t *block_object(const struct plan_report *r, const struct plan_block *b)
{
    json_t *o = json_object(), *who = json_array(), *sets = json_array(), *fixes = json_array();
    bool reps = b->kind == PLAN_REP || b->kind == PLAN_SECTIONAL;
    char clock[24];
    struct buf walk = {0};
    json_array_append_new(who, json_text(plan_who(r, b->group)));
    for (int s = b->first_set; reps && s <= b->last_set; s++)
        json_array_append_new(sets, json_text(r->show->sets[s].label));
    for (size_t i = 0; i < b->n_fixes; i++) {
        const struct plan_target *t = &r->targets[b->fixes[i]];
        json_t *f = target_object(r, t, marks_in(b, t));
        json_object_set_new(f, "moments", block_moments(r, b, t));
        json_array_append_new(fixes, f);
    }
    json_object_set_new(o, "start", json_text(plan_clock(r->plan.start_min, b->start_s, clock)));
    json_object_set_new(o, "start_s", json_integer(b->start_s));
    json_object_set_new(o, "seconds", json_integer(b->seconds));
    json_object_set_new(o, "kind", json_text(plan_block_kind(b)));
    json_object_set_new(o, "name", json_text(b->name));
    json_object_set_new(o, "who", who);
    json_object_set_new(o, "sets", sets);
    json_object_set_new(o, "counts", reps ? json_integer(b->counts) : json_null());
    json_object_set_new(o, "bpm", reps && b->bpm_low > 0 ? json_real(b->bpm_low) : json_null());
    json_object_set_new(o, "reps", reps ? json_integer(b->reps) : json_null());
    json_object_set_new(o, "seconds_per_rep", reps ? json_integer(b->rep_s) : json_null());
    put_walks(r, b, &walk);
    json_object_set_new(o, "seconds_walked", b->walk_s ? json_integer(b->walk_s) : json_null());
    json_object_set_new(o, "walk_first", b->walk_s ? json_text(buf_text(&walk)) : json_null());
    buf_free(&walk);
    json_object_set_new(o, "gain", json_real(reps ? b->gain : 0));
    json_object_set_new(o, "fixes", fixes);
    return o;
}

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

void plan_json(const struct plan_report *r, struct buf *out)
{
    json_t *root = json_object(), *blocks = json_array();
    struct buf caution = {0};
    char start[24];
    for (size_t i = 0; i < r->plan.n_blocks; i++)
        json_array_append_new(blocks, block_object(r, &r->plan.blocks[i]));
    for (size_t i = 0; i < r->plan.n_cautions; i++)
        buf_printf(&caution, "%s%s", i ? " " : "", r->plan.cautions[i]);
    json_object_set_new(root, "show", json_text(r->title));
    json_object_set_new(root, "date", json_text(r->date));
    json_object_set_new(root, "start", json_text(plan_clock(r->plan.start_min, 0, start)));
    json_object_set_new(root, "minutes", json_integer(r->plan.seconds / 60));
    json_object_set_new(root, "gain", json_real(r->plan.gain));
    json_object_set_new(root, "weight", json_real(r->plan.weight));
    json_object_set_new(root, "blocks", blocks);
    json_object_set_new(root, "left", left_list(r));
    json_object_set_new(root, "heat", heat_object(&r->heat));
    json_object_set_new(root, "caution", json_text(buf_text(&caution)));
    buf_free(&caution);
    json_put(root, out);
}
