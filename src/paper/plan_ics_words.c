/* What a calendar says of a block of the rep plan: only what is stored with the plan, so that the
 * words stay the same while marks come and go. */
#include <string.h>

#include "base/utf8.h"
#include "paper/plan_ics.h"

static const char *label(const struct plan_report *r, int set)
{
    return r->show->sets[set].label;
}

/* One line; a tab would come out as an escape that RFC 5545 does not have. */
static void tame(struct buf *text, bool lines)
{
    struct buf kept = {0};
    for (size_t i = 0; i < text->n; i++)
        if (text->p[i] == '\t' || (text->p[i] == '\n' && !lines))
            buf_char(&kept, ' ');
        else if (text->p[i] != '\r' || text->p[i + 1] != '\n')
            buf_char(&kept, text->p[i]);
    if (kept.n)
        tame_lines(&kept);
    buf_free(text);
    *text = kept;
}

/* "late arrival, horn angle and 2 more": faults of the paper's groups, each once. */
static void put_faults(const struct plan_paper *p, const struct plan_block *b, struct buf *out)
{
    int said[2], n = 0, more = 0;
    for (size_t i = 0; i < b->n_fixes; i++) {
        const struct plan_target *t = &p->r->targets[b->fixes[i]];
        bool again = !plan_of_parts(p->r, &p->parts, t->section);
        for (int k = 0; k < n; k++)
            again |= said[k] == t->fault;
        if (again)
            continue;
        if (n == 2) {
            more = 1;
            break;
        }
        buf_printf(out, "%s%s", n ? ", " : ": ", p->r->show->faults[t->fault].name);
        said[n++] = t->fault;
    }
    buf_str(out, more ? " ..." : "");
}

void plan_ics_summary(const struct plan_paper *p, const struct plan_block *b, struct buf *out)
{
    const struct plan_work *w = b->n_list ? &b->list[0] : NULL;
    const struct plan_title t = {
        .kind = (int)b->kind,
        .name = b->kind == PLAN_SECTIONAL ? plan_who(p->r, b->group) : b->name,
        .first = w ? label(p->r, w->first_set) : "",
        .last = w ? label(p->r, w->last_set) : "",
    };
    plan_title_text(&t, out);
    if (b->kind == PLAN_REP)
        put_faults(p, b, out);
    tame(out, false);
}

/* "To mend: trumpets: late arrival, horn angle; tubas: interval." */
static void put_mend(const struct plan_paper *p, const struct plan_work *w, bool named,
                     struct buf *out)
{
    int of = -1;
    for (size_t i = 0; i < w->n_fixes; i++) {
        const struct plan_target *t = &p->r->targets[w->fixes[i]];
        bool first = true;
        if (!plan_of_parts(p->r, &p->parts, t->section))
            continue;
        for (size_t k = 0; k < i; k++) /* its section was said with the first of its faults */
            first &= p->r->targets[w->fixes[k]].section != t->section;
        if (named && !first)
            continue;
        buf_str(out, of < 0 ? "\nTo mend: " : "; ");
        of = t->section;
        buf_printf(out, named ? "%s: " : "", p->r->show->sections[of].name);
        buf_str(out, p->r->show->faults[t->fault].name);
        for (size_t k = i + 1; named && k < w->n_fixes; k++)
            if (p->r->targets[w->fixes[k]].section == of)
                buf_printf(out, ", %s", p->r->show->faults[p->r->targets[w->fixes[k]].fault].name);
    }
    if (of < 0 && p->parts.at)
        buf_printf(out, "\nNothing of %s is marked here.", p->of);
}

/* "\n18:24 " */
static void put_clock(const struct plan_calendar *c, int at_s, struct buf *out)
{
    const int64_t at = plan_ics_moment(c, c->paper->r->plan.start_min, at_s);
    const struct civil clock = civil_of(plan_ics_shown(c, at));
    buf_printf(out, "%s%d:%02d ", out->n ? "\n" : "", clock.hour, clock.minute);
}

/* "block 3.2: " */
static void put_number(const struct plan_block *b, const struct plan_work *w, struct buf *out)
{
    buf_str(out, "block ");
    plan_number_text(b, w, out);
    buf_str(out, ": ");
}

static void put_work(const struct plan_calendar *c, const struct plan_block *b,
                     const struct plan_work *w, struct buf *out)
{
    struct buf walks = {0};
    if (b->kind == PLAN_SECTIONAL)
        put_clock(c, w->start_s, out);
    else
        buf_str(out, out->n ? "\n" : "");
    if (b->kind != PLAN_RUN)
        put_number(b, w, out);
    plan_what_text(c->paper->r, w, out);
    if (!b->cautions) /* which say why */
        plan_walks_text(c->paper->r, w, &walks);
    if (walks.n)
        buf_printf(out, "\nWalked first: %s", walks.p);
    if (b->kind != PLAN_RUN && b->n_fixes)
        put_mend(c->paper, w, b->kind == PLAN_REP, out);
    buf_free(&walks);
}

static void put_lines(const char *s, struct buf *out)
{
    for (size_t n; *s; s += n + (s[n] == '\n')) {
        n = strcspn(s, "\n");
        buf_printf(out, "%s%.*s", out->n ? "\n" : "", (int)n, s);
    }
}

static void put_all_cautions(const struct plan_report *r, struct buf *out)
{
    put_lines(r->heat_words, out);
    for (size_t i = 0; i < r->plan.n_cautions; i++)
        put_lines(r->plan.cautions[i], out);
}

/* What is about the block; of a plan that does not say what is, everything. */
void plan_ics_description(const struct plan_calendar *c, const struct plan_block *b,
                          struct buf *out)
{
    const struct plan_report *r = c->paper->r;
    if (b->kind != PLAN_REP && !(b->kind == PLAN_SECTIONAL && (plan_then(b) || !*b->name)))
        put_number(b, NULL, out);
    if (b->kind == PLAN_FIXED || (b->kind == PLAN_REP && b->n_list == 0))
        buf_str(out, b->name);
    if (b->kind == PLAN_BREAK)
        buf_str(out, "water and rest");
    else if ((b->kind == PLAN_SECTIONAL && !plan_then(b)) || b->kind == PLAN_RUN)
        buf_str(out, b->name);
    for (size_t i = 0; i < b->n_list; i++)
        put_work(c, b, &b->list[i], out);
    if (plan_then(b)) {
        put_clock(c, plan_then_s(b), out);
        buf_str(out, b->name);
    }
    if (!b->cautions)
        put_all_cautions(r, out);
    else
        put_lines(b->cautions, out);
    tame(out, true);
}

/* --- the whole rehearsal ------------------------------------------------------------------------- */

void plan_ics_frame_summary(const struct plan_paper *p, struct buf *out)
{
    plan_title_text(&(struct plan_title){.kind = PLAN_FRAME, .name = p->r->title}, out);
    tame(out, false);
}

/* Sectionals of one time in one line: "18:20 Sectional: flutes, clarinets". */
static void put_rows(const struct plan_calendar *c, struct buf *out)
{
    const struct plan *plan = &c->paper->r->plan;
    enum plan_kind before = PLAN_FIXED;
    struct buf title = {0};
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        if (!plan_on_paper(c->paper, b))
            continue;
        if (b->kind == PLAN_SECTIONAL && before == PLAN_SECTIONAL) {
            buf_printf(out, ", %s", plan_who(c->paper->r, b->group));
        } else {
            put_clock(c, b->start_s, out);
            buf_clear(&title);
            plan_ics_summary(c->paper, b, &title);
            buf_str(out, buf_text(&title));
        }
        before = b->kind;
    }
    put_clock(c, plan->seconds, out);
    buf_str(out, "end");
    buf_free(&title);
}

void plan_ics_frame(const struct plan_calendar *c, struct buf *out)
{
    const struct plan_report *r = c->paper->r;
    put_rows(c, out);
    put_all_cautions(r, out);
    tame(out, true);
}
