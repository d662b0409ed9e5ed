#include "app/find_film.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/adjust_film.h"
#include "field/bend.h"
#include "field/follow.h"
#include "field/hashes.h"
#include "field/left_out.h"

static const double apart = 24; /* inches between pieces of paint */

struct finding {
    struct arena *memory;
    struct luma picture;
    struct pointing pointing; /* in its pixels, which may be fewer than those shown */
    struct film_found *out;
    const atomic_bool *stop;
};

static bool stopped(const struct finding *f)
{
    return f->stop && atomic_load(f->stop);
}

/* Spots of the pointing, without one of them (0: all). */
static size_t spots_without(const struct finding *f, int number, struct pick **out)
{
    /* roughly: up to 15 px of a picture of 1080 lines, and of smaller ones no less */
    const double sd = 8 * fmax(1, f->pointing.height / 1080);
    size_t n = pointed_spots(f->memory, &f->pointing, sd, out), k = 0;
    for (size_t i = 0; i < n; i++)
        if ((*out)[i].number != number)
            (*out)[k++] = (*out)[i];
    return k;
}

static bool by_lines(const struct finding *f, struct calibration *out, struct err *e)
{
    enum { TO_SPARE = 5 };
    struct pick *spots;
    struct err why;
    const size_t n = spots_without(f, 0, &spots);
    struct calibrate_ask ask = {&f->picture, f->pointing.grid, spots, n};
    if (calibrate(&ask, out, e))
        return true;
    for (size_t i = 0; n >= TO_SPARE && i < f->pointing.n && !stopped(f); i++) {
        ask.n = spots_without(f, f->pointing.at[i].number, &spots);
        ask.picks = spots;
        if (ask.n >= 4 && calibrate(&ask, out, &why))
            return true;
    }
    return false;
}

/* --- another kind of field ------------------------------------------------------------------------ */

/* The same spots on another kind of field: who picked a hash meant the hash that is seen. */
static void on_other(const struct grid *is, const struct grid *other, struct pick *spots, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double *y = &spots[i].on.y;
        if (fabs(*y - is->front_hash_in) < 1)
            *y = other->front_hash_in;
        else if (fabs(*y - is->back_hash_in) < 1)
            *y = other->back_hash_in;
    }
}

static bool say_other(const struct grid *is, const char *name, struct err *e)
{
    char said[80], ours[80];
    grid_said(grid_named(name), said);
    grid_said(is, ours);
    err_set(e, ERR_INPUT,
            "the lines are those of another field: %s; this show's is %s. Set it with boxcall "
            "setting SHOW field %s, if that is where it is drilled",
            said, ours, name);
    return true;
}

/* Does that ground explain the picture: its lines, its numbers and its hashes? */
static bool explains(const struct finding *f, const struct grid *other)
{
    static const double most =
        0.5; /* of the hashes; of others than the right ones a tenth is seen */
    struct pick *spots;
    struct calibration found;
    struct err none;
    const size_t n = spots_without(f, 0, &spots);
    on_other(f->pointing.grid, other, spots, n);
    const struct calibrate_ask ask = {&f->picture, other, spots, n};
    return calibrate(&ask, &found, &none) &&
           numbers_at_tens(&f->picture, &found.fit.camera, other) >= 0 &&
           hashes_seen(&f->picture, &found.fit.camera, other) > most;
}

/* Are the lines those of another rule book's field? Then nothing that is said of them would be right,
 * not by the picks alone either. c: a camera by the lines of ours; NULL: they hold none. A field whose
 * own hashes are seen is not asked; one without hashes is no other's. */
static bool is_other(const struct finding *f, const struct camera *c, struct err *e)
{
    static const char *const names[] = {"high-school", "college", "professional"};
    static const double ours = 0.35;
    const struct grid *is = f->pointing.grid;
    if (is->surface != SURFACE_FOOTBALL || (c && hashes_seen(&f->picture, c, is) > ours))
        return false;
    for (size_t i = 0; i < 3 && !stopped(f); i++) {
        const struct grid *other = grid_named(names[i]);
        if (fabs(other->front_hash_in - is->front_hash_in) > 1 && explains(f, other))
            return say_other(is, names[i], e);
    }
    return false;
}

/* --- all of it --------------------------------------------------------------------------------------- */

/* The picture of the picks may be bent as any other. */
static void straighten(const struct finding *f, struct film_fixed *fixed)
{
    struct paint_list paint;
    const struct lock_ask ask = {.picture = &f->picture, .paint = &paint, .reach = 6};
    paint_of(f->pointing.grid, apart, fixed->sideline_width, &paint);
    bend_fit(&ask, &fixed->fit);
    paint_free(&paint);
}

static void check(const struct finding *f, const struct film_fixed *c)
{
    struct paint_list paint;
    struct lock_ask ask = {.picture = &f->picture, .paint = &paint, .reach = 4, .rounds = 2};
    paint_of(f->pointing.grid, apart, c->sideline_width, &paint);
    for (int k = 0; k <= CAMERA_FOCAL; k++)
        ask.free[k] = true;
    ask.free[CAMERA_K1] = fabs(c->fit.camera.p[CAMERA_K1]) > 0;
    ask.free[CAMERA_CROWN] = fabs(c->fit.camera.p[CAMERA_CROWN]) > 0;
    const struct left_out checked = left_out_check(&ask, &c->fit.camera);
    f->out->track.checked = checked.steps;
    f->out->track.checked_lines = checked.lines;
    paint_free(&paint);
}

static struct pixel times(struct pixel p, double scale)
{
    return (struct pixel){p.x * scale, p.y * scale};
}

/* In the pixels of the picture at hand. */
static struct pointing scaled(struct arena *a, const struct pointing *p, double scale)
{
    struct pointed *at = arena_alloc(a, (p->n + 1) * sizeof *at);
    for (size_t i = 0; i < p->n; i++) {
        at[i] = p->at[i];
        at[i].at = times(at[i].at, scale);
        at[i].to = times(at[i].to, scale);
    }
    return (struct pointing){at, p->n, p->width * scale, p->height * scale, p->grid};
}

bool film_find(const struct film_search *search, struct arena *mem, struct film_found *out,
               struct err *e)
{
    struct finding f = {.memory = mem, .out = out, .stop = search->stop};
    struct calibration c;
    struct err why;
    *out = (struct film_found){0};
    if (!film_picture(search->path, search->us, &f.picture, &out->us, e))
        return false;
    f.pointing = scaled(mem, &search->pointing, f.picture.width / search->pointing.width);
    out->lines = by_lines(&f, &c, &why);
    bool ok = true, other = false;
    if (out->lines) {
        struct film_fixed fixed = {c.fit, c.sideline_width, 1, out->us};
        const struct film_wide wide = {search->path, search->length_us, search->pointing.grid,
                                       search->stop};
        ok = film_adjust(&wide, &fixed, &out->lines, e);
        straighten(&f, &fixed);
        film_begin(&fixed, &out->track, &out->piece, &out->frame);
        if (!out->lines)
            err_set(
                &why, ERR_INPUT,
                "the numbers of the picture are not at the lines that the picks name; is one of "
                "them a line too far?");
        check(&f, &fixed);
    }
    if (ok)
        other = is_other(&f, out->lines ? &c.fit.camera : NULL, e);
    if (!out->lines)
        snprintf(out->why, sizeof out->why, "%s", why.text);
    free((void *)(uintptr_t)f.picture.at);
    if (stopped(&f)) {
        *e = (struct err){0};
        return false;
    }
    if (!ok || other)
        return false;
    return out->lines || alone_fit(mem, &search->pointing, &out->alone, e);
}
