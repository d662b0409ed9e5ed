/* The numbers of a field: what is painted beside every other line. */
#include <math.h>

#include "field/follow.h"

/* Where numbers may stand: a box beside a line, in inches from it and from the sideline. Tops at 9 yd
 * and 6 ft high (NCAA 1-2-1-i, and high schools); bottoms at 12 yd where professionals play. The box
 * takes in both. */
static const double from_in = 240, to_in = 520, beside_in = 12, wide_in = 54, apart = 9;

static bool level_at(const struct luma *l, const struct camera *c, struct field_place at,
                     double *out)
{
    struct pixel p;
    if (!camera_sees(c, at, &p, NULL) || !(p.x >= 0 && p.y >= 0) || p.x >= l->width ||
        p.y >= l->height)
        return false;
    *out = l->at[(size_t)p.y * l->stride + (size_t)p.x];
    return true;
}

/* How much the levels differ in the box: the standard deviation; false when it is not in the
 * picture whole. */
static bool busy(const struct luma *l, const struct camera *c, const struct grid *g, double line,
                 bool back, double *out)
{
    double sum = 0, squares = 0;
    int n = 0;
    for (int side = -1; side <= 1; side += 2)
        for (double x = beside_in; x < wide_in; x += apart)
            for (double y = from_in; y < to_in; y += apart) {
                const struct field_place at = {line + side * x, back ? g->back_sideline_in - y : y};
                double v;
                if (!level_at(l, c, at, &v))
                    return false;
                sum += v;
                squares += v * v;
                n++;
            }
    *out = sqrt(fmax(0, squares / n - sum / n * (sum / n)));
    return true;
}

double numbers_at_tens(const struct luma *picture, const struct camera *c, const struct grid *g)
{
    enum { LINE = 180, LAST = 9 };
    double sums[2] = {0, 0};
    int n[2] = {0, 0};
    for (int back = 0; back < 2; back++)
        for (int k = -LAST + 1; k < LAST; k++) { /* no number stands at a goal line */
            double x;
            if (busy(picture, c, g, k * LINE, back, &x)) {
                sums[k & 1] += x;
                n[k & 1]++;
            }
        }
    return n[0] && n[1] ? sums[0] / n[0] - sums[1] / n[1] : 0;
}
