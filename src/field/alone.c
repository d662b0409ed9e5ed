#include "field/alone.h"

#include <math.h>
#include <string.h>

#include "field/meant.h"

/* Where press boxes are, lenses and grounds (common practice, no source). */
static const struct prior usual[CAMERA_PARAMETERS] = {[CAMERA_Y] = {-1000, 1500},
                                                      [CAMERA_Z] = {480, 400},
                                                      [CAMERA_ROLL] = {0, 0.1},
                                                      [CAMERA_K1] = {0, 0.015},
                                                      [CAMERA_CROWN] = {6, 8}};
static const double usually = 4; /* measurements that what is usual is worth */

static bool crossing(const struct pointed *a, const struct pointed *b, struct pixel *out)
{
    const double ax = a->to.x - a->at.x, ay = a->to.y - a->at.y;
    const double bx = b->to.x - b->at.x, by = b->to.y - b->at.y, det = ax * by - ay * bx;
    if (fabs(det) < 0.02 * hypot(ax, ay) * hypot(bx, by))
        return false;
    const double t = ((b->at.x - a->at.x) * by - (b->at.y - a->at.y) * bx) / det;
    *out = (struct pixel){a->at.x + t * ax, a->at.y + t * ay};
    return true;
}

static bool near_picture(const struct pointing *p, struct pixel at)
{
    return at.x > -p->width / 4 && at.x < p->width * 5 / 4 && at.y > -p->height / 4 &&
           at.y < p->height * 5 / 4;
}

static bool have(const struct pick *picks, size_t n, struct field_place on)
{
    for (size_t i = 0; i < n; i++)
        if (hypot(picks[i].on.x - on.x, picks[i].on.y - on.y) < 1)
            return true;
    return false;
}

size_t pointed_spots(struct arena *a, const struct pointing *p, double sd, struct pick **out)
{
    struct pick *spots = arena_alloc(a, (p->n * p->n + p->n + 1) * sizeof *spots);
    size_t n = 0;
    for (size_t i = 0; i < p->n; i++)
        if (p->at[i].kind == PICK_SPOT)
            spots[n++] = (struct pick){PICK_SPOT, p->at[i].at, p->at[i].on, sd, p->at[i].number};
    for (size_t i = 0; i < p->n; i++)
        for (size_t k = 0; k < p->n; k++) {
            const struct pointed *x = &p->at[i], *y = &p->at[k];
            const struct field_place on = {x->on.x, y->on.y};
            struct pixel at;
            if (x->kind == PICK_YARD_LINE && y->kind == PICK_ALONG && !have(spots, n, on) &&
                crossing(x, y, &at) && near_picture(p, at))
                spots[n++] = (struct pick){PICK_SPOT, at, on, sd, x->number};
        }
    *out = spots;
    return n;
}

/* Each spot, and both ends of each line. */
static size_t measurements(const struct pointing *p, int without, double sd, struct pick *out)
{
    size_t n = 0;
    for (size_t i = 0; i < p->n; i++) {
        const struct pointed *x = &p->at[i];
        if (x->number == without)
            continue;
        out[n++] = (struct pick){x->kind, x->at, x->on, sd, x->number};
        if (x->kind != PICK_SPOT)
            out[n++] = (struct pick){x->kind, x->to, x->on, sd, x->number};
    }
    return n;
}

struct
try {
    struct arena *a;
    const struct pointing *p;
    struct pick *picks;
    int without;
};

static size_t spots_of(const struct try *t, double sd, struct pick **spots)
{
    size_t n = pointed_spots(t->a, t->p, sd, spots), kept = 0;
    for (size_t i = 0; i < n; i++)
        if ((*spots)[i].number != t->without)
            (*spots)[kept++] = (*spots)[i];
    return kept;
}

static struct camera_ask asked(const struct try *t, double sd)
{
    struct camera_ask ask = {.picks = t->picks, .n = measurements(t->p, t->without, sd, t->picks)};
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        ask.free[k] = k != CAMERA_CROWN || t->p->grid->surface == SURFACE_FOOTBALL;
    memcpy(ask.prior, usual, sizeof usual);
    return ask;
}

static bool start(const struct try *t, double sd, struct camera_fit *out, struct err *e)
{
    struct pick *spots;
    const size_t n = spots_of(t, sd, &spots);
    const struct meant_ask ask = {
        asked(t, sd),
        spots,
        n,
        {.width = t->p->width, .height = t->p->height, .half = t->p->grid->back_sideline_in / 2}};
    return camera_meant(&ask, out, e);
}

static bool improve(const struct try *t, const struct camera *from, double sd,
                    struct camera_fit *out, struct err *e)
{
    const struct camera_ask ask = asked(t, sd);
    return camera_improve(&ask, from, out, e);
}

/* The sum of squared misses in pixels of what was pointed at, and how many they are. */
static double misses(const struct try *t, const struct camera *c, size_t *numbers)
{
    const size_t n = measurements(t->p, t->without, 1, t->picks);
    double sum = 0;
    *numbers = 0;
    for (size_t i = 0; i < n; i++) {
        double m[2];
        const int k = pick_miss(c, &t->picks[i], m);
        for (int j = 0; j < k; j++)
            sum += m[j] * m[j];
        *numbers += (size_t)k;
    }
    return sum;
}

/* freedom: how many measurements the sd rests on, what is usual among them. */
static bool fit(const struct try *t, struct alone *out, double *freedom, struct err *e)
{
    const double usual_sd = POINTING_SD * t->p->height;
    out->sd = usual_sd;
    if (!start(t, out->sd, &out->fit, e))
        return false;
    for (int round = 0; round < 3; round++) {
        size_t numbers;
        const struct camera from = out->fit.camera;
        if (round > 0 && !improve(t, &from, out->sd, &out->fit, e))
            return false;
        const double squares = misses(t, &out->fit.camera, &numbers);
        /* four spots leave one number to be missed by; what lens and crown take up is left to them */
        *freedom = usually + (numbers > 7 ? (double)numbers - 7 : 0);
        out->sd = sqrt((usually * usual_sd * usual_sd + squares) / *freedom);
    }
    return true;
}

/* The miss of the one that was left out. */
static double off(const struct try *t, const struct camera *c)
{
    double most = 0;
    for (size_t i = 0; i < t->p->n; i++) {
        const struct pointed *x = &t->p->at[i];
        double m[2] = {0, 0};
        if (x->number != t->without)
            continue;
        for (int end = 0; end < (x->kind == PICK_SPOT ? 1 : 2); end++) {
            const struct pick one = {x->kind, end ? x->to : x->at, x->on, 1, x->number};
            const int k = pick_miss(c, &one, m);
            most = fmax(most, k == 0 ? INFINITY : k == 2 ? hypot(m[0], m[1]) : fabs(m[0]));
        }
    }
    return most;
}

/* The one whose leaving out makes the others agree better than chance does: an F test of its two
 * numbers against what the others miss, each as likely to be the one (Bonferroni). With few to spare,
 * who points badly at all of them is easily taken for somebody who missed one; hence so rarely. */
static void disagreeing(struct try *t, double *freedom, struct alone *out)
{
    const double squares = out->sd * out->sd * *freedom;
    const size_t n = t->p->n;
    double least = 0.0001 / (double)n;
    struct alone best = *out;
    for (size_t i = 0; i < n; i++) {
        struct alone one = {.disagrees = t->p->at[i].number};
        struct err none;
        double left;
        t->without = one.disagrees;
        if (!fit(t, &one, &left, &none))
            continue;
        /* the upper tail of F with 2 and `left` degrees has this closed form */
        const double chance = pow(one.sd * one.sd * left / squares, left / 2);
        if (chance >= least)
            continue;
        least = chance;
        *freedom = left;
        one.off_px = off(t, &one.fit.camera);
        best = one;
    }
    t->without = 0;
    *out = best;
}

/* How well was pointed is an estimate itself: of 95 %, an ellipse is larger by what Student's
 * distribution in two dimensions has more than the normal one (its square is F's with 2). */
static void widen(struct camera_fit *f, double freedom)
{
    static const double two_95 = 5.991464547107979;
    const double more = freedom * (pow(0.05, -2 / freedom) - 1) / two_95;
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        for (int k = 0; k < CAMERA_PARAMETERS; k++)
            f->cov[i][k] *= more;
}

bool alone_fit(struct arena *a, const struct pointing *p, struct alone *out, struct err *e)
{
    enum { TO_SPARE = 6 };
    static const double nobody = 0.03; /* of the picture's height: so badly points nobody */
    struct try t = {.a = a, .p = p, .picks = arena_alloc(a, (2 * p->n + 1) * sizeof *t.picks)};
    *out = (struct alone){0};
    double freedom;
    if (!fit(&t, out, &freedom, e))
        return false;
    if (p->n >= TO_SPARE)
        disagreeing(&t, &freedom, out);
    if (out->sd > nobody * p->height)
        return err_set(e, ERR_INPUT,
                       "the picks do not agree with each other: they are off by %.0f px; is one of "
                       "them another spot, or was the camera turned between them?",
                       out->sd);
    widen(&out->fit, freedom);
    return true;
}
