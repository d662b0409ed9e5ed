#include "field/drawn.h"

#include <math.h>
#include <stdlib.h>

#include "base/arena.h"

double drawn_unit(unsigned long long *x)
{
    *x ^= *x << 13;
    *x ^= *x >> 7;
    *x ^= *x << 17;
    return (double)(*x >> 11) / 9007199254740992.0;
}

/* --- rays -------------------------------------------------------------------------------------- */

/* A pixel's ray is right x + down y + forward, x and y before the lens in focal lengths. */
struct eye {
    double right[3], down[3], forward[3];
    const struct camera *c;
};

static struct eye eye_of(const struct camera *c)
{
    const double sp = sin(c->p[CAMERA_PAN]), cp = cos(c->p[CAMERA_PAN]);
    const double st = sin(c->p[CAMERA_TILT]), ct = cos(c->p[CAMERA_TILT]);
    const double sr = sin(c->p[CAMERA_ROLL]), cr = cos(c->p[CAMERA_ROLL]);
    const double right[3] = {cp, -sp, 0}, down[3] = {-sp * st, -cp * st, -ct};
    struct eye e = {.forward = {sp * ct, cp * ct, -st}, .c = c};
    for (int i = 0; i < 3; i++) {
        e.right[i] = right[i] * cr + down[i] * sr;
        e.down[i] = down[i] * cr - right[i] * sr;
    }
    return e;
}

/* Where a ray that falls meets the crown's parabola: the nearer root of a square equation. */
static bool on_crown(const struct camera *c, const double ray[3], double *t)
{
    const double h = c->half, w = c->p[CAMERA_CROWN], y = c->p[CAMERA_Y] - h;
    const double a = w * ray[1] * ray[1] / (h * h), b = ray[2] + 2 * w * y * ray[1] / (h * h);
    const double k = c->p[CAMERA_Z] - w * (1 - y * y / (h * h)), d = b * b - 4 * a * k;
    if (d < 0)
        return false;
    *t = 2 * k / (-b + sqrt(d));
    return *t > 0 && fabs(y + *t * ray[1]) <= h;
}

static bool ground_at(const struct eye *e, double x, double y, struct field_place *out)
{
    const struct camera *c = e->c;
    const double half = c->width / 2, u = x - half, v = y - c->height / 2;
    const double seen = hypot(u, v) / half, k1 = c->p[CAMERA_K1];
    double r = seen;
    for (int i = 0; k1 != 0 && i < 6; i++)
        r -= (r * (1 + k1 * r * r) - seen) / (1 + 3 * k1 * r * r);
    const double scale = (seen > 0 ? r / seen : 1) / c->p[CAMERA_FOCAL];
    double ray[3], t = 0;
    for (int i = 0; i < 3; i++)
        ray[i] = e->right[i] * u * scale + e->down[i] * v * scale + e->forward[i];
    if (!(ray[2] < -1e-4))
        return false;
    if (!(c->p[CAMERA_CROWN] > 0 && on_crown(c, ray, &t)))
        t = -c->p[CAMERA_Z] / ray[2];
    *out = (struct field_place){c->p[CAMERA_X] + t * ray[0], c->p[CAMERA_Y] + t * ray[1]};
    return true;
}

/* --- paint ------------------------------------------------------------------------------------- */

static bool near(double at, double line, double half)
{
    return fabs(at - line) <= half;
}

/* A number out of two, the same at each call: 0 .. 1. */
static double lot(const struct drawing *d, int a, int b)
{
    unsigned long long x = d->seed * 2654435761u + (unsigned)a * 40503u + (unsigned)b * 2246822519u;
    x = (x ^ (x >> 29)) * 0xbf58476d1ce4e5b9ULL + 88172645463325252ULL;
    drawn_unit(&x);
    drawn_unit(&x);
    return drawn_unit(&x);
}

static bool boxed(const struct field_place *q, double x, double y)
{
    return fabs(q->x) <= x + 2 && fabs(q->y) <= y + 2 &&
           (near(fabs(q->x), x, 2) || near(fabs(q->y), y, 2));
}

/* Soccer, 110 by 65 yd about the field's middle: its laws' distances, 4 in lines. */
static bool other_game(const struct drawing *d, struct field_place p)
{
    const double yard = 36, goal = 55 * yard;
    const struct field_place q = {p.x, p.y - d->grid->back_sideline_in / 2};
    const struct field_place end = {fabs(q.x) - goal, q.y};
    return boxed(&q, goal, 32.5 * yard) || (near(q.x, 0, 2) && fabs(q.y) < 32.5 * yard) ||
           near(hypot(q.x, q.y), 10 * yard, 2) ||
           (end.x < 0 && (boxed(&end, 18 * yard, 22 * yard) || boxed(&end, 6 * yard, 10 * yard))) ||
           (end.x < -18 * yard && near(hypot(end.x + 12 * yard, end.y), 10 * yard, 2));
}

/* Rule 1-2-1: 4 in lines, hashes 24 in. */
static bool hashes(const struct drawing *d, struct field_place p, double line)
{
    const struct grid *g = d->grid;
    const double yard = round(p.x / 36) * 36;
    const bool front = fabs(p.y - g->front_hash_in) < fabs(p.y - g->back_hash_in);
    const double hash = front ? g->front_hash_in : g->back_hash_in;
    if (yard == line) /* the hash on a yard line lies along the field */
        return near(p.x, line, 12) && near(p.y, hash, 2);
    return near(p.x, yard, 2) && near(p.y, hash, 12) &&
           lot(d, (int)(yard / 36), front) >= d->missing;
}

/* Two blocks beside every ten yards, 6 ft high, tops 9 yd from the sideline. */
static bool numbers(const struct drawing *d, struct field_place p)
{
    const double ten = round(p.x / 360) * 360, from = fmin(p.y, d->grid->back_sideline_in - p.y);
    return !d->no_numbers && fabs(ten) < 1700 && from > 252 && from < 324 && fabs(p.x - ten) > 14 &&
           fabs(p.x - ten) < 48 && ((int)(p.x / 9) + (int)(p.y / 12)) % 2;
}

static bool white(const struct drawing *d, struct field_place p)
{
    const double depth = d->grid->back_sideline_in;
    if (d->other_game && other_game(d, p))
        return true;
    if (fabs(p.x) > 2160)
        return false;
    if ((p.y < 0 && p.y > -d->sideline_width) || (p.y > depth && p.y < depth + d->sideline_width))
        return true;
    if (p.y < 0 || p.y > depth || fabs(p.x) > 1802)
        return false;
    const double line = round(p.x / 180) * 180;
    if (near(p.x, line, 2) && lot(d, (int)(line / 180), 7) >= d->missing)
        return true;
    return hashes(d, p, line) || numbers(d, p);
}

/* Between lots at the corners of squares of eight feet. */
static double worn(const struct drawing *d, struct field_place p)
{
    const double x = p.x / 96 + 1000, y = p.y / 96 + 1000;
    const int i = (int)x, k = (int)y;
    const double a = x - i, b = y - k;
    const double v = (1 - a) * ((1 - b) * lot(d, i, k) + b * lot(d, i, k + 1)) +
                     a * ((1 - b) * lot(d, i + 1, k) + b * lot(d, i + 1, k + 1));
    return d->faded * v;
}

/* A stand's edge, lamp posts beside it: straight shadows aslant over the field. */
static bool in_shadow(const struct drawing *d, struct field_place p)
{
    const double lean = lot(d, 1, 1) - 0.5, front = 1920 * (0.2 + 0.5 * lot(d, 2, 2));
    const double along = p.x + lean * p.y, post = along - round(along / 700) * 700;
    return p.y < front + 0.3 * lean * p.x || fabs(post) < 14;
}

/* --- pixels ------------------------------------------------------------------------------------ */

/* How far from paint a spot may be that it cannot reach: cheap, for most of the ground. */
static bool may_be_white(const struct drawing *d, struct field_place p, double far)
{
    const double line = round(p.x / 180) * 180, depth = d->grid->back_sideline_in;
    const double from = fmin(p.y, depth - p.y);
    return d->other_game || fabs(p.x - line) < far + 50 || from < far + 2 ||
           fabs(p.y - d->grid->front_hash_in) < far + 12 ||
           fabs(p.y - d->grid->back_hash_in) < far + 12;
}

/* Light of one pixel: sixteen spots of it, its place and its slopes taken for even. */
static double shade(const struct drawing *d, struct field_place p, const double dx[2],
                    const double dy[2])
{
    enum { FINE = 4 };
    const double far = fabs(dx[0]) + fabs(dx[1]) + fabs(dy[0]) + fabs(dy[1]);
    double sum = 0;
    if (may_be_white(d, p, far))
        for (int i = 0; i < FINE * FINE; i++) {
            const double a = (i % FINE + 0.5) / FINE - 0.5, b = (i / FINE + 0.5) / FINE - 0.5;
            sum += white(
                d, (struct field_place){p.x + a * dx[0] + b * dy[0], p.y + a * dx[1] + b * dy[1]});
        }
    double share = sum / (FINE * FINE);
    if (d->faded > 0 && share > 0)
        share *= 1 - worn(d, p);
    const double light = d->shadow > 0 && in_shadow(d, p) ? 1 - d->shadow : 1;
    return light * (d->turf + share * (d->white - d->turf));
}

static void paint_row(const struct eye *e, const struct drawing *how, struct plane *p, int y)
{
    static const double sky = 200, least = 1e-3;
    struct field_place at, right, below;
    bool here = ground_at(e, 0.5, y + 0.5, &at);
    for (int x = 0; x < p->width; x++) {
        const bool next = ground_at(e, x + 1.5, y + 0.5, &right);
        double *to = &p->at[(size_t)y * (size_t)p->width + (size_t)x];
        if (here && next && ground_at(e, x + 0.5, y + 1.5, &below))
            *to = shade(how, at, (double[2]){right.x - at.x + least, right.y - at.y},
                        (double[2]){below.x - at.x, below.y - at.y});
        else
            *to = sky;
        *to += how->ramp * ((x + 0.5) / p->width - 0.5);
        at = right;
        here = next;
    }
}

void draw(const struct camera *c, const struct drawing *how, struct drawn *out)
{
    const int w = (int)c->width, h = (int)c->height;
    const struct eye eye = eye_of(c);
    unsigned long long chance = how->seed * 2654435761u + 88172645463325252ULL;
    struct plane p = {xcalloc((size_t)w * (size_t)h, sizeof *p.at), w, h};
    for (int y = 0; y < h; y++)
        paint_row(&eye, how, &p, y);
    spoil(&p, how, &chance);
    out->pixels = xcalloc((size_t)w * (size_t)h, 1);
    out->luma = (struct luma){out->pixels, w, h, (size_t)w};
    for (size_t i = 0; i < (size_t)w * (size_t)h; i++)
        out->pixels[i] = (uint8_t)fmax(0, fmin(255, round(p.at[i])));
    free(p.at);
}

void drawn_free(struct drawn *d)
{
    free(d->pixels);
}
