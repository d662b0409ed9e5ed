/* The rep plan for a clipboard: its number for `boxcall tick`, when, how long, who, what, and a box to
 * tick for every rep. */
#include <string.h>

#include "sheet/pen.h"

enum { CLOCK_AT = 28, MINUTES_AT = 78, BODY_AT = 121, BOX = 11, BOX_STEP = 15, TIME_SIZE = 14 };

struct block_job {
    const struct plan_paper *p;
    const struct plan_block *b;
    bool clock; /* else its time stands above it already */
    bool many;  /* it stands for sections that do the same */
};

/* Columns are wider where text is larger. */
static double column(const struct pen *p, int at)
{
    return p->left + at * p->scale;
}

/* --- a chunk with its reps ----------------------------------------------------------------------- */

static void put_boxes(struct pen *p, double x, double y, int n)
{
    for (int i = 0; i < n; i++)
        pen_box(p, x + i * BOX_STEP, y + 1.5, BOX);
}

/* At the right where they have room, else in rows below. */
static void put_what(struct pen *p, const char *text, size_t strong, int reps)
{
    const double x = column(p, BODY_AT), all = p->right - x, y = p->y,
                 boxes = reps * (double)BOX_STEP;
    const int a_row = (int)(all / BOX_STEP);
    const bool beside = boxes < all * 0.45;
    pen_text(p, &(struct pen_text){
                    .text = text, .x = x, .width = beside ? all - boxes : all, .strong = strong});
    if (beside)
        put_boxes(p, p->right - boxes + BOX_STEP - BOX, y, reps);
    if (beside && p->y < y + BOX + 3)
        p->y = y + BOX + 3;
    for (int done = 0; !beside && done < reps; done += a_row, p->y += BOX_STEP)
        put_boxes(p, x, p->y, reps - done < a_row ? reps - done : a_row);
}

/* False: there are marks in it, but none of theirs. */
static bool put_why(const struct block_job *j, const struct plan_work *w, struct buf *out)
{
    const bool theirs = j->p->parts.at != NULL;
    const size_t before = out->n;
    plan_why_text(j->p->r, w,
                  (struct plan_why){.fixes = theirs ? 0 : 2,
                                    .moments = 2,
                                    .named = j->b->kind == PLAN_REP,
                                    .parts = j->p->parts},
                  out);
    return out->n > before || !theirs || w->n_fixes == 0;
}

/* Who stands on a line of its own? */
static bool has_heading(const struct block_job *j)
{
    const struct plan_block *b = j->b;
    if (b->n_list == 0)
        return true;
    return b->kind != PLAN_REP &&
           !(b->kind == PLAN_SECTIONAL && j->p->parts.at && (!*b->name || plan_then(b)));
}

/* ", 8 × 0:45, 1st walked": with who and what a line beside its boxes. */
static void put_reps(const struct plan_work *w, struct buf *text)
{
    if (w->walk_s && w->reps == 1)
        buf_printf(text, ", 1\u00a0×\u00a0%d:%02d, walked", w->walk_s / 60, w->walk_s % 60);
    else
        buf_printf(text, ", %d\u00a0×\u00a0%d:%02d%s", w->reps, w->rep_s / 60, w->rep_s % 60,
                   w->walk_s ? ", 1st\u00a0walked" : "");
    buf_str(text, w->kept ? ", kept" : "");
}

/* On everyone's page a section's chunk is a line; where there is room, what it is for stands below
 * it. */
static void put_work(struct pen *p, const struct block_job *j, const struct plan_work *w)
{
    const bool brief = j->b->kind == PLAN_SECTIONAL && !j->p->parts.at;
    struct buf text = {0}, why = {0};
    const bool any = put_why(j, w, &why);
    if (brief) {
        buf_str(&text, "set ");
        plan_short_text(j->p->r, w, &text);
        const size_t strong = strcspn(text.p, "(") - 1;
        buf_printf(&text, "%s%s", why.n ? " – " : "", buf_text(&why));
        put_what(p, text.p, strong, w->reps);
    } else {
        if (w == j->b->list && !has_heading(j)) /* who stands before what */
            buf_printf(&text, "%s: ", plan_who(j->p->r, j->b->group));
        const size_t who = text.n;
        buf_str(&text, "set ");
        plan_counts_text(j->p->r, w, &text);
        const size_t strong = who + strcspn(text.p + who, "(") - 1;
        put_reps(w, &text);
        buf_str(&text, any ? "" : " – no\u00a0marks");
        put_what(p, text.p, strong, w->reps);
        pen_text(p, &(struct pen_text){.text = buf_text(&why), .x = column(p, BODY_AT)});
    }
    buf_free(&text);
    buf_free(&why);
}

/* The minute something begins, beside what is drawn next. */
static void put_clock(struct pen *p, const struct block_job *j, int at_s, double size)
{
    char clock[24];
    const double y = p->y;
    p->y -= (size - PEN_BODY) * 0.7; /* on the line of smaller text */
    plan_clock(j->p->r->plan.start_min, at_s / PLAN_MINUTE_S * PLAN_MINUTE_S, clock);
    pen_text(
        p, &(struct pen_text){.text = clock, .x = column(p, CLOCK_AT), .size = size, .bold = true});
    p->y = y;
}

/* "3", "3.2"; of sectionals that are drawn as one only ".2". */
static void put_number(struct pen *p, const struct block_job *j, const struct plan_work *w)
{
    const double y = p->y;
    struct buf text = {0};
    plan_number_text(j->b, w, &text);
    const char *part = w && j->many ? strchr(text.p, '.') : text.p;
    pen_text(p, &(struct pen_text){.text = part, .x = p->left, .width = CLOCK_AT * p->scale});
    p->y = y;
    buf_free(&text);
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
                                   .x = column(p, BODY_AT),
                                   .size = PEN_BODY + 1,
                                   .bold = !strong,
                                   .strong = strong});
    buf_free(&text);
}

/* A section's list, each chunk with its number and its minute. */
static void put_list(struct pen *p, const struct block_job *j)
{
    const struct plan_block *b = j->b;
    const bool apart = b->kind == PLAN_SECTIONAL;
    const double size = j->p->parts.at ? TIME_SIZE : PEN_BODY;
    for (size_t i = 0; i < b->n_list && b->kind != PLAN_RUN; i++) {
        if (b->list[i].parts > 1 || !has_heading(j))
            put_number(p, j, &b->list[i]);
        if (apart && (i > 0 || has_heading(j)))
            put_clock(p, j, b->list[i].start_s, size);
        put_work(p, j, &b->list[i]);
    }
    if (plan_then(b)) {
        put_clock(p, j, plan_then_s(b), size);
        pen_text(p, &(struct pen_text){.text = b->name, .x = column(p, BODY_AT)});
    }
}

static void draw_block(struct pen *p, const void *job)
{
    const struct block_job *j = job;
    const struct plan_block *b = j->b;
    struct buf minutes = {0};
    const double y = p->y;
    if (j->clock) {
        pen_rule(p, 0.6);
        p->y = y + 2.5;
        put_clock(p, j, b->start_s, TIME_SIZE);
        buf_printf(&minutes, "%d min", b->seconds / PLAN_MINUTE_S);
        pen_text(p, &(struct pen_text){.text = minutes.p, .x = column(p, MINUTES_AT)});
        p->y = y + 2.5;
    }
    if (has_heading(j)) {
        put_number(p, j, NULL);
        put_who(p, j);
    }
    put_list(p, j);
    if (j->clock && p->y < y + TIME_SIZE + 3)
        p->y = y + TIME_SIZE + 3;
    p->y += 1;
    buf_free(&minutes);
}

/* What the columns are, and what the numbers are for. */
static void draw_columns(struct pen *p, const void *job)
{
    const struct plan_paper *paper = job;
    static const char *const names[] = {"no.", "time", "min"};
    static const int at[] = {0, CLOCK_AT, MINUTES_AT};
    const double y = p->y;
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        p->y = y;
        pen_text(p, &(struct pen_text){.text = names[i], .x = column(p, at[i])});
    }
    p->y = y;
    pen_text(p,
             &(struct pen_text){
                 .text = paper->parts.at
                             ? "sets (counts at bpm), a box for each rep; 'no marks': none of yours"
                             : "who: sets (counts at bpm), a box for each "
                               "rep; boxcall tick takes the no.",
                 .x = column(p, BODY_AT)});
}

static void put_blocks(struct pen *p, const struct plan_paper *paper)
{
    const struct plan *plan = &paper->r->plan;
    const struct plan_block *last = NULL;
    if (plan->n_blocks)
        pen_block(p, draw_columns, paper);
    for (size_t i = 0; i < plan->n_blocks; i++) {
        const struct plan_block *b = &plan->blocks[i];
        if (!plan_on_paper(paper, b) || plan_said_before(paper, i))
            continue;
        const bool clock = !last || last->kind != PLAN_SECTIONAL || b->start_s != last->start_s;
        pen_block(p, draw_block,
                  &(struct block_job){paper, b, clock, plan_speaks_for(paper, i) > 1});
        last = b;
    }
    pen_rule(p, 0.6);
    p->y += 3;
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

/* The reading and its row of the policy stand above the plan already. */
static bool said_above(const struct plan_report *r, const char *caution)
{
    static const char breaks[] = "breaks: WBGT ";
    return r->heat.measured && *r->heat_words && strncmp(caution, breaks, sizeof breaks - 1) == 0;
}

/* Of a section's plan those that it has to do with. */
static void put_cautions(struct pen *p, const struct plan_paper *paper)
{
    const struct plan *plan = &paper->r->plan;
    bool first = true;
    for (size_t i = 0; i < plan->n_cautions; i++) {
        if (!plan_caution_theirs(paper, i) || said_above(paper->r, plan->cautions[i]))
            continue;
        pen_block(p, first ? draw_first_caution : draw_caution, plan->cautions[i]);
        first = false;
    }
    p->y += PEN_GAP;
}

static void put_plan(struct pen *p, const void *job)
{
    const struct plan_paper *paper = job;
    const struct plan_report *r = paper->r;
    struct buf decide = {0};
    if (r->heat.closed)
        put_cautions(p, paper);
    put_lines(p, r->heat_words);
    put_blocks(p, paper);
    plan_decide_text(paper, &decide);
    put_lines(p, buf_text(&decide));
    if (!r->heat.closed)
        put_cautions(p, paper);
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
