#include "field/calibrate.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "field/bar.h"
#include "field/border.h"
#include "field/inside.h"
#include "field/seek.h"

static const double apart = 24, coarsely = 72; /* inches between pieces of paint */
static const bool rigid[CAMERA_PARAMETERS] = {true, true, true, true, true, true, true};

/* --- lens and crown ----------------------------------------------------------------------------- */

struct work {
    const struct calibrate_ask *ask;
    struct border_ask border;
    struct lock_ask lock;
    struct paint_list paint;
    struct calibration *out;
    double unsure[CAMERA_PARAMETERS][CAMERA_PARAMETERS];
};

static bool lock(struct work *w, double reach, int rounds, struct err *e)
{
    const struct camera start = w->out->fit.camera;
    w->lock.reach = reach;
    w->lock.rounds = rounds;
    return lock_camera(&w->lock, &start, &w->out->fit, e);
}

static bool matters(const struct lock_fit *f, int parameter)
{
    return is_asked_for(parameter, f->camera.p[parameter], f->cov[parameter][parameter]);
}

/* What was not sure of itself is taken for nothing, and not known to be: the camera's error has what
 * it may be all the same. */
static void doubt(struct work *w, const struct lock_fit *both)
{
    static const int bent[] = {CAMERA_K1, CAMERA_CROWN};
    double is[CAMERA_PARAMETERS] = {0};
    is[CAMERA_K1] = w->out->lens ? 0 : both->camera.p[CAMERA_K1];
    is[CAMERA_CROWN] = w->out->crown ? 0 : both->camera.p[CAMERA_CROWN];
    memset(w->unsure, 0, sizeof w->unsure);
    for (int i = 0; i < 2; i++)
        for (int k = 0; k < 2; k++)
            w->unsure[bent[i]][bent[k]] = both->cov[bent[i]][bent[k]] + is[bent[i]] * is[bent[k]];
    w->lock.unsure = (const double(*)[CAMERA_PARAMETERS])w->unsure;
}

/* Both are set free, and what is not sure of itself goes back to nothing. */
static bool bend(struct work *w, struct err *e)
{
    struct calibration *out = w->out;
    w->lock.free[CAMERA_K1] = w->lock.free[CAMERA_CROWN] = true;
    w->lock.unsure = NULL;
    if (!lock(w, 4, 3, e))
        return false;
    out->lens = matters(&out->fit, CAMERA_K1);
    out->crown = matters(&out->fit, CAMERA_CROWN);
    w->lock.free[CAMERA_K1] = out->lens;
    w->lock.free[CAMERA_CROWN] = out->crown;
    if (out->lens && out->crown)
        return true;
    doubt(w, &out->fit);
    out->fit.camera.p[CAMERA_K1] *= out->lens;
    out->fit.camera.p[CAMERA_CROWN] *= out->crown;
    return lock(w, 6, 3, e);
}

/* --- all of it ---------------------------------------------------------------------------------- */

/* Share of the paint that was expected and held. */
static double share(const struct lock_fit *f)
{
    return f->expected ? (double)f->held / (double)f->expected : 0;
}

/* From a camera that the picks may mean; lens and crown take part once the lines are near. */
static bool attempt(struct work *w, const struct camera *from, struct err *e)
{
    memcpy(w->lock.free, rigid, sizeof rigid);
    w->out->fit.camera = *from;
    if (!lock(w, from->width / 80, 4, e))
        return false;
    w->lock.free[CAMERA_K1] = w->lock.free[CAMERA_CROWN] = true;
    return lock(w, 6, 3, e);
}

/* Are the picks about where this camera has them? Lines that are held one too far are as good as
 * the right ones, but for that. */
static bool near_picks(const struct calibrate_ask *ask, const struct camera *c)
{
    static const double most = 3, most_squares = 2.5; /* sd; of one, and a number's mean square */
    double sum = 0;
    int n = 0;
    for (size_t i = 0; i < ask->n; i++) {
        double miss[2] = {0, 0};
        const int rows = pick_miss(c, &ask->picks[i], miss);
        const double off = hypot(miss[0], miss[1]) / ask->picks[i].sd;
        if (rows == 0 || off > most)
            return false;
        sum += off * off;
        n += rows;
    }
    return sum <= most_squares * n;
}

/* More lines held, and held closer, is better: half as good at this many pixels. */
static double worth(const struct lock_fit *f)
{
    static const double half = 0.4;
    return share(f) / (1 + (f->rms_px / half) * (f->rms_px / half));
}

static bool disagree(struct err *e)
{
    return err_set(e, ERR_INPUT,
                   "the lines of the picture do not agree with the picks; are they on the lines "
                   "that were named?");
}

struct tried {
    struct lock_fit fit;
    double border; /* as border_seen() says */
};

/* Sidelines are broad and bright, and seen where hash marks are not any more; which of the cameras has
 * them where they are tells more than a few lines more. Where none is painted, none has them. */
static const struct tried *best_of(const struct tried *at, size_t n)
{
    const struct tried *best = NULL;
    double all = border_enough, most = 0;
    for (size_t i = 0; i < n; i++)
        all = fmax(all, at[i].border);
    for (size_t i = 0; i < n; i++) {
        const double now = worth(&at[i].fit) * (1 + at[i].border / all);
        if (now > most) {
            most = now;
            best = &at[i];
        }
    }
    return best;
}

/* The best of the cameras that the picks may mean; a good one ends the search. */
static bool coarse(struct work *w, const struct seek *from, struct err *e)
{
    static const double good = 0.5, least = 0.08;
    struct tried at[SEEK_MOST];
    size_t n = 0;
    for (size_t i = 0; i < from->n && (n == 0 || worth(&at[n - 1].fit) < good); i++) {
        struct err why;
        if (attempt(w, &from->at[i], &why) && near_picks(w->ask, &w->out->fit.camera))
            at[n++] = (struct tried){w->out->fit, border_seen(&w->border, &w->out->fit.camera)};
    }
    const struct tried *best = best_of(at, n);
    if (!best || worth(&best->fit) < least)
        return disagree(e);
    w->out->fit = best->fit;
    return true;
}

static bool seek(const struct calibrate_ask *ask, struct seek *out, struct err *e)
{
    struct ridges ridges;
    struct seek_ask how = {.ridges = &ridges,
                           .width = ask->picture->width,
                           .height = ask->picture->height,
                           .grid = ask->grid,
                           .picks = ask->picks,
                           .n = ask->n};
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        how.prior[k] = usual_prior(k);
    ridges_of(ask->picture, &ridges);
    const bool ok = seek_cameras(&how, out, e);
    ridges_free(&ridges);
    return ok;
}

/* The sidelines take part with the width that they seem to have, then with the one that they have
 * when all is adjusted. */
static bool with_sidelines(struct work *w, struct err *e)
{
    static const double may_be_off = 12, thinnest = 2; /* inches */
    bool ok = true;
    double *width = &w->out->sideline_width;
    *width = border_width(&w->border, &w->out->fit.camera);
    w->lock.width_sd = *width > 0 ? may_be_off : 0;
    for (int i = 0; ok && i < 2; i++) {
        paint_of(w->ask->grid, apart, *width, &w->paint);
        ok = lock(w, 4, 2, e) && bend(w, e);
        if (*width > 0)
            *width = fmax(thinnest, *width + w->out->fit.width_off);
        paint_free(&w->paint);
    }
    return ok && (near_picks(w->ask, &w->out->fit.camera) || disagree(e));
}

bool calibrate(const struct calibrate_ask *ask, struct calibration *out, struct err *e)
{
    struct work w = {
        .ask = ask, .out = out, .border = {ask->picture, ask->grid, luma_noise(ask->picture)}};
    struct seek from;
    *out = (struct calibration){0};
    if (!seek(ask, &from, e))
        return false;
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        w.lock.prior[k] = usual_prior(k);
    w.lock.picture = ask->picture;
    w.lock.paint = &w.paint;
    w.lock.picks = ask->picks;
    w.lock.n_picks = ask->n;
    paint_of(ask->grid, coarsely, 0, &w.paint);
    bool ok = coarse(&w, &from, e);
    paint_free(&w.paint);
    if (!ok)
        return false;
    /* a crown that is not known yet would be taken for the width of a sideline */
    paint_of(ask->grid, apart, 0, &w.paint);
    ok = lock(&w, 6, 3, e) && bend(&w, e);
    paint_free(&w.paint);
    return ok && with_sidelines(&w, e) &&
           (!border_is_elsewhere(&w.border, &out->fit.camera) || disagree(e));
}
