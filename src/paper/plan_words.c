/* The words of a rep plan, the same on paper and on screen. */
#include <string.h>

#include "count/timecode.h"
#include "paper/plan_inner.h"
#include "plan/gather.h"

static const char *kind_name(enum plan_kind k)
{
    static const char *const names[] = {[PLAN_REP] = "rep",
                                        [PLAN_SECTIONAL] = "sectional",
                                        [PLAN_FIXED] = "fixed",
                                        [PLAN_BREAK] = "break",
                                        [PLAN_RUN] = "run"};
    return names[k];
}

const char *plan_block_kind(const struct plan_block *b)
{
    return b->kind == PLAN_FIXED && b->rest ? "rest" : kind_name(b->kind);
}

bool plan_on_paper(const struct plan_paper *p, const struct plan_block *b)
{
    bool theirs = b->kind != PLAN_SECTIONAL || !p->parts.at;
    for (size_t i = 0; p->parts.at && i < p->parts.n; i++)
        theirs |= b->group == p->parts.at[i];
    return theirs;
}

/* Is it a line of the text? */
static bool has_line(const char *text, const char *line)
{
    const size_t n = strlen(line);
    for (const char *s = text; *s; s += strcspn(s, "\n"), s += *s == '\n')
        if (strncmp(s, line, n) == 0 && (s[n] == '\n' || !s[n]))
            return true;
    return false;
}

bool plan_caution_theirs(const struct plan_paper *p, size_t caution)
{
    const struct plan *plan = &p->r->plan;
    bool others = false;
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        if (!b->cautions || !has_line(b->cautions, plan->cautions[caution]))
            continue;
        if (plan_on_paper(p, b))
            return true;
        others = true;
    }
    return !others;
}

void plan_sets_text(const struct plan_report *r, const struct plan_work *w, struct buf *out)
{
    for (int s = w->first_set; s <= w->last_set; s++)
        buf_printf(out, "%s%s", s > w->first_set ? " " : "", r->show->sets[s].label);
}

void plan_number_text(const struct plan_block *b, const struct plan_work *w, struct buf *out)
{
    buf_printf(out, w && w->parts > 1 ? "%d.%d" : "%d", b->number + 1, w ? w->part + 1 : 0);
}

/* --- what -------------------------------------------------------------------------------------- */

static void put_bpm(const struct plan_work *w, struct buf *out)
{
    if (w->bpm_low <= 0)
        return;
    if (w->bpm_low == w->bpm_high)
        buf_printf(out, " at %.0f", w->bpm_low);
    else
        buf_printf(out, " at %.0f-%.0f", w->bpm_low, w->bpm_high);
}

static void put_reps(const struct plan_work *w, struct buf *out)
{
    if (w->walk_s && w->reps == 1)
        buf_printf(out, ", 1 rep, walked at half tempo in %d:%02d", w->walk_s / 60, w->walk_s % 60);
    else
        buf_printf(out, ", %d rep%s of %d:%02d", w->reps, w->reps == 1 ? "" : "s", w->rep_s / 60,
                   w->rep_s % 60);
    if (w->walk_s && w->reps > 1)
        buf_printf(out, ", the first walked at half tempo in %d:%02d", w->walk_s / 60,
                   w->walk_s % 60);
}

void plan_what_text(const struct plan_report *r, const struct plan_work *w, struct buf *out)
{
    buf_str(out, "set ");
    plan_sets_text(r, w, out);
    buf_printf(out, ", %d counts", w->counts);
    put_bpm(w, out);
    put_reps(w, out);
    buf_str(out, w->kept ? " (kept)" : "");
}

void plan_times_text(const struct plan_report *r, const struct plan_work *w, struct buf *out)
{
    plan_sets_text(r, w, out);
    buf_printf(out, " ×%d", w->reps);
}

void plan_counts_text(const struct plan_report *r, const struct plan_work *w, struct buf *out)
{
    plan_sets_text(r, w, out);
    buf_printf(out, " (%d", w->counts);
    put_bpm(w, out);
    buf_char(out, ')');
}

void plan_short_text(const struct plan_report *r, const struct plan_work *w, struct buf *out)
{
    plan_counts_text(r, w, out);
    buf_printf(out, " ×%d", w->reps);
    buf_str(out, !w->walk_s ? "" : w->reps == 1 ? ", walked" : ", 1st walked");
    buf_str(out, w->kept ? ", kept" : "");
}

void plan_walks_text(const struct plan_report *r, const struct plan_work *w, struct buf *out)
{
    const size_t before = out->n;
    for (int s = w->first_set; s <= w->last_set && w->walk_s; s++)
        if (r->in.sets[s].walk && *r->in.sets[s].walk)
            buf_printf(out, "%sset %s: %s", out->n > before ? "; " : "", r->in.sets[s].label,
                       r->in.sets[s].walk);
}

/* --- why --------------------------------------------------------------------------------------- */

/* Chunks whose moments count. */
struct works {
    const struct plan_work *at;
    size_t n;
};

static bool in_works(const struct works *w, const struct report_moment *m)
{
    for (size_t i = 0; i < w->n; i++)
        if (plan_in_work(&w->at[i], m))
            return true;
    return false;
}

/* " 0:13.0 0:14.2 finals 0:20.1": the clip is named where there is more than one. */
static void put_moments(const struct plan_report *r, const struct works *w,
                        const struct plan_target *t, size_t most, struct buf *out)
{
    size_t shown = 0, last = 0;
    for (size_t i = 0; i < t->n_moments && (most == 0 || shown < most); i++) {
        const struct report_moment *m = &t->moments[i];
        char time[24];
        if (!in_works(w, m))
            continue;
        if (r->n_clips > 1 && (shown == 0 || m->at.clip != last))
            buf_printf(out, " %s", r->clips[m->at.clip].label);
        time_format_short(m->at.at_us, time);
        buf_printf(out, " %s", time);
        last = m->at.clip;
        shown++;
    }
}

bool plan_of_parts(const struct plan_report *r, const struct plan_parts *parts, int section)
{
    const struct show *show = r->show;
    for (size_t i = 0; parts->at && i < parts->n; i++)
        for (size_t s = 0; s < show->n_sections; s++)
            if (strcmp(show->sections[s].name, r->in.groups[parts->at[i]].name) == 0 &&
                section_within(show, (int)s, section))
                return true;
    return !parts->at;
}

static void put_fix(const struct plan_report *r, const struct works *w, const struct plan_why *how,
                    int fix, struct buf *out)
{
    const struct plan_target *t = &r->targets[fix];
    int marks = 0;
    for (size_t i = 0; i < t->n_moments; i++)
        marks += in_works(w, &t->moments[i]);
    if (how->named)
        buf_printf(out, "%s: ", r->show->sections[t->section].name);
    buf_printf(out, "%s (%d)", r->show->faults[t->fault].name, marks);
    put_moments(r, w, t, how->moments, out);
}

struct fix_list {
    const int *at;
    size_t n;
};

static void put_fixes(const struct plan_report *r, const struct works *w,
                      const struct plan_why *how, struct fix_list fixes, struct buf *out)
{
    size_t shown = 0, more = 0;
    for (size_t i = 0; i < fixes.n; i++) {
        if (!plan_of_parts(r, &how->parts, r->targets[fixes.at[i]].section))
            continue;
        if (how->fixes && shown == how->fixes) {
            more++;
            continue;
        }
        buf_str(out, shown++ ? "; " : "");
        put_fix(r, w, how, fixes.at[i], out);
    }
    if (more)
        buf_printf(out, "; and %zu more", more);
}

void plan_why_text(const struct plan_report *r, const struct plan_work *w, struct plan_why how,
                   struct buf *out)
{
    put_fixes(r, &(struct works){w, 1}, &how, (struct fix_list){w->fixes, w->n_fixes}, out);
}

void plan_block_why(const struct plan_report *r, const struct plan_block *b, struct plan_why how,
                    struct buf *out)
{
    put_fixes(r, &(struct works){b->list, b->n_list}, &how, (struct fix_list){b->fixes, b->n_fixes},
              out);
}

void plan_assumed_text(const struct plan_rules *rules, struct buf *out)
{
    static const char seen[] = " as this show's own rehearsals did";
    buf_printf(
        out,
        "Assumed, no source (plan --help: how to change it): at most %d thing%s said before "
        "a rep, and the rep mends %.0f %% of that%s; %.0f %% in a sectional%s, where what is "
        "mended counts %.2g of what is mended with everyone; ",
        rules->say, rules->say == 1 ? " is" : "s are", 100 * rules->learn,
        rules->learn_seen ? seen : "", 100 * rules->apart_learn,
        rules->apart_learn_seen ? seen : "", rules->apart_worth);
    buf_printf(out,
               "a minute must mend %.2g of severity; a repped mark counts %.2g, a clean one "
               "nothing; reset %d s (%d s), set-up %d s. Each rep mends the same share of what is "
               "left, as practice does (Heathcote and others 2000).",
               rules->worth, PLAN_REPPED_COUNTS, rules->reset_s, rules->apart_reset_s,
               rules->setup_s);
}
