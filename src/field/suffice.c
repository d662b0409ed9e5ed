/* Which picks say where a camera is. */
#include <math.h>

#include "base/buf.h"
#include "field/inside.h"

static const double one_place_in = 1, one_pixel = 1; /* nearer than that is the same */
static const double in_line_in = 6, in_line_px = 1;

int pick_number(const struct pick *s, size_t i)
{
    return s[i].number ? s[i].number : (int)i + 1;
}

/* What two picks have in common that none may, NULL: nothing. */
static const char *shared(const struct pick *a, const struct pick *b)
{
    return hypot(a->on.x - b->on.x, a->on.y - b->on.y) < one_place_in ? "spot of the ground"
           : hypot(a->at.x - b->at.x, a->at.y - b->at.y) < one_pixel  ? "pixel of the picture"
                                                                      : NULL;
}

static bool are_apart(const struct pick *s, size_t i, size_t k, struct err *e)
{
    const char *what = shared(&s[i], &s[k]);
    return !what || err_set(e, ERR_INPUT, "picks %d and %d are the same %s; take one off",
                            pick_number(s, i), pick_number(s, k), what);
}

static double off_line(double ax, double ay, double bx, double by, double cx, double cy)
{
    const double length = hypot(bx - ax, by - ay);
    return fabs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax)) / length;
}

static bool in_line(const struct pick *a, const struct pick *b, const struct pick *c)
{
    return off_line(a->on.x, a->on.y, b->on.x, b->on.y, c->on.x, c->on.y) < in_line_in ||
           off_line(a->at.x, a->at.y, b->at.x, b->at.y, c->at.x, c->at.y) < in_line_px;
}

/* Do all but one, or all, lie in the line of two of them? Their numbers are put into `said`. */
static bool all_in_line(const struct pick *s, size_t n, size_t i, size_t k, struct buf *said)
{
    size_t members = 0;
    buf_clear(said);
    for (size_t m = 0; m < n; m++) {
        if (m != i && m != k && !in_line(&s[i], &s[k], &s[m]))
            continue;
        buf_printf(said, "%s%d", members ? ", " : "", pick_number(s, m));
        members++;
    }
    return members + 1 >= n;
}

bool spots_suffice(const struct pick *s, size_t n, struct err *e)
{
    struct buf said = {0};
    bool ok = n >= 4 || err_set(e, ERR_INPUT, "%zu pick%s; a camera needs four, no three in a line",
                                n, n == 1 ? "" : "s");
    for (size_t i = 0; ok && i < n; i++)
        ok = (isfinite(s[i].at.x) && isfinite(s[i].at.y) && isfinite(s[i].on.x) &&
              isfinite(s[i].on.y)) ||
             err_set(e, ERR_INPUT, "pick %d has no place", pick_number(s, i));
    for (size_t i = 0; ok && i < n; i++)
        for (size_t k = i + 1; ok && k < n; k++)
            ok = are_apart(s, i, k, e);
    for (size_t i = 0; ok && i < n; i++)
        for (size_t k = i + 1; ok && k < n; k++)
            if (all_in_line(s, n, i, k, &said))
                ok = err_set(e, ERR_INPUT,
                             "picks %s lie in one line, which says nothing of the rest; pick spots "
                             "in front of and behind it",
                             buf_text(&said));
    buf_free(&said);
    return ok;
}
