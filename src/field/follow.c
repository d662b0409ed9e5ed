#include "field/follow.h"

#include <math.h>
#include <string.h>

#include "field/bend.h"

static const bool moving[CAMERA_PARAMETERS] = {
    [CAMERA_PAN] = true, [CAMERA_TILT] = true, [CAMERA_ROLL] = true, [CAMERA_FOCAL] = true};

static const double apart = 24; /* inches between pieces of paint */
/* Shares of the picture's width: where the prediction leads is not further off; and when looking for
 * lost lines, less than half of what lies between two of them. */
static const double near_by = 1 / 80.0, far_off = 1 / 32.0;
static const double most_rms = 1.5;    /* pixels; blur and compression leave less */
static const double least_share = 0.5; /* of what is usual */
static const double slipped = -4;      /* grey levels */
static const double bent_by = 6;       /* pixels, beyond what the camera explains */

void follow_begin(struct follow *f, const struct follow_ask *ask)
{
    *f = (struct follow){.ask = *ask, .last = ask->camera};
    paint_of(ask->grid, apart, ask->sideline_width, &f->paint);
}

void follow_unsure(struct follow *f, double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS])
{
    memcpy(f->unsure, cov, sizeof f->unsure);
}

void follow_end(struct follow *f)
{
    paint_free(&f->paint);
}

static double share(const struct lock_fit *fit)
{
    return fit->expected ? (double)fit->held / (double)fit->expected : 0;
}

static bool is_held(const struct follow *f, const struct lock_fit *fit)
{
    return fit->rms_px < most_rms && share(fit) > (f->begun ? least_share * f->share : 0.3);
}

static bool look(const struct follow *f, const struct luma *picture, const struct camera *from,
                 double reach, struct lock_fit *out)
{
    struct err none;
    struct lock_ask ask = {.picture = picture,
                           .paint = &f->paint,
                           .reach = reach,
                           .unsure = f->unsure,
                           .rounds = reach > near_by * from->width ? 5 : 2};
    memcpy(ask.free, moving, sizeof moving);
    return lock_camera(&ask, from, out, &none) && is_held(f, out);
}

static bool straighten(const struct follow *f, const struct luma *picture, struct lock_fit *fit)
{
    const struct lock_ask ask = {.picture = picture, .paint = &f->paint, .reach = bent_by};
    return bend_fit(&ask, fit);
}

/* As the camera was predicted; what is bent too far to be held as it stands is bent back first. */
static bool look_on(const struct follow *f, const struct luma *picture, const struct camera *from,
                    struct lock_fit *out)
{
    *out = (struct lock_fit){0};
    if (look(f, picture, from, near_by * from->width, out))
        return true;
    return out->held > 0 && out->rms_px < bent_by && straighten(f, picture, out) && is_held(f, out);
}

/* Where the two frames before lead at that time; what was lost stands still. */
static struct camera predicted(const struct follow *f, int64_t us)
{
    struct camera c = f->last;
    const double dt = (double)(us - f->last_us) / 1e6;
    for (int k = 0; f->held && k < CAMERA_PARAMETERS; k++)
        c.p[k] += f->speed[k] * dt;
    memset(c.bend, 0, sizeof c.bend); /* each frame is bent by itself */
    return c;
}

/* Around where it was lost: as far as a person turns while nobody looks. */
static bool search(const struct follow *f, const struct luma *picture, struct lock_fit *out)
{
    enum { RINGS = 4 };
    const double reach = far_off * f->last.width, step = 2 * reach / f->last.p[CAMERA_FOCAL];
    struct lock_fit best = {0};
    const int rings = f->lost < RINGS ? f->lost : RINGS;
    for (int pan = -rings; pan <= rings; pan++)
        for (int tilt = -(rings > 1); tilt <= (rings > 1); tilt++) {
            struct camera c = f->last;
            struct lock_fit fit;
            memset(c.bend, 0, sizeof c.bend);
            c.p[CAMERA_PAN] += pan * step;
            c.p[CAMERA_TILT] += tilt * step;
            if (look(f, picture, &c, reach, &fit) && share(&fit) > share(&best) &&
                numbers_at_tens(picture, &fit.camera, f->ask.grid) > slipped)
                best = fit;
        }
    *out = best;
    return best.held > 0;
}

static void keep(struct follow *f, int64_t us, const struct lock_fit *fit)
{
    static const double slowly = 0.1;
    const double dt = (double)(us - f->last_us) / 1e6;
    for (int k = 0; k < CAMERA_PARAMETERS; k++)
        f->speed[k] = f->begun && f->held && dt > 0 ? (fit->camera.p[k] - f->last.p[k]) / dt : 0;
    f->share = f->begun ? f->share + slowly * (share(fit) - f->share) : share(fit);
    f->last = fit->camera;
    f->last_us = us;
    f->begun = f->held = true;
    f->lost = 0;
}

void follow_frame(struct follow *f, const struct luma *picture, int64_t us,
                  struct follow_frame *out)
{
    const struct camera from = predicted(f, us);
    *out = (struct follow_frame){.state = FOLLOW_HELD};
    bool ok = look_on(f, picture, &from, &out->fit);
    if (ok && numbers_at_tens(picture, &out->fit.camera, f->ask.grid) < slipped) {
        out->state = FOLLOW_SLIPPED;
        ok = false;
    }
    if (!ok) {
        f->lost++;
        f->held = false;
        ok = search(f, picture, &out->fit);
        if (ok)
            out->state = FOLLOW_HELD;
        else if (out->state == FOLLOW_HELD)
            out->state = FOLLOW_LOST;
    }
    if (ok) {
        if (!camera_is_bent(&out->fit.camera))
            straighten(f, picture, &out->fit);
        keep(f, us, &out->fit);
    } else
        out->fit = (struct lock_fit){.camera = f->last};
}
