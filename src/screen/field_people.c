/* Who stands on the field, and the marks. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "base/utf8.h"
#include "screen/field.h"

/* --- points ------------------------------------------------------------------------------------ */

/* What a cell has of people. */
struct crowd {
    unsigned char dots; /* of a braille character */
    unsigned char n;    /* people; 255: or more */
    bool lit, label;
};

struct people {
    const struct desk *d;
    struct canvas *c;
    const struct sight *s;
    struct set_count when;
    struct crowd *at; /* by cell of the area */
    struct target chosen;
    bool anybody;
};

static struct crowd *crowd_at(const struct people *p, struct point cell)
{
    const struct rect *a = &p->s->area;
    return &p->at[(cell.row - a->row) * a->cols + cell.col - a->col];
}

/* Unicode, "Braille Patterns": dots 1 2 3 7 down the left column, 4 5 6 8 down the right. */
static unsigned char braille_dot(struct point p)
{
    static const unsigned char dots[4][2] = {
        {0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};
    return dots[p.row & 3][p.col & 1];
}

/* Points that a person is wide: where there is room, more than one. */
static int width_of(const struct sight *s)
{
    return s->points >= 2 ? 3 : s->points >= 1.2 ? 2 : 1;
}

/* One who is chosen alone has a sign of their own. */
static void stand(const struct people *p, struct point at, bool lit)
{
    const int wide = lit && p->chosen.performer >= 0 ? 0 : width_of(p->s);
    struct point cell, middle;
    for (int i = 0; i < wide * wide; i++) {
        const struct point part = {at.row + i / wide - wide / 2, at.col + i % wide - wide / 2};
        if (!sight_cell(p->s, part, &cell))
            continue;
        crowd_at(p, cell)->dots |= braille_dot(part);
        crowd_at(p, cell)->lit |= lit;
    }
    if (sight_cell(p->s, at, &middle) && crowd_at(p, middle)->n < 255)
        crowd_at(p, middle)->n++;
}

static bool is_lit(const struct people *p, int performer)
{
    const struct show *show = &p->d->app->show;
    return p->anybody &&
           (p->chosen.performer >= 0
                ? performer == p->chosen.performer
                : section_within(show, show->performers[performer].section, p->chosen.section));
}

static int stand_all(const struct people *p)
{
    int n = 0;
    struct dot_place at;
    for (size_t i = 0; i < p->d->app->show.n_performers; i++)
        if (field_place(p->d, (int)i, p->when, &at)) {
            stand(p, sight_point(p->s, at), is_lit(p, (int)i));
            n++;
        }
    return n;
}

/* Without fine characters: one, or how many. */
static void plain_text(const struct crowd *x, char out[5])
{
    snprintf(out, 5, "%c", x->n < 2 ? (x->lit ? 'O' : 'o') : x->n > 9 ? '9' : '0' + x->n);
}

static void fine_text(const struct crowd *x, char out[5])
{
    out[utf8_put(0x2800u + x->dots, out)] = '\0';
}

static void draw_crowd(const struct people *p)
{
    const struct rect *a = &p->s->area;
    for (int i = 0; i < a->rows * a->cols; i++) {
        const struct crowd *x = &p->at[i];
        char text[5];
        if (p->c->utf8 ? !x->dots : !x->n)
            continue;
        (p->c->utf8 ? fine_text : plain_text)(x, text);
        canvas_text(p->c, strip(a->row + i / a->cols, a->col + i % a->cols, 1),
                    x->lit       ? ST_KEY
                    : p->anybody ? ST_NORMAL
                                 : ST_STRONG,
                    text);
    }
}

/* --- labels ------------------------------------------------------------------------------------ */

/* Nobody's place; beside a label there is a blank. */
static bool is_free(const struct people *p, struct point cell, int cols)
{
    const struct rect *a = &p->s->area;
    if (cell.row < a->row || cell.row >= a->row + a->rows || cell.col < a->col ||
        cell.col + cols > a->col + a->cols)
        return false;
    for (int i = -1; i <= cols; i++) {
        if (cell.col + i < a->col || cell.col + i >= a->col + a->cols)
            continue;
        const struct crowd *x = crowd_at(p, (struct point){cell.row, cell.col + i});
        if (x->label || (i >= 0 && i < cols && (x->dots || x->n)))
            return false;
    }
    return true;
}

/* Right of the dot, left of it, above, below; nowhere, unless it must. */
static void put_label(const struct people *p, struct point cell, const char *label, bool must)
{
    const int n = utf8_width(label), right = p->s->area.col + p->s->area.cols;
    const struct point beside[] = {{cell.row, cell.col + 1},
                                   {cell.row, cell.col - n},
                                   {cell.row - 1, cell.col - n / 2},
                                   {cell.row + 1, cell.col - n / 2},
                                   {cell.row, cell.col + n < right ? cell.col + 1 : cell.col - n}};
    enum { LAST = sizeof beside / sizeof *beside - 1 };
    for (int i = 0; i <= LAST; i++) {
        if (i < LAST ? !is_free(p, beside[i], n) : !must)
            continue;
        canvas_text(p->c, strip(beside[i].row, beside[i].col, n), must ? ST_NOW : ST_KEY, label);
        for (int k = 0; i < LAST && k < n; k++)
            crowd_at(p, (struct point){beside[i].row, beside[i].col + k})->label = true;
        return;
    }
}

/* The dot that the chosen performer comes to, also where somebody stands on it now. */
static void draw_goal(const struct people *p)
{
    const int next = field_next_set(p->d, p->when);
    struct dot_place at;
    struct point cell;
    if (ghost_dot(field_ghosts(p->d), p->chosen.performer, next, &at) &&
        sight_cell(p->s, sight_point(p->s, at), &cell))
        canvas_text(p->c, strip(cell.row, cell.col, 1), ST_KEY, glyph(p->c, "○", "*"));
}

static void draw_labels(const struct people *p)
{
    struct dot_place at;
    struct point cell;
    for (size_t i = 0; i < p->d->app->show.n_performers; i++) {
        const bool one = p->chosen.performer >= 0;
        if (!is_lit(p, (int)i) || !field_place(p->d, (int)i, p->when, &at) ||
            !sight_cell(p->s, sight_point(p->s, at), &cell))
            continue;
        if (one)
            canvas_text(p->c, strip(cell.row, cell.col, 1), ST_NOW, glyph(p->c, "●", "@"));
        put_label(p, cell, p->d->app->show.performers[i].label, one);
    }
}

int draw_people(const struct desk *d, struct canvas *c, const struct sight *s,
                struct set_count when)
{
    struct people p = {.d = d, .c = c, .s = s, .when = when};
    p.at = xcalloc((size_t)(s->area.rows * s->area.cols) + 1, sizeof *p.at);
    p.anybody = field_chosen(d, &p.chosen);
    const int n = stand_all(&p);
    draw_crowd(&p);
    if (p.anybody) {
        draw_goal(&p);
        draw_labels(&p);
    }
    free(p.at);
    return n;
}

/* --- the way ahead ----------------------------------------------------------------------------- */

void draw_way_ahead(const struct desk *d, struct canvas *c, const struct sight *s,
                    struct set_count when)
{
    const int next = field_next_set(d, when), counts = d->app->show.sets[next].counts;
    const double from = next == when.set ? when.count : 1;
    struct target t;
    struct dot_place at;
    struct point cell;
    if (!field_chosen(d, &t))
        return;
    for (int i = (int)floor(from) + 1; i <= counts; i++)
        if (ghost_at(field_ghosts(d), t.performer, (struct set_count){next, i}, &at) &&
            sight_cell(s, sight_point(s, at), &cell))
            canvas_text(c, strip(cell.row, cell.col, 1), ST_KEY, glyph(c, "·", "."));
}

/* --- marks ------------------------------------------------------------------------------------- */

void draw_patches(const struct desk *d, struct canvas *c, const struct sight *s)
{
    static const char *const shades[] = {"", "░", "▒", "▓", "▓", "█"}, *const plain[] = {"",  ".",
                                                                                         ":", "*",
                                                                                         "*", "#"};
    enum { MOST = 5 };
    const struct field_marks *m = field_marks(d);
    for (int row = s->area.row; row < s->area.row + s->area.rows; row++)
        for (int col = s->area.col; col < s->area.col + s->area.cols; col++) {
            const int n = field_patch(m, sight_place(s, row, col)), at = n > MOST ? MOST : n;
            if (n)
                canvas_text(c, strip(row, col, 1), ST_SERIOUS, glyph(c, shades[at], plain[at]));
        }
}

static void draw_mark(struct canvas *c, struct point cell, const struct field_mark *m)
{
    canvas_text(c, strip(cell.row, cell.col, 1), m->praise ? ST_PRAISE : ST_SERIOUS,
                m->praise ? "+" : glyph(c, "×", "x"));
}

void draw_standing_marks(const struct desk *d, struct canvas *c, const struct sight *s,
                         struct set_count when)
{
    const struct field_marks *m = field_marks(d);
    struct point cell;
    for (size_t i = 0; i < m->n; i++)
        if (m->at[i].set == when.set && sight_cell(s, sight_point(s, m->at[i].at), &cell))
            draw_mark(c, cell, &m->at[i]);
}
