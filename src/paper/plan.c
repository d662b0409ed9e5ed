/* The rep plan on a page. */
#include <string.h>

#include "base/utf8.h"
#include "paper/flow.h"
#include "paper/plan_inner.h"

enum { WIDTH = 80, NUMBER = 5, WHO = 15, HANG = 2, WHY = 19 };

/* --- a block ----------------------------------------------------------------------------------- */

/* " 3   " or, of several chunks, " 3.2 " */
static void put_number(const struct plan_block *b, const struct plan_work *w, struct buf *out)
{
    struct buf text = {0};
    plan_number_text(b, b->n_list ? w : NULL, &text);
    buf_printf(out, "%*s%-*s", b->number < 9, "", NUMBER - (b->number < 9), text.p);
    buf_free(&text);
}

/* " 3   18:23    7  "; sectionals of one time stand under one clock. */
static void put_time(const struct plan_paper *p, const struct plan_block *b, bool clock,
                     struct buf *out)
{
    char text[24];
    put_number(b, p->full || p->parts.at ? b->list : NULL, out);
    if (clock)
        buf_printf(out, "%-6s%3d ", plan_clock(p->r->plan.start_min, b->start_s, text),
                   b->seconds / PLAN_MINUTE_S);
    else
        buf_printf(out, "%*s", WHO - NUMBER, "");
}

static void put_flow(int col, const char *text, struct buf *out)
{
    struct flow f = flow_from(out, WIDTH, col, col + HANG);
    flow_text(&f, text);
    flow_end(&f);
}

static struct plan_why why_of(const struct plan_paper *p, bool named)
{
    return (struct plan_why){
        .fixes = p->full || p->parts.at ? 0 : 2,
        .moments = p->full ? 0 : 2,
        .named = named,
        .parts = p->parts,
    };
}

/* Below what: why. */
static void put_why(const struct plan_paper *p, const char *why, struct buf *out)
{
    struct buf text = {0};
    if (p->parts.at && !*why)
        buf_printf(&text, "nothing of %s is marked here", p->of);
    else
        buf_str(&text, why);
    buf_printf(out, "%*s", WHY, "");
    put_flow(WHY, buf_text(&text), out);
    buf_free(&text);
}

/* In full: how long a rep is, every fix. */
static void put_work(const struct plan_paper *p, const struct plan_work *w, const char *who,
                     bool named, struct buf *out)
{
    struct buf text = {0};
    if (*who)
        buf_printf(&text, "%s: ", who);
    plan_what_text(p->r, w, &text);
    put_flow(WHO, buf_text(&text), out);
    buf_clear(&text);
    plan_why_text(p->r, w, why_of(p, named), &text);
    if (w->n_fixes)
        put_why(p, buf_text(&text), out);
    buf_free(&text);
}

/* A chunk's number, none for what comes behind the list; the minute, where it is the section's plan. */
static void put_minute(const struct plan_paper *p, const struct plan_block *b,
                       const struct plan_work *w, struct buf *out)
{
    const int at_s = w ? w->start_s : plan_then_s(b);
    char clock[24] = "";
    if (w)
        put_number(b, w, out);
    else
        buf_printf(out, "%*s", NUMBER, "");
    if (p->parts.at)
        plan_clock(p->r->plan.start_min, at_s / PLAN_MINUTE_S * PLAN_MINUTE_S, clock);
    buf_printf(out, "%-6s%*s", clock, WHO - NUMBER - 6, "");
}

/* A section's own list, chunk by chunk. */
static void put_list(const struct plan_paper *p, const struct plan_block *b, struct buf *out)
{
    const char *who = plan_who(p->r, b->group);
    const bool then = plan_then(b), idle = *b->name && !then;
    struct buf text = {0};
    if (idle) {
        buf_printf(&text, "%s: %s", who, b->name);
        put_flow(WHO, text.p, out);
    }
    for (size_t i = 0; i < b->n_list; i++) {
        const bool first = i == 0 && !idle;
        if (!first)
            put_minute(p, b, &b->list[i], out);
        put_work(p, &b->list[i], first ? who : "", b->kind == PLAN_REP, out);
    }
    if (then) {
        put_minute(p, b, NULL, out);
        put_flow(WHO, b->name, out);
    }
    buf_free(&text);
}

/* Nothing to mend, and the same to do as others: they stand in a row. */
static bool alike(const struct plan_block *a, const struct plan_block *b)
{
    if (a->kind != PLAN_SECTIONAL || b->kind != PLAN_SECTIONAL || a->n_fixes || b->n_fixes ||
        a->n_list != b->n_list || strcmp(a->name, b->name) != 0)
        return false;
    for (size_t i = 0; i < a->n_list; i++)
        if (a->list[i].first_set != b->list[i].first_set || a->list[i].reps != b->list[i].reps)
            return false;
    return true;
}

bool plan_said_before(const struct plan_paper *p, size_t i)
{
    const struct plan *plan = &p->r->plan;
    for (size_t k = 0; k < i && !p->parts.at && !p->full; k++)
        if (alike(&plan->blocks[k], &plan->blocks[i]))
            return true;
    return false;
}

size_t plan_speaks_for(const struct plan_paper *p, size_t i)
{
    const struct plan *plan = &p->r->plan;
    size_t n = 1;
    for (size_t k = i + 1; k < plan->n_blocks && !p->parts.at && !p->full; k++)
        n += alike(&plan->blocks[k], &plan->blocks[i]);
    return n;
}

/* "11-14, 16" */
static void put_range(int from, int to, struct buf *out)
{
    buf_printf(out, "%s%d", out->n ? ", " : "", from + 1);
    if (to > from)
        buf_printf(out, "-%d", to + 1);
}

void plan_alike_text(const struct plan_paper *p, const struct plan_block *b, struct buf *out)
{
    const struct plan *plan = &p->r->plan;
    struct buf numbers = {0};
    int from = b->number, last = from, many = 0;
    buf_str(out, plan_who(p->r, b->group));
    for (const struct plan_block *k = b + 1; k < plan->blocks + plan->n_blocks; k++) {
        if (!alike(k, b))
            continue;
        buf_printf(out, ", %s", plan_who(p->r, k->group));
        if (k->number != last + 1) {
            put_range(from, last, &numbers);
            from = k->number;
        }
        last = k->number;
        many++;
    }
    put_range(from, last, &numbers);
    if (many)
        buf_printf(out, " (%s)", numbers.p);
    buf_free(&numbers);
}

/* On one page: its chunks in a row, and the two heaviest fixes of them all. */
static void put_short(const struct plan_paper *p, const struct plan_block *b, struct buf *out)
{
    struct buf text = {0};
    plan_alike_text(p, b, &text);
    buf_str(&text, ": ");
    const bool then = plan_then(b);
    if (*b->name && !then)
        buf_printf(&text, "%s%s", b->name, b->n_list ? ": " : "");
    for (size_t i = 0; i < b->n_list; i++) {
        buf_str(&text, i ? "; " : "");
        if (b->n_fixes)
            plan_short_text(p->r, &b->list[i], &text);
        else
            plan_times_text(p->r, &b->list[i], &text);
    }
    if (b->n_fixes)
        buf_str(&text, " – ");
    plan_block_why(p->r, b, why_of(p, b->kind == PLAN_REP), &text);
    if (then)
        buf_printf(&text, "; %s", b->name);
    put_flow(WHO, buf_text(&text), out);
    buf_free(&text);
}

static void put_run(const struct plan_paper *p, const struct plan_block *b, struct buf *out)
{
    struct buf text = {0};
    buf_printf(&text, "%s: %s", plan_who(p->r, b->group), b->name);
    put_flow(WHO, buf_text(&text), out);
    buf_free(&text);
}

static void put_block(const struct plan_paper *p, const struct plan_block *b, bool clock,
                      struct buf *out)
{
    put_time(p, b, clock, out);
    if (b->kind == PLAN_BREAK || b->kind == PLAN_FIXED)
        buf_printf(out, "%s\n", b->kind == PLAN_BREAK ? "water and rest" : b->name);
    else if (b->kind == PLAN_RUN)
        put_run(p, b, out);
    else if (p->full || p->parts.at)
        put_list(p, b, out);
    else
        put_short(p, b, out);
}

static void put_blocks(const struct plan_paper *p, struct buf *out)
{
    const struct plan *plan = &p->r->plan;
    const struct plan_block *last = NULL;
    if (plan->n_blocks)
        buf_str(out, " no. time  min who: sets (counts at bpm) ×reps – fault (marks) moments\n");
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        const bool clock = !last || last->kind != PLAN_SECTIONAL || b->start_s != last->start_s;
        if (!plan_on_paper(p, b))
            continue;
        if (plan_said_before(p, i))
            continue;
        put_block(p, b, clock, out);
        last = b;
    }
}

/* --- around the blocks -------------------------------------------------------------------------- */

static bool theirs(const struct plan_paper *p, const struct plan_target *t)
{
    return plan_of_parts(p->r, &p->parts, t->section);
}

static const char *label_of(const struct plan_paper *p, const struct plan_target *t, struct buf *b)
{
    buf_clear(b);
    buf_printf(b, "%s: %s (%d)", p->r->show->sections[t->section].name,
               p->r->show->faults[t->fault].name, t->marks);
    return buf_text(b);
}

void plan_decide_text(const struct plan_paper *p, struct buf *out)
{
    struct buf text = {0}, label = {0};
    for (size_t i = 0; i < p->r->n_decide; i++)
        if (theirs(p, &p->r->decide[i]))
            buf_printf(&text, "%s%s", text.n ? ", " : "", label_of(p, &p->r->decide[i], &label));
    if (text.n)
        buf_printf(out,
                   "Before it the staff must decide what right looks like (boxcall define): "
                   "%s. No reps are planned for that.",
                   text.p);
    buf_free(&text);
    buf_free(&label);
}

static void put_decide(const struct plan_paper *p, struct buf *out)
{
    struct buf text = {0};
    plan_decide_text(p, &text);
    if (text.n)
        put_flow(0, text.p, out);
    buf_free(&text);
}

struct left {
    const struct plan_paper *p;
    struct buf *out; /* lines of a full list; NULL: they are only counted */
    struct buf label;
    size_t n;
};

static void leave(struct left *l, const struct plan_target *t, const char *why)
{
    if (!*why || !theirs(l->p, t))
        return;
    l->n++;
    if (l->out)
        buf_printf(l->out, "  %s: %s\n", label_of(l->p, t, &l->label), why);
}

static size_t put_left_lines(const struct plan_paper *p, struct buf *out)
{
    struct left l = {.p = p, .out = out};
    const struct plan_report *r = p->r;
    for (size_t i = 0; i < r->plan.n_items; i++)
        leave(&l, &r->targets[i], plan_left_text(r->plan.outcomes[i].left));
    for (size_t i = 0; i < r->n_unplaced; i++)
        leave(&l, &r->unplaced[i], "its moments are not tied to a set");
    buf_free(&l.label);
    return l.n;
}

/* What is said in a sentence on the page, and line by line in full. */
static void put_left(const struct plan_paper *p, struct buf *out)
{
    if (p->full && put_left_lines(p, NULL) > 0) {
        buf_str(out, "\nLeft for another day:\n");
        put_left_lines(p, out);
    }
}

static void say_left(const struct plan_paper *p, struct buf *text)
{
    const size_t n = p->full ? 0 : put_left_lines(p, NULL);
    const int spare = p->r->plan.spare_s / PLAN_MINUTE_S;
    if (n)
        buf_printf(text,
                   "%s%zu line%s of the fix lists %s left for another day; --full says which "
                   "and why.",
                   text->n ? " " : "", n, n == 1 ? "" : "s", n == 1 ? "is" : "are");
    if (spare)
        buf_printf(text, "%s%d minute%s left over.", text->n ? " " : "", spare,
                   spare == 1 ? " is" : "s are");
}

static void put_gain(const struct plan_paper *p, struct buf *out)
{
    const struct plan *plan = &p->r->plan;
    struct buf text = {0};
    if (plan->weight > 0 && !p->parts.at)
        buf_printf(&text,
                   "Gain %.1f of %.1f open: the severities of marks, to choose between plans. What "
                   "comes clean, the next clip shows.",
                   plan->gain, p->r->open_weight);
    say_left(p, &text);
    if (text.n)
        put_flow(0, text.p, out);
    if (plan->n_blocks > 0 && !p->parts.at) {
        buf_clear(&text);
        plan_assumed_text(&p->r->in.rules, &text);
        buf_printf(&text, "%s%s", *p->r->learned ? " " : "", p->r->learned);
        put_flow(0, text.p, out);
    }
    buf_free(&text);
}

static void put_head(const struct plan_paper *p, struct buf *out)
{
    const struct plan_report *r = p->r;
    char start[24], end[24];
    plan_clock(r->plan.start_min, 0, start);
    plan_clock(r->plan.start_min, r->plan.seconds, end);
    buf_printf(out, "Rep plan   %s   %s, %s to %s%s%s\n", r->title, r->date, start, end,
               p->parts.at ? "   for " : "", p->parts.at ? p->of : "");
    for (const char *s = r->heat_words; *s;) {
        const size_t n = strcspn(s, "\n");
        struct buf line = {0};
        buf_add(&line, s, n);
        put_flow(0, buf_text(&line), out);
        buf_free(&line);
        s += n + (s[n] == '\n');
    }
}

void plan_text(const struct plan_paper *p, struct buf *out)
{
    const struct plan *plan = &p->r->plan;
    if (p->r->heat.closed)
        for (size_t i = 0; i < plan->n_cautions && plan->n_blocks == 0; i++)
            put_flow(0, plan->cautions[i], out);
    put_head(p, out);
    put_blocks(p, out);
    buf_char(out, '\n');
    put_decide(p, out);
    put_left(p, out);
    put_gain(p, out);
    buf_str(out, "Cautions:\n");
    for (size_t i = 0; i < plan->n_cautions; i++) {
        if (!plan_caution_theirs(p, i))
            continue;
        buf_str(out, "  ");
        put_flow(2, plan->cautions[i], out);
    }
}
