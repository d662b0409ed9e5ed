/* Where a set puts everybody, seen from the box: the front sideline is below. Drawn in grid steps,
 * cut to the people whom the line's marks in that set mean, and out to the next line of the field. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/arena.h"
#include "page/html.h"
#include "page/inside.h"

enum { YARD_LINE = 8, AROUND = 6, LEAST = 48, FAR = 400 };

enum light { OTHERS, REST, MEANT };

struct chart {
    const struct fixes_line *l;
    int set;
    enum light *of;                  /* each performer */
    size_t n[MEANT + 1];             /* of each light that stand in the picture */
    double left, right, front, back; /* what is drawn, in steps */
    double letter;                   /* steps of a letter's height: as large on a wide picture */
    struct buf meant;                /* "T2, T5", "trumpets" */
};

static const struct show *show_of(const struct chart *c)
{
    return c->l->r->show;
}

/* --- who is lit --------------------------------------------------------------------------------- */

static bool within(const struct chart *c, int performer, int section)
{
    return section_within(show_of(c), show_of(c)->performers[performer].section, section);
}

/* Is the performer one of those whom the page is about? */
static bool of_page(const struct chart *c, int performer)
{
    const struct fix_report *r = c->l->r;
    return r->performer >= 0 ? performer == r->performer : within(c, performer, r->section);
}

static void mean(struct chart *c, const struct target *t, bool by_name)
{
    for (size_t i = 0; i < show_of(c)->n_performers; i++)
        if (of_page(c, (int)i) &&
            (by_name ? t->performer == (int)i : within(c, (int)i, t->section)))
            c->of[i] = MEANT;
}

/* A mark on people means them alone, also where their section is marked beside them. */
static bool mean_all(struct chart *c, bool by_name)
{
    const struct report_moment *m;
    bool any = false;
    for (size_t at = 0; (m = fixes_next(c->l, &at));)
        for (size_t i = 0; m->set == c->set && i < m->n_targets; i++) {
            const struct target *t = &m->targets[i];
            if (!page_is_meant(c->l->r, t) || (t->performer >= 0) != by_name)
                continue;
            mean(c, t, by_name);
            any = true;
        }
    return any;
}

/* The section that is marked, or that of the page where more than it is. */
static const char *section_meant(const struct chart *c)
{
    const struct fix_report *r = c->l->r;
    const struct report_moment *m;
    int found = -1;
    for (size_t at = 0; (m = fixes_next(c->l, &at));)
        for (size_t i = 0; m->set == c->set && i < m->n_targets; i++) {
            const struct target *t = &m->targets[i];
            if (t->performer >= 0 || !page_is_meant(r, t))
                continue;
            if (!section_within(r->show, t->section, r->section) ||
                (found >= 0 && found != t->section))
                return r->show->sections[r->section].name;
            found = t->section;
        }
    return r->show->sections[found >= 0 ? found : r->section].name;
}

static void name_meant(struct chart *c, bool by_name)
{
    if (!by_name && c->l->r->performer < 0) {
        put_text(&c->meant, section_meant(c));
        return;
    }
    for (size_t i = 0; i < show_of(c)->n_performers; i++)
        if (c->of[i] == MEANT)
            buf_printf(&c->meant, "%s%s", c->meant.n ? ", " : "", show_of(c)->performers[i].label);
}

static void light(struct chart *c)
{
    const bool by_name = mean_all(c, true);
    if (!by_name)
        mean_all(c, false);
    for (size_t i = 0; i < show_of(c)->n_performers; i++)
        if (c->of[i] == OTHERS && of_page(c, (int)i))
            c->of[i] = REST;
    name_meant(c, by_name);
}

/* --- what is in the picture --------------------------------------------------------------------- */

/* A show file may say anything; no table has a dot further away (show/dots.c). */
static bool of_set(const struct chart *c, const struct dot *d)
{
    return d->set == c->set && fabs(d->x) <= FAR && fabs(d->y) <= FAR;
}

/* Out to the nearest sideline or hash, without which nobody knows how deep they stand. */
static void reach_a_line(struct chart *c)
{
    const struct grid *g = &show_of(c)->grid;
    struct grid_line lines[GRID_LINES];
    double most = INFINITY, nearest = 0;
    for (size_t i = 0, n = grid_lines(g, lines); i < n; i++) {
        const double off = fmax(fmax(c->front - lines[i].depth, lines[i].depth - c->back), 0);
        if (off < most) {
            most = off;
            nearest = lines[i].depth;
        }
    }
    c->front = fmin(c->front, nearest - 1);
    c->back = fmax(c->back, nearest + 1);
}

/* Room around those who are meant; false when the set has no dot of them. */
static bool frame(struct chart *c)
{
    enum { LETTERS = 24 }; /* of the picture's width */
    double left = INFINITY, right = -INFINITY;
    c->front = INFINITY, c->back = -INFINITY;
    for (size_t i = 0; i < show_of(c)->n_dots; i++) {
        const struct dot *d = &show_of(c)->dots[i];
        if (!of_set(c, d) || c->of[d->performer] != MEANT)
            continue;
        left = fmin(left, d->x), right = fmax(right, d->x);
        c->front = fmin(c->front, d->y), c->back = fmax(c->back, d->y);
    }
    if (!(left <= right))
        return false;
    const double wide = fmax(right - left + 2 * AROUND, LEAST), middle = (left + right) / 2;
    c->left = floor(middle - wide / 2), c->right = ceil(middle + wide / 2);
    c->front = floor(c->front - AROUND), c->back = ceil(c->back + AROUND);
    reach_a_line(c);
    c->letter = (c->right - c->left) / LETTERS;
    return true;
}

static bool seen(const struct chart *c, const struct dot *d)
{
    return of_set(c, d) && d->x >= c->left && d->x <= c->right && d->y >= c->front &&
           d->y <= c->back;
}

/* --- the ground --------------------------------------------------------------------------------- */

static void numbers(const char *const *names, const double *at, size_t n, struct buf *out)
{
    for (size_t i = 0; i < n; i++) {
        buf_printf(out, " %s=\"", names[i]);
        html_number(out, at[i]);
        buf_char(out, '"');
    }
}

static void line(const char *class, const double at[4], struct buf *out)
{
    static const char *const names[] = {"x1", "y1", "x2", "y2"};
    buf_printf(out, "<line class=\"%s\"", class);
    numbers(names, at, 4, out);
    buf_str(out, "/>\n");
}

static void text(const char *class, double x, double y, const char *words, struct buf *out)
{
    static const char *const names[] = {"x", "y"};
    buf_printf(out, "<text class=\"%s\"", class);
    numbers(names, (const double[]){x, y}, 2, out);
    buf_char(out, '>');
    html_text(out, words);
    buf_str(out, "</text>\n");
}

/* Of those every eight steps from the middle. */
static int last_line(const struct chart *c)
{
    return (int)(grid_half(&show_of(c)->grid) / YARD_LINE) * YARD_LINE;
}

static void put_yard_lines(const struct chart *c, struct buf *out)
{
    const double front = fmax(c->front, 0), back = fmin(c->back, show_of(c)->grid.back_sideline);
    for (int x = -last_line(c); x <= last_line(c); x += YARD_LINE) {
        char yard[16];
        if (x < c->left || x > c->right || front > back)
            continue;
        line("yard", (const double[]){x, -front, x, -back}, out);
        grid_number(&show_of(c)->grid, x, yard);
        text("number", x, -c->front + c->letter, yard, out);
    }
}

/* A hash is a stroke across each yard line, as it is painted. */
static void put_depth(const struct chart *c, const struct grid_line *l, struct buf *out)
{
    const double half = grid_half(&show_of(c)->grid), depth = l->depth;
    const double left = fmax(c->left, -half), right = fmin(c->right, half);
    const bool hash = l->kind == LINE_HASH;
    if (!hash)
        line(l->kind == LINE_EDGE ? "side" : "yard", (const double[]){left, -depth, right, -depth},
             out);
    for (int x = -last_line(c); hash && x <= last_line(c); x += YARD_LINE)
        if (x >= c->left && x <= c->right)
            line("hash",
                 (const double[]){fmax(x - 1, c->left), -depth, fmin(x + 1, c->right), -depth},
                 out);
}

static void put_ground(const struct chart *c, struct buf *out)
{
    const struct grid *g = &show_of(c)->grid;
    struct grid_line lines[GRID_LINES];
    const size_t n = grid_lines(g, lines);
    const double below = -c->front + 2.3 * c->letter;
    put_yard_lines(c, out);
    for (size_t i = 0; i < n; i++) {
        if (lines[i].depth < c->front || lines[i].depth > c->back)
            continue;
        put_depth(c, &lines[i], out);
        text("from", c->left, -lines[i].depth - 0.3 * c->letter, lines[i].name, out);
    }
    text("from", c->left, below, "side 1", out);
    text("number", (c->left + c->right) / 2, below, "front: the box", out);
    text("to", c->right, below, "side 2", out);
    text("number", (c->left + c->right) / 2, -c->back - 0.4 * c->letter, "back", out);
}

/* --- people ------------------------------------------------------------------------------------- */

static void put_dot(const struct chart *c, const struct dot *d, enum light light, struct buf *out)
{
    static const char *const classes[] = {"other", "rest", "meant"};
    static const double sizes[] = {0.2, 0.3, 0.42}; /* of a letter */
    static const char *const names[] = {"r", "cx", "cy"};
    const double r = fmin(sizes[light] * c->letter, 1.5 * sizes[light] / sizes[MEANT]);
    const bool crowded = c->right - c->left > 2 * LEAST;
    buf_printf(out, "<circle class=\"%s\"", classes[light]);
    numbers(names, (const double[]){r, d->x, -d->y}, 3, out);
    buf_str(out, "/>\n");
    if (light == MEANT || (light == REST && !crowded))
        text(light == MEANT ? "label" : "label rest", d->x, -d->y - r - 0.2 * c->letter,
             show_of(c)->performers[d->performer].label, out);
}

/* Those who are meant come last, above the others. */
static void put_dots(struct chart *c, struct buf *out)
{
    for (enum light light = OTHERS; light <= MEANT; light++)
        for (size_t i = 0; i < show_of(c)->n_dots; i++) {
            const struct dot *d = &show_of(c)->dots[i];
            if (!seen(c, d) || c->of[d->performer] != light)
                continue;
            put_dot(c, d, light, out);
            c->n[light]++;
        }
}

static void put_legend(const struct chart *c, struct buf *out)
{
    const struct fix_report *r = c->l->r;
    buf_str(out, "<p class=\"legend\">Filled: ");
    html_text(out, c->meant.p);
    buf_char(out, '.');
    if (c->n[REST]) {
        buf_str(out, " Rings: the rest of the ");
        html_name(out, r->show->sections[r->section].name);
        buf_char(out, '.');
    }
    buf_str(out, c->n[OTHERS] ? " Points: everybody else.</p>\n" : "</p>\n");
}

static void put_chart(struct chart *c, struct buf *out)
{
    static const char *const size[] = {"font-size"};
    const char *set = show_of(c)->sets[c->set].label;
    buf_str(out, "<details class=\"chart\"><summary>Set ");
    html_text(out, set);
    buf_str(out, ", from the box</summary>\n<svg viewBox=\"");
    html_number(out, c->left);
    buf_char(out, ' ');
    html_number(out, -c->back - 1.6 * c->letter);
    buf_char(out, ' ');
    html_number(out, c->right - c->left);
    buf_char(out, ' ');
    html_number(out, c->back - c->front + 4.2 * c->letter);
    buf_char(out, '"');
    numbers(size, &c->letter, 1, out);
    buf_str(out, " role=\"img\" aria-label=\"Set ");
    html_text(out, set);
    buf_str(out, ": ");
    html_text(out, c->meant.p);
    buf_str(out, "\">\n");
    put_ground(c, out);
    put_dots(c, out);
    buf_str(out, "</svg>\n");
    put_legend(c, out);
    buf_str(out, "</details>\n");
}

void page_set_chart(const struct fixes_line *l, int set, struct buf *out)
{
    struct chart c = {
        .l = l, .set = set, .of = xcalloc(l->r->show->n_performers + 1, sizeof *c.of)};
    light(&c);
    if (frame(&c))
        put_chart(&c, out);
    buf_free(&c.meant);
    free(c.of);
}
