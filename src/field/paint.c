#include "field/paint.h"

#include <stdlib.h>

#include "base/arena.h"

static const double line_width = 4, hash_length = 24;
enum { YARD = 36, GOAL_YARDS = 50, LINES_APART = 5 };

static void add(struct paint_list *l, size_t *cap, struct painted p)
{
    l->at = array_grow(l->at, l->n, cap, sizeof *l->at);
    l->at[l->n++] = p;
}

/* Yard lines are looked at clear of what crosses them: the sidelines and the hashes. */
static bool crossed(const struct grid *g, double y)
{
    const double lines[] = {0, g->front_hash_in, g->back_hash_in, g->back_sideline_in};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        if (y > lines[i] - YARD / 2.0 && y < lines[i] + YARD / 2.0)
            return true;
    return false;
}

static void sideline(const struct grid *g, double apart, double width, int back,
                     struct paint_list *out, size_t *cap)
{
    const double y = back ? g->back_sideline_in + width / 2 : -width / 2;
    for (double x = -g->side_in + apart / 2; width > 0 && x < g->side_in; x += apart)
        add(out, cap, (struct painted){{x, y}, width, apart, PAINT_SIDELINE, back});
}

static void hash_row(const struct grid *g, int back, struct paint_list *out, size_t *cap)
{
    const double y = back ? g->back_hash_in : g->front_hash_in;
    for (int yards = -GOAL_YARDS; yards <= GOAL_YARDS; yards++)
        if (yards % LINES_APART != 0)
            add(out, cap,
                (struct painted){{yards * YARD, y}, hash_length, line_width, PAINT_HASH, 2 + back});
}

void paint_of(const struct grid *g, double apart, double sideline_width, struct paint_list *out)
{
    size_t cap = 0;
    *out = (struct paint_list){0};
    if (g->surface != SURFACE_FOOTBALL)
        return;
    for (int yards = -GOAL_YARDS; yards <= GOAL_YARDS; yards += LINES_APART)
        for (double y = apart / 2; y < g->back_sideline_in; y += apart)
            if (!crossed(g, y))
                add(out, &cap,
                    (struct painted){{yards * YARD, y}, line_width, apart, PAINT_YARD_LINE, yards});
    for (int back = 0; back < 2; back++)
        sideline(g, apart, sideline_width, back, out, &cap);
    for (int back = 0; back < 2; back++)
        hash_row(g, back, out, &cap);
}

void paint_free(struct paint_list *l)
{
    free(l->at);
    *l = (struct paint_list){0};
}
