#include "app/find_film.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "app/adjust_film.h"
#include "field/left_out.h"

static const double apart = 24; /* inches between pieces of paint */

struct finding {
    struct arena *memory;
    struct luma picture;
    struct pointing pointing; /* in its pixels, which may be fewer than those shown */
    struct film_found *out;
};

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
    for (size_t i = 0; n >= TO_SPARE && i < f->pointing.n; i++) {
        ask.n = spots_without(f, f->pointing.at[i].number, &spots);
        ask.picks = spots;
        if (ask.n >= 4 && calibrate(&ask, out, &why))
            return true;
    }
    return false;
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
    struct finding f = {.memory = mem, .out = out};
    struct calibration c;
    struct err why;
    *out = (struct film_found){0};
    if (!film_picture(search->path, search->us, &f.picture, &out->us, e))
        return false;
    f.pointing = scaled(mem, &search->pointing, f.picture.width / search->pointing.width);
    out->lines = by_lines(&f, &c, &why);
    bool ok = true;
    if (out->lines) {
        struct film_fixed fixed = {c.fit, c.sideline_width, 1, out->us};
        ok = film_adjust_near(search->path, search->pointing.grid, &fixed, e);
        film_begin(&fixed, &out->track, &out->piece, &out->frame);
        check(&f, &fixed);
    } else
        snprintf(out->why, sizeof out->why, "%s", why.text);
    free((void *)(uintptr_t)f.picture.at);
    if (!ok)
        return false;
    return out->lines || alone_fit(mem, &search->pointing, &out->alone, e);
}
