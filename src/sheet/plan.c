/* The rep plan for a clipboard: when, how long, who, what, and a box to tick for every rep. */
#include <string.h>

#include "sheet/pen.h"

enum { MINUTES_AT = 56, BODY_AT = 98, BOX = 11, BOX_STEP = 15, TIME_SIZE = 14 };

struct block_job {
    const struct plan_paper *p;
    const struct plan_block *b;
    bool clock; /* else its time stands above it already */
};

/* --- a chunk with its reps ----------------------------------------------------------------------- */

static void put_boxes(struct pen *p, double x, double y, int n)
{
    for (int i = 0; i < n; i++)
        pen_box(p, x + i * BOX_STEP, y + 1.5, BOX);
}

/* At the right where they have room, else in rows below. */
static void put_what(struct pen *p, const char *text, size_t strong, int reps)
{
    const double x = p->left + BODY_AT, all = p->right - x, y = p->y,
                 boxes = reps * (double)BOX_STEP;
    const int a_row = (int)(all / BOX_STEP);
    const bool beside = boxes < all * 0.45;
    pen_text(p, &(struct pen_text){
                    .text = text, .x = x, .width = beside ? all - boxes : all, .strong = strong});
    if (beside)
        put_boxes(p, p->right - boxes + BOX_STEP - BOX, y, reps);
    if (beside && p->y < y + BOX_STEP)
        p->y = y + BOX_STEP;
    for (int done = 0; !beside && done < reps; done += a_row, p->y += BOX_STEP)
        put_boxes(p, x, p->y, reps - done < a_row ? reps - done : a_row);
}

static void put_why(const struct block_job *j, const struct plan_work *w, struct buf *out)
{
    const bool theirs = j->p->parts.at != NULL;
    const size_t before = out->n;
    plan_why_text(j->p->r, w,
                  (struct plan_why){.fixes = theirs ? 0 : 2,
                                    .moments = 2,
                                    .named = j->b->kind == PLAN_REP,
                                    .parts = j->p->parts},
                  out);
    if (theirs && out->n == before && w->n_fixes)
        buf_printf(out, "nothing of %s is marked here", j->p->of);
}

/* On everyone's page a section's chunk is a line; where there is room, what it is for stands below
 * it. */
static void put_work(struct pen *p, const struct block_job *j, const struct plan_work *w)
{
    const bool brief = j->b->kind == PLAN_SECTIONAL && !j->p->parts.at;
    struct buf text = {0}, why = {0};
    put_why(j, w, &why);
    if (brief) {
        buf_str(&text, "set ");
        plan_short_text(j->p->r, w, &text);
        const size_t strong = strcspn(text.p, "(") - 1;
        buf_printf(&text, "%s%s", why.n ? " – " : "", buf_text(&why));
        put_what(p, text.p, strong, w->reps);
    } else {
        if (j->b->kind == PLAN_REP) /* who stands before what */
            buf_printf(&text, "%s: ", plan_who(j->p->r, j->b->group));
        const size_t who = text.n;
        plan_what_text(j->p->r, w, &text);
        put_what(p, text.p, who + strcspn(text.p + who, ","), w->reps);
        pen_text(p, &(struct pen_text){.text = buf_text(&why), .x = p->left + BODY_AT});
    }
    buf_free(&text);
    buf_free(&why);
}

static void put_clock(struct pen *p, const struct plan_paper *paper, int at_s)
{
    char clock[24];
    const double y = p->y;
    plan_clock(paper->r->plan.start_min, at_s, clock);
    pen_text(p, &(struct pen_text){.text = clock, .x = p->left, .size = TIME_SIZE, .bold = true});
    p->y = y;
}

/* --- a block ------------------------------------------------------------------------------------ */

/* "snares, tenors: basics"; "water and rest" */
static void put_who(struct pen *p, const struct block_job *j)
{
    const struct plan_block *b = j->b;
    const bool apart = b->kind == PLAN_SECTIONAL;
    struct buf text = {0};
    if (apart && !j->p->parts.at)
        plan_alike_text(j->p, b, &text);
    else if (apart || b->kind == PLAN_RUN)
        buf_str(&text, plan_who(j->p->r, b->group));
    const size_t strong = text.n;
    const char *what = b->kind == PLAN_BREAK ? "water and rest" : plan_then(b) ? "" : b->name;
    buf_printf(&text, "%s%s", text.n && *what ? ": " : "", what);
    pen_text(p, &(struct pen_text){.text = buf_text(&text),
                                   .x = p->left + BODY_AT,
                                   .size = PEN_BODY + 1,
                                   .bold = !strong,
                                   .strong = strong});
    buf_free(&text);
}

static void draw_block(struct pen *p, const void *job)
{
    const struct block_job *j = job;
    const struct plan_block *b = j->b;
    struct buf minutes = {0};
    const double y = p->y;
    if (j->clock) {
        pen_rule(p, 0.6);
        p->y += 2;
        put_clock(p, j->p, b->start_s);
        buf_printf(&minutes, "%d min", b->seconds / PLAN_MINUTE_S);
        p->y = y + 4;
        pen_text(p, &(struct pen_text){.text = minutes.p, .x = p->left + MINUTES_AT});
        p->y = y + 4;
    }
    if (b->kind != PLAN_REP)
        put_who(p, j);
    for (size_t i = 0; i < b->n_list; i++) {
        if (j->p->parts.at && b->kind == PLAN_SECTIONAL && i > 0)
            put_clock(p, j->p, b->list[i].start_s / PLAN_MINUTE_S * PLAN_MINUTE_S);
        if (b->kind != PLAN_RUN)
            put_work(p, j, &b->list[i]);
    }
    if (plan_then(b)) {
        put_clock(p, j->p, plan_then_s(b) / PLAN_MINUTE_S * PLAN_MINUTE_S);
        pen_text(p, &(struct pen_text){.text = b->name, .x = p->left + BODY_AT});
    }
    if (j->clock && p->y < y + TIME_SIZE + PEN_GAP)
        p->y = y + TIME_SIZE + PEN_GAP;
    p->y += 2;
    buf_free(&minutes);
}

static void put_blocks(struct pen *p, const struct plan_paper *paper)
{
    const struct plan *plan = &paper->r->plan;
    const struct plan_block *last = NULL;
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        if (!plan_on_paper(paper, b) || plan_said_before(paper, i))
            continue;
        const bool clock = !last || last->kind != PLAN_SECTIONAL || b->start_s != last->start_s;
        pen_block(p, draw_block, &(struct block_job){paper, b, clock});
        last = b;
    }
    pen_rule(p, 0.6);
    p->y += PEN_GAP;
}

/* --- a plan ------------------------------------------------------------------------------------- */

static void draw_words(struct pen *p, const void *job)
{
    pen_text(p, &(struct pen_text){.text = job, .x = p->left});
}

static void put_lines(struct pen *p, const char *lines)
{
    for (const char *s = lines; *s;) {
        const size_t n = strcspn(s, "\n");
        struct buf line = {0};
        buf_add(&line, s, n);
        pen_block(p, draw_words, buf_text(&line));
        buf_free(&line);
        s += n + (s[n] == '\n');
    }
}

static void draw_caution(struct pen *p, const void *job)
{
    const double y = p->y;
    pen_text(p, &(struct pen_text){.text = "–", .x = p->left});
    p->y = y;
    pen_text(p, &(struct pen_text){.text = job, .x = p->left + 12});
}

/* The heading, and the first, which it stays with. */
static void draw_first_caution(struct pen *p, const void *job)
{
    pen_text(p, &(struct pen_text){.text = "Cautions", .x = p->left, .size = 13, .bold = true});
    draw_caution(p, job);
}

static void put_cautions(struct pen *p, const struct plan *plan)
{
    for (size_t i = 0; i < plan->n_cautions; i++)
        pen_block(p, i ? draw_caution : draw_first_caution, plan->cautions[i]);
    p->y += PEN_GAP;
}

static void put_plan(struct pen *p, const void *job)
{
    const struct plan_paper *paper = job;
    const struct plan_report *r = paper->r;
    struct buf decide = {0};
    if (r->heat.closed)
        put_cautions(p, &r->plan);
    put_lines(p, r->heat_words);
    put_blocks(p, paper);
    plan_decide_text(paper, &decide);
    put_lines(p, buf_text(&decide));
    if (!r->heat.closed)
        put_cautions(p, &r->plan);
    buf_free(&decide);
}

static void compose_one(struct pen *p, const struct plan_paper *paper)
{
    const struct plan_report *r = paper->r;
    struct buf day = {0}, what = {0};
    char start[24], end[24];
    plan_clock(r->plan.start_min, 0, start);
    plan_clock(r->plan.start_min, r->plan.seconds, end);
    buf_printf(&day, "%s, %s to %s", r->date, start, end);
    buf_printf(&what, "Rep plan%s%s", paper->parts.at ? ": " : "",
               paper->parts.at ? paper->of : "");
    pen_page(p, &(struct pen_head){.what = what.p, .kind = "", .show = r->title, .date = day.p});
    pen_fit(p, put_plan, paper);
    buf_free(&day);
    buf_free(&what);
}

static void compose(struct pen *p, const void *job)
{
    const struct sheet_plans *plans = job;
    for (size_t i = 0; i < plans->n; i++)
        compose_one(p, &plans->at[i]);
}

bool sheet_plan(const struct sheet_plans *plans, const struct sheet_style *style,
                struct sheet_made *out, struct err *e)
{
    struct buf title = {0};
    buf_printf(&title, "Rep plan: %s, %s", plans->at[0].r->title, plans->at[0].r->date);
    const bool ok = pen_document(
        &(struct pen_job){.title = title.p, .compose = compose, .job = plans}, style, out, e);
    buf_free(&title);
    return ok;
}
