/* The ground in numbers. */
#include "show/grid.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { FT = 12, WIDTH_IN = 160 * FT, GOAL_IN = 150 * FT };

static const struct {
    const char *name, *said;
    struct grid grid;
} known[] = {
    {"high-school",
     "high school (28 28 28 steps)",
     {SURFACE_FOOTBALL, 28, 56, 84, 640, WIDTH_IN - 640, WIDTH_IN, GOAL_IN}},
    {"college",
     "college (32 20 32 steps)",
     {SURFACE_FOOTBALL, 32, 52, 84, 720, WIDTH_IN - 720, WIDTH_IN, GOAL_IN}},
    {"professional",
     "professional (38 10 38 steps)",
     {SURFACE_FOOTBALL, 38, 48, 86, 849, WIDTH_IN - 849, WIDTH_IN, GOAL_IN}},
};
enum { KNOWN = sizeof known / sizeof *known };

const struct grid *grid_named(const char *name)
{
    for (size_t i = 0; i < KNOWN; i++)
        if (strcmp(known[i].name, name) == 0)
            return &known[i].grid;
    return NULL;
}

bool grid_same(const struct grid *a, const struct grid *b)
{
    return a->surface == b->surface && a->front_hash == b->front_hash &&
           a->back_hash == b->back_hash && a->back_sideline == b->back_sideline &&
           a->back_sideline_in == b->back_sideline_in && a->front_hash_in == b->front_hash_in &&
           a->side_in == b->side_in;
}

/* --- a floor by numbers ---------------------------------------------------------------------- */

static bool wrong(const char *text, struct err *e)
{
    return err_set(e, ERR_INPUT,
                   "no field '%s'; write high-school, college, professional, or a floor with its "
                   "width and depth: floor 90x60 ft",
                   text);
}

static double unit_in(const char *unit)
{
    static const struct {
        const char *name;
        double inches;
    } units[] = {{"ft", FT}, {"feet", FT}, {"'", FT}, {"yd", 36}, {"m", 1 / 0.0254}, {"in", 1}};
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        if (strcasecmp(unit, units[i].name) == 0)
            return units[i].inches;
    return 0;
}

static bool floor_of(double across, double depth, const char *text, struct grid *out, struct err *e)
{
    static const double least = 10 * FT, most = 1000 * FT;
    if (!(across >= least && across <= most && depth >= least && depth <= most))
        return err_set(e, ERR_INPUT, "'%s': a floor has 10 to 1000 ft in each direction", text);
    const double steps = depth / GRID_ACROSS_IN;
    *out = (struct grid){SURFACE_FLOOR, steps / 2, steps / 2, steps,
                         depth / 2,     depth / 2, depth,     across / 2};
    return true;
}

bool grid_read(const char *text, struct grid *out, struct err *e)
{
    const struct grid *there = grid_named(text);
    double across, depth;
    char unit[6] = "", rest;
    if (there) {
        *out = *there;
        return true;
    }
    if (sscanf(text, "floor %lf x%lf %5s %c", &across, &depth, unit, &rest) != 3 ||
        unit_in(unit) == 0)
        return wrong(text, e);
    return floor_of(across * unit_in(unit), depth * unit_in(unit), text, out, e);
}

void grid_said(const struct grid *g, char out[80])
{
    for (size_t i = 0; i < KNOWN; i++)
        if (grid_same(g, &known[i].grid)) {
            snprintf(out, 80, "%s", known[i].said);
            return;
        }
    snprintf(out, 80, "floor of %.4g by %.4g ft (%.4g by %.4g steps)", 2 * g->side_in / FT,
             g->back_sideline_in / FT, 2 * g->side_in / GRID_ACROSS_IN, g->back_sideline);
}

/* --- lines ----------------------------------------------------------------------------------- */

size_t grid_lines(const struct grid *g, struct grid_line out[GRID_LINES])
{
    const struct grid_line football[] = {{0, "front sideline", LINE_EDGE},
                                         {g->front_hash, "front hash", LINE_HASH},
                                         {g->back_hash, "back hash", LINE_HASH},
                                         {g->back_sideline, "back sideline", LINE_EDGE}},
                           floor[] = {{0, "front edge", LINE_EDGE},
                                      {g->front_hash, "center", LINE_MIDDLE},
                                      {g->back_sideline, "back edge", LINE_EDGE}};
    const bool is_floor = g->surface == SURFACE_FLOOR;
    memcpy(out, is_floor ? floor : football, is_floor ? sizeof floor : sizeof football);
    return is_floor ? 3 : 4;
}

double grid_half(const struct grid *g)
{
    return g->side_in / GRID_ACROSS_IN;
}

void grid_number(const struct grid *g, int x, char out[16])
{
    snprintf(out, 16, "%d", g->surface == SURFACE_FLOOR ? abs(x) : 50 - abs(x) * 5 / 8);
}

/* --- depth ----------------------------------------------------------------------------------- */

/* One stretch between two lines, on one scale and on the other. */
struct part {
    double from, to, from_in, to_in;
};

static struct part part_at(const struct grid *g, bool first, bool middle)
{
    if (first)
        return (struct part){0, g->front_hash, 0, g->front_hash_in};
    if (middle)
        return (struct part){g->front_hash, g->back_hash, g->front_hash_in, g->back_hash_in};
    return (struct part){g->back_hash, g->back_sideline, g->back_hash_in, g->back_sideline_in};
}

double grid_depth_in(const struct grid *g, double y)
{
    const struct part p = part_at(g, y <= g->front_hash, y <= g->back_hash);
    return p.from_in + (y - p.from) * (p.to_in - p.from_in) / (p.to - p.from);
}

double grid_depth_steps(const struct grid *g, double inches)
{
    const struct part p = part_at(g, inches <= g->front_hash_in, inches <= g->back_hash_in);
    return p.from + (inches - p.from_in) * (p.to - p.from) / (p.to_in - p.from_in);
}
