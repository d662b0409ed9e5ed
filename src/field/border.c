#include "field/border.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_statistics_double.h>

#include "field/bar.h"

const double border_enough = 20 * 10; /* pieces that must agree, grey levels of each */
static const double apart = 24;       /* inches between pieces of paint */

/* How much of a bar of that width is where a sideline would be (0 front, 1 back), moved by so many
 * inches of depth: broader ones lose contrast inside, narrower ones beside. */
static double one_agrees(const struct border_ask *ask, const struct camera *c, int which,
                         double width, double moved)
{
    struct paint_list paint;
    double sum = 0;
    paint_of(ask->grid, apart, width, &paint);
    for (size_t i = 0; i < paint.n; i++) {
        const struct painted *p = &paint.at[i];
        struct camera_slope s;
        struct pixel at;
        struct bar found;
        const struct field_place on = {p->at.x, p->at.y + moved};
        if (p->kind != PAINT_SIDELINE || p->line != which || !camera_sees(c, on, &at, &s))
            continue;
        const double length = hypot(s.by_place[0][0], s.by_place[1][0]);
        const double normal[2] = {-s.by_place[1][0] / length, s.by_place[0][0] / length};
        const double thick =
            fabs(s.by_place[0][1] * normal[0] + s.by_place[1][1] * normal[1]) * width;
        const struct bar_ask bar = {.at = at,
                                    .normal = {normal[0], normal[1]},
                                    .along = {normal[1], -normal[0]},
                                    .length = length * apart,
                                    .width = fmax(thick, 1.2),
                                    .reach = 6,
                                    .least_bright = 10,
                                    .noise = ask->noise};
        if (bar_find(ask->picture, &bar, &found))
            sum += found.contrast / (1 + found.offset * found.offset / 4);
    }
    paint_free(&paint);
    return sum;
}

static double agrees(const struct border_ask *ask, const struct camera *c, double width)
{
    return one_agrees(ask, c, 0, width, 0) + one_agrees(ask, c, 1, width, 0);
}

double border_seen(const struct border_ask *ask, const struct camera *c)
{
    return fmax(agrees(ask, c, 8), fmax(agrees(ask, c, 24), agrees(ask, c, 60)));
}

/* What is there in any depth (yard lines that are crossed, people) does not count. */
bool border_is_elsewhere(const struct border_ask *ask, const struct camera *c)
{
    enum { AWAY = 6, ALL = 2 * AWAY + 1 }; /* steps, in front and behind */
    static const double step = 22.5, stands_out = 4;
    for (int which = 0; which < 2; which++) {
        double at[ALL], there = 0;
        const double here =
            fmax(one_agrees(ask, c, which, 24, 0), one_agrees(ask, c, which, 60, 0));
        for (int i = 0; i < ALL; i++) {
            const double moved = (i - AWAY) * step;
            at[i] = fmax(one_agrees(ask, c, which, 8, moved), one_agrees(ask, c, which, 24, moved));
            if (abs(i - AWAY) > 1)
                there = fmax(there, at[i]);
        }
        const double anywhere = gsl_stats_median(at, 1, ALL);
        if (there > 2 * border_enough && there > stands_out * fmax(here, anywhere))
            return true;
    }
    return false;
}

/* What schools paint: 4 in to 6 ft (a solid border). */
double border_width(const struct border_ask *ask, const struct camera *c)
{
    static const double widths[] = {4, 6, 8, 12, 18, 24, 36, 48, 72};
    double best = 0, most = border_enough;
    for (size_t i = 0; i < sizeof widths / sizeof *widths; i++) {
        const double now = agrees(ask, c, widths[i]);
        if (now > most) {
            most = now;
            best = widths[i];
        }
    }
    return best;
}
