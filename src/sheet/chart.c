/* Where a set puts everybody, seen from the box. The whole field where all labels fit on it in a
 * large size; else the part of it where people stand, so that they do; and what still has no room is
 * named below. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/arena.h"
#include "base/number.h"
#include "count/timecode.h"
#include "count/tempo.h"
#include "sheet/field.h"
#include "sheet/labels.h"
#include "sheet/pen.h"

/* A show file may say anything; no table has a dot further away (show/dots.c). */
static bool drawn(const struct dot *d, int set)
{
    enum { FAR = 400 };
    return d->set == set && fabs(d->x) <= FAR && fabs(d->y) <= FAR;
}

/* --- people --------------------------------------------------------------------------------------- */

struct people {
    struct field_people where; /* steps */
    double (*dots)[2];
    bool *lit; /* of each dot */
    struct label *labels;
    double (*ink)[2]; /* of each label: where it begins in its line of text */
    const char **words;
    size_t n_dots, n_labels;
};

static struct field_people where_of(const struct show *show, int set)
{
    struct field_people w = {0};
    bool any = false;
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        if (!drawn(d, set))
            continue;
        w.from_x = any ? fmin(w.from_x, d->x) : d->x;
        w.to_x = any ? fmax(w.to_x, d->x) : d->x;
        w.from_y = any ? fmin(w.from_y, d->y) : d->y;
        w.to_y = any ? fmax(w.to_y, d->y) : d->y;
        any = true;
    }
    return w;
}

static void gather(const struct sheet_chart *c, int set, struct people *all)
{
    const struct show *show = c->show;
    *all = (struct people){.where = where_of(show, set),
                           .dots = xcalloc(show->n_dots + 1, sizeof *all->dots),
                           .lit = xcalloc(show->n_dots + 1, sizeof *all->lit),
                           .labels = xcalloc(show->n_dots + 1, sizeof *all->labels),
                           .ink = xcalloc(show->n_dots + 1, sizeof *all->ink),
                           .words = xcalloc(show->n_dots + 1, sizeof *all->words)};
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        if (!drawn(d, set))
            continue;
        if ((all->lit[all->n_dots++] = c->lit[d->performer]))
            all->words[all->n_labels++] = show->performers[d->performer].label;
    }
}

static void let_go(struct people *all)
{
    free(all->dots);
    free(all->lit);
    free(all->labels);
    free(all->ink);
    free(all->words);
}

static void put_on_field(const struct show *show, int set, const struct field *f,
                         struct people *all)
{
    size_t n = 0, lit = 0;
    for (size_t i = 0; i < show->n_dots; i++) {
        const struct dot *d = &show->dots[i];
        if (!drawn(d, set))
            continue;
        all->dots[n][0] = field_x(f, d->x);
        all->dots[n][1] = field_y(f, d->y);
        if (all->lit[n])
            all->labels[lit++] = (struct label){.x = all->dots[n][0], .y = all->dots[n][1]};
        n++;
    }
}

/* Air around what is inked, so that two labels never read as one. */
enum { ASIDE = 2, ABOVE = 1 };

static void measure(struct pen *p, struct people *all, double size)
{
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct pen_text t = {.text = all->words[i], .size = size, .bold = true};
        struct pen_ink ink;
        pen_ink(p, &t, &ink);
        all->labels[i].wide = ink.wide + ASIDE;
        all->labels[i].high = ink.high + ABOVE;
        all->ink[i][0] = ink.left - ASIDE / 2.0;
        all->ink[i][1] = ink.top - ABOVE / 2.0;
    }
}

/* --- how large ------------------------------------------------------------------------------------ */

struct view {
    struct field field;
    double size;         /* of labels */
    double small, large; /* dots */
    struct rect taken[FIELD_WORDS];
    size_t n_taken;
    size_t out;   /* labels without room */
    double below; /* room that is kept to name them */
};

static void place(struct pen *p, struct view *v, struct people *all)
{
    const struct label_ground ground = {.dots = (const double(*)[2])all->dots,
                                        .n_dots = all->n_dots,
                                        .radius = v->large,
                                        .taken = v->taken,
                                        .n_taken = v->n_taken,
                                        .within = field_within(p, &v->field)};
    measure(p, all, v->size);
    v->out = labels_place(all->labels, all->n_labels, &ground);
}

/* "3 labels left out for want of room: C1, C2, C3" */
static void draw_left_out(struct pen *p, const void *job)
{
    enum { MOST_LINES = 6 };
    const struct people *all = job;
    struct buf text = {0};
    const char *comma = "";
    size_t n = 0;
    for (size_t i = 0; i < all->n_labels; i++)
        if (all->labels[i].out) {
            buf_printf(&text, "%s%s", comma, all->words[i]);
            comma = ", ";
            n++;
        }
    struct buf line = {0};
    buf_printf(&line, "%zu label%s left out for want of room: %s", n, n == 1 ? "" : "s",
               buf_text(&text));
    pen_text(p,
             &(struct pen_text){.stays = true, .text = line.p, .x = p->left, .lines = MOST_LINES});
    buf_free(&text);
    buf_free(&line);
}

/* Capitals of 9 pt are 16 minutes of arc high at 49 cm, those of 7 pt at 38 cm: a sheet that is held
 * up to be read (see sheet/sheet.h). */
static const struct attempt {
    double size;
    bool near;
} tries[] = {{9, false}, {9, true}, {8, true}, {7, true}};
enum { TRIES = sizeof tries / sizeof *tries };

static void look(struct pen *p, const struct sheet_chart *c, int set, const struct attempt *t,
                 struct people *all, struct view *v)
{
    const double bottom = p->bottom;
    p->bottom -= v->below;
    v->size = t->size;
    v->field = (t->near ? field_near : field_whole)(p, &c->show->grid, &all->where);
    v->small = fmin(2.2, v->field.step * 0.45);
    v->large = v->small * 1.35;
    v->n_taken = field_words(p, &v->field, v->taken);
    put_on_field(c->show, set, &v->field, all);
    place(p, v, all);
    p->bottom = bottom;
}

/* The first at which all labels have room; else the last, with room below to say which have none. */
static struct view view_of(struct pen *p, const struct sheet_chart *c, int set, struct people *all)
{
    struct view v = {0};
    const bool measuring = p->measuring;
    p->measuring = true;
    for (int i = 0; i < TRIES && (i == 0 || v.out > 0); i++)
        look(p, c, set, &tries[i], all, &v);
    for (double high; v.out > 0 && (high = pen_height(p, draw_left_out, all)) > v.below;) {
        v.below = high;
        look(p, c, set, &tries[TRIES - 1], all, &v);
    }
    p->measuring = measuring;
    return v;
}

/* --- drawing -------------------------------------------------------------------------------------- */

/* White below, so that lines of the field do not run through them. */
static void put_grounds(struct pen *p, const struct people *all)
{
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct rect *r = &all->labels[i].at;
        if (!all->labels[i].out)
            pen_blank(p,
                      &(struct pen_line){r->left + ASIDE / 4.0, r->top,
                                         r->left + r->wide - ASIDE / 4.0, r->top + r->high, 0, 0});
    }
    for (size_t i = 0; i < all->n_labels; i++)
        if (!all->labels[i].out && all->labels[i].away) {
            const struct label_line *l = &all->labels[i].line;
            pen_line(p, &(struct pen_line){l->x1, l->y1, l->x2, l->y2, 0.5, 0});
        }
}

static void put_labels(struct pen *p, const struct people *all, const struct view *v)
{
    const double y = p->y;
    for (size_t i = 0; i < all->n_labels; i++) {
        const struct label *l = &all->labels[i];
        if (l->out)
            continue;
        p->y = l->at.top - all->ink[i][1];
        pen_text(p, &(struct pen_text){.stays = true,
                                       .text = all->words[i],
                                       .x = l->at.left - all->ink[i][0],
                                       .width = l->wide + 20,
                                       .size = v->size,
                                       .bold = true});
    }
    p->y = y;
}

static void put_people(struct pen *p, const struct people *all, const struct view *v)
{
    put_grounds(p, all);
    for (size_t i = 0; i < all->n_dots; i++)
        pen_dot(p, all->dots[i][0], all->dots[i][1], all->lit[i] ? v->large : v->small,
                all->lit[i]);
    put_labels(p, all, v);
}

/* --- pages ----------------------------------------------------------------------------------------- */

static struct move move_of(const struct set *s)
{
    return (struct move){s->label, s->counts, s->tempo, s->tempo_end, s->hold};
}

static void add_tempo(const struct set *s, struct buf *out)
{
    if (s->tempo > 0)
        buf_printf(out, " at %.10g", s->tempo);
    if (s->tempo > 0 && s->tempo_end > 0 && s->tempo_end != s->tempo)
        buf_printf(out, " to %.10g", s->tempo_end);
}

/* "measures 7 to 10": as far as every set before says how many it has */
static bool add_measures(const struct show *show, int set, struct buf *out)
{
    int before = 0;
    const int n = show->sets[set].measures;
    for (int i = 0; i < set; i++) {
        if (show->sets[i].measures <= 0 && show->sets[i].counts > 0)
            return false;
        before += show->sets[i].measures;
    }
    if (n > 0)
        buf_printf(out, n == 1 ? "measure %d" : "measures %d to %d", before + 1, before + n);
    return n > 0;
}

/* "0:10.9 to 0:18.2": as far as every set before says how long it takes */
static bool add_time(const struct show *show, int set, struct buf *out)
{
    double at = 0;
    char from[24], to[24];
    for (int i = 0; i <= set; i++) {
        const struct move m = move_of(&show->sets[i]);
        if (!tempo_known(&m))
            return false;
        if (i == set)
            time_format_short(us_of_seconds(at), from);
        at += tempo_length(&m);
    }
    time_format_short(us_of_seconds(at), to);
    buf_printf(out, "%s to %s", from, to);
    return true;
}

/* "; from set 1 on: measures 7 to 10, 0:10.9 to 0:18.2": counted, since no set knows the music's own
 * numbers */
static void add_where(const struct show *show, int set, struct buf *out)
{
    struct buf measures = {0}, time = {0};
    const bool numbered = add_measures(show, set, &measures), timed = add_time(show, set, &time);
    if (!numbered && show->sets[set].measures > 0)
        buf_printf(out, ", %d measure%s", show->sets[set].measures,
                   show->sets[set].measures == 1 ? "" : "s");
    if (numbered || timed)
        buf_printf(out, "; from set %s on: %s%s%s", show->sets[0].label, buf_text(&measures),
                   numbered && timed ? ", " : "", buf_text(&time));
    buf_free(&measures);
    buf_free(&time);
}

static void add_facts(const struct show *show, int set, struct buf *out)
{
    const struct set *s = &show->sets[set];
    buf_printf(out, "%d count%s", s->counts, s->counts == 1 ? "" : "s");
    add_tempo(s, out);
    if (s->hold > 0)
        buf_printf(out, ", then held for %.10g s", s->hold);
    add_where(show, set, out);
}

/* What the set is and where it is in the music: one line, or two where the name is long. */
static void put_facts(struct pen *p, const struct sheet_chart *c, int set)
{
    enum { NAME = 13, BETWEEN = 12 };
    struct buf facts = {0};
    add_facts(c->show, set, &facts);
    const struct pen_text name = {.text = c->show->sets[set].name,
                                  .x = p->left,
                                  .size = NAME,
                                  .bold = true,
                                  .lines = 1,
                                  .stays = true};
    struct pen_text then = {.text = facts.p, .x = p->left, .stays = true};
    if (*name.text) {
        const double y = p->y, wide = pen_width(p, &name) + BETWEEN;
        pen_text(p, &name);
        if (wide + pen_width(p, &then) <= p->right - p->left) {
            then.x += wide;
            p->y = y + (NAME - PEN_BODY); /* on one baseline, about */
        }
    }
    pen_text(p, &then);
    p->y += 4;
    buf_free(&facts);
}

static void put_left_out(struct pen *p, const struct people *all, const struct view *v)
{
    const double y = p->y;
    p->y = p->bottom - v->below;
    if (v->out)
        draw_left_out(p, all);
    p->y = y;
}

static void put_set(struct pen *p, const struct sheet_chart *c, int set)
{
    struct people all;
    put_facts(p, c, set);
    gather(c, set, &all);
    const struct view v = view_of(p, c, set, &all);
    field_draw(p, &v.field);
    field_words(p, &v.field, (struct rect[FIELD_WORDS]){{0}});
    put_people(p, &all, &v);
    field_sides(p, &v.field);
    put_left_out(p, &all, &v);
    let_go(&all);
}

static void put_page(struct pen *p, const struct sheet_chart *c, int set)
{
    const struct set *s = &c->show->sets[set];
    struct buf what = {0}, all = {0};
    buf_printf(&what, "Set %s%s%s", s->label, *c->who ? ": " : "", c->who);
    buf_printf(&all, "sets of %s", *c->who ? c->who : "everybody");
    pen_page(p, &(struct pen_head){
                    .what = what.p, .kind = "", .show = c->title, .date = c->date, .all = all.p});
    if (p->pages > 0) /* else they are counted only, and placing takes a while */
        put_set(p, c, set);
    buf_free(&what);
    buf_free(&all);
}

static void compose(struct pen *p, const void *job)
{
    const struct sheet_chart *c = job;
    for (size_t i = 0; i < c->n_sets; i++)
        put_page(p, c, c->sets[i]);
}

bool sheet_chart(const struct sheet_chart *chart, const struct sheet_style *style,
                 struct sheet_made *out, struct err *e)
{
    struct buf title = {0};
    buf_printf(&title, "Sets: %s%s%s", chart->title, *chart->who ? ", " : "", chart->who);
    const bool ok = pen_document(
        &(struct pen_job){.title = title.p, .lying = true, .compose = compose, .job = chart}, style,
        out, e);
    buf_free(&title);
    return ok;
}
