/* Places in the language of dot sheets. */
#include <math.h>
#include <stdio.h>

#include "show/grid.h"

static const double same = 1e-6;

static bool in_quarters(double steps)
{
    return fabs(steps * 4 - round(steps * 4)) < same;
}

/* The line to count from: the nearest of those that give quarter steps, else the nearest. Of two
 * the first. */
static const struct grid_line *count_from(const struct grid_line *lines, size_t n, double at)
{
    const struct grid_line *best = &lines[0];
    for (size_t i = 1; i < n; i++) {
        const bool good = in_quarters(at - lines[i].depth), was = in_quarters(at - best->depth);
        if (good != was ? good : fabs(at - lines[i].depth) < fabs(at - best->depth) - same)
            best = &lines[i];
    }
    return best;
}

/* "2.5" */
static const char *number(double steps, char out[24])
{
    snprintf(out, 24, "%.10g", round(fabs(steps) * 100) / 100);
    return out;
}

/* A hundredth of a step is the least that is said. */
static bool nothing(double steps)
{
    return fabs(steps) < 0.005;
}

static void across_lines(double x, char out[SPOT_TEXT])
{
    enum { GOAL = 80, APART = 8, YARDS = 5 };
    const double from_50 = fabs(x);
    int inner = (int)floor((from_50 + same) / APART);
    char steps[24], name[16];
    inner = inner * APART > GOAL ? GOAL / APART : inner;
    const double past = from_50 - inner * APART;
    const bool outside = past <= APART / 2.0 + same || inner * APART == GOAL;
    const int line = outside ? inner : inner + 1;
    const double away = outside ? past : APART - past;
    snprintf(name, sizeof name, line * APART == GOAL ? "goal line" : "%d", 50 - line * YARDS);
    if (nothing(away) && line == 0)
        snprintf(out, SPOT_TEXT, "on 50");
    else if (nothing(away))
        snprintf(out, SPOT_TEXT, "side %d, on %s", x < 0 ? 1 : 2, name);
    else
        snprintf(out, SPOT_TEXT, "side %d, %s %s %s", x < 0 ? 1 : 2, number(away, steps),
                 outside ? "outside" : "inside", name);
}

void across_text(const struct grid *g, double x, char out[SPOT_TEXT])
{
    char steps[24];
    if (g->surface == SURFACE_FOOTBALL)
        across_lines(x, out);
    else if (nothing(x))
        snprintf(out, SPOT_TEXT, "on center");
    else
        snprintf(out, SPOT_TEXT, "side %d, %s off center", x < 0 ? 1 : 2, number(x, steps));
}

void depth_text(const struct grid *g, double y, char out[SPOT_TEXT])
{
    struct grid_line lines[GRID_LINES];
    const struct grid_line *l = count_from(lines, grid_lines(g, lines), y);
    const double away = y - l->depth;
    char steps[24];
    if (nothing(away))
        snprintf(out, SPOT_TEXT, "on %s", l->name);
    else
        snprintf(out, SPOT_TEXT, "%s %s %s", number(away, steps),
                 away > 0 ? "behind" : "in front of", l->name);
}

void spot_text(const struct grid *g, double x, double y, char out[2 * SPOT_TEXT])
{
    char across[SPOT_TEXT], depth[SPOT_TEXT];
    across_text(g, x, across);
    depth_text(g, y, depth);
    snprintf(out, 2 * SPOT_TEXT, "%.60s; %.60s", across, depth);
}
