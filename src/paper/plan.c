#include "paper/plan.h"

#include <math.h>
#include <string.h>

#include "count/timecode.h"
#include "paper/plan_inner.h"

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

bool plan_in_block(const struct plan_block *b, const struct report_moment *m)
{
    return m->set >= b->first_set && m->set <= b->last_set;
}

int plan_marks_in(const struct plan_block *b, const struct plan_target *t)
{
    int n = 0;
    for (size_t i = 0; i < t->n_moments; i++)
        n += plan_in_block(b, &t->moments[i]);
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

void plan_walks_text(const struct plan_report *r, const struct plan_block *b, struct buf *out)
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
               r->show->faults[t->fault].name, plan_marks_in(b, t));
    for (size_t i = 0; i < t->n_moments && shown < MOMENTS; i++) {
        char time[24];
        if (!plan_in_block(b, &t->moments[i]))
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

static void put_assumed(const struct plan_rules *rules, struct buf *out)
{
    buf_printf(
        out,
        "Assumed, no source: at most %d thing%s said before a rep, and the rep mends %.0f %% "
        "of that (%.0f %% in a sectional); reset %d s (%d s), set-up of a block %d s. "
        "--say, --learn, --reset and --setup change them.\n",
        rules->say, rules->say == 1 ? " is" : "s are", 100 * rules->learn, 100 * rules->apart_learn,
        rules->reset_s, rules->apart_reset_s, rules->setup_s);
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
                   "\nGain %.1f of %.1f open: the severities of marks, to choose between plans. "
                   "What comes clean, the next clip shows.\n",
                   r->plan.gain, r->open_weight);
    if (r->plan.n_blocks > 0)
        put_assumed(&r->in.rules, out);
    if (r->plan.spare_s >= 60)
        buf_printf(out, "%d minutes are left over.\n", r->plan.spare_s / 60);
    put_left(r, out);
    buf_str(out, "\nCautions:\n");
    for (size_t i = 0; i < r->plan.n_cautions; i++)
        buf_printf(out, "  %s\n", r->plan.cautions[i]);
}
