#include "app/adjust_film.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/frames.h"
#include "field/adjust.h"
#include "field/follow.h"

enum { NEAR = 6, FAR = 6 };
static const int64_t apart_us = 400000;

struct gathered {
    struct adjust_view at[NEAR + FAR];
    int64_t us[NEAR + FAR];
    size_t n, bent; /* bent: of them, those whose picture no camera that stands explains */
};

static void add(struct gathered *g, const struct luma *picture, const struct camera *c, int64_t us)
{
    const size_t n = picture->stride * (size_t)picture->height;
    uint8_t *copy = xcalloc(n, 1);
    memcpy(copy, picture->at, n);
    struct luma *own = xcalloc(1, sizeof *own);
    *own = *picture;
    own->at = copy;
    struct camera straight = *c;
    g->bent += camera_is_bent(c);
    memset(straight.bend, 0, sizeof straight.bend);
    g->us[g->n] = us;
    g->at[g->n++] = (struct adjust_view){.picture = own, .camera = straight};
}

static void gathered_free(struct gathered *g)
{
    for (size_t i = 0; i < g->n; i++) {
        free((void *)(uintptr_t)g->at[i].picture->at);
        free((void *)(uintptr_t)g->at[i].picture);
    }
}

/* What is fixed, out of all of them; the first is the picture that it is told of. */
static void settle(const struct gathered *g, const struct grid *grid, struct film_fixed *fixed)
{
    const struct adjust_ask ask = {grid, fixed->sideline_width, g->at, g->n};
    struct adjustment *out = xcalloc(1, sizeof *out);
    struct err none;
    int held = 0;
    if (g->n > 1 && adjust(&ask, out, &none) && out->fit[0].held > 0) {
        for (size_t i = 0; i < g->n; i++)
            held += out->fit[i].held > 0;
        fixed->fit = out->fit[0];
        fixed->sideline_width = out->sideline_width;
        fixed->views = held;
    }
    free(out);
}

static struct luma luma_of(const struct frame *f)
{
    return (struct luma){f->px, f->width, f->height, (size_t)f->width};
}

/* --- what follows the picture ------------------------------------------------------------------- */

static bool gather_near(const struct film_wide *w, const struct film_fixed *fixed,
                        struct gathered *g, struct err *e)
{
    struct frames *frames;
    struct frame frame;
    const struct frames_want want = {.path = w->path,
                                     .kind = FRAMES_LUMA,
                                     .most = FILM_MOST,
                                     .from_us = fixed->us,
                                     .to_us = fixed->us + NEAR * apart_us,
                                     .cancel = w->stop};
    const struct follow_ask ask = {fixed->fit.camera, w->grid, fixed->sideline_width};
    struct follow follow;
    if (!frames_open(&frames, &want, e))
        return false;
    follow_begin(&follow, &ask);
    *e = (struct err){0};
    while (g->n < NEAR && frames_next(frames, &frame, e)) {
        const struct luma picture = luma_of(&frame);
        struct follow_frame got;
        follow_frame(&follow, &picture, frame.at_us, &got);
        if (got.state == FOLLOW_HELD && frame.at_us >= fixed->us + (int64_t)g->n * apart_us)
            add(g, &picture, g->n == 0 ? &fixed->fit.camera : &got.fit.camera, frame.at_us);
    }
    follow_end(&follow);
    frames_close(frames);
    return e->code == ERR_NONE;
}

/* --- the rest of the clip ------------------------------------------------------------------------ */

/* A camera that turned meanwhile: looked for around where it was, further off each time. */
static bool finds(const struct film_wide *w, const struct film_fixed *fixed, bool bent,
                  const struct luma *picture, struct camera *c)
{
    enum { TRIES = 4 };
    const struct follow_ask ask = {*c, w->grid, fixed->sideline_width};
    struct follow follow;
    struct follow_frame got = {.state = FOLLOW_LOST};
    follow_begin(&follow, &ask);
    for (int i = 0; i < TRIES && got.state != FOLLOW_HELD; i++)
        follow_frame(&follow, picture, 0, &got);
    follow_end(&follow);
    if (got.state == FOLLOW_HELD)
        *c = got.fit.camera;
    /* where it was knocked aside, or the lines are others, what is fixed would be a mean of both */
    return got.state == FOLLOW_HELD && (bent || !camera_is_bent(c)) &&
           got.fit.rms_px < 1.25 * fixed->fit.rms_px + 0.05;
}

/* One picture each of some stretches of the clip, from the found one outwards. A picture that cannot
 * be read is none: what follows reads them all, and says so. */
static void gather_far(const struct film_wide *w, const struct film_fixed *fixed,
                       struct gathered *g)
{
    const int64_t near_end = fixed->us + NEAR * apart_us, part = w->length_us / (2 * FAR);
    const bool bent = 2 * g->bent > g->n; /* all of the clip is, then */
    const struct camera last = g->at[g->n - 1].camera;
    for (int side = -1; side <= 1; side += 2) {
        struct camera c = fixed->fit.camera; /* where it stands is better known by now */
        if (side > 0)
            memcpy(c.p + CAMERA_PAN, last.p + CAMERA_PAN, 4 * sizeof *c.p);
        for (int i = 0; i < FAR; i++) {
            const int k = side < 0 ? FAR - 1 - i : i;
            const int64_t us = (2 * k + 1) * part;
            struct luma picture;
            int64_t at;
            struct err none;
            if ((side < 0 ? us >= fixed->us : us <= near_end) || (w->stop && atomic_load(w->stop)))
                continue;
            if (!film_picture(w->path, us, &picture, &at, &none))
                continue;
            if (finds(w, fixed, bent, &picture, &c))
                add(g, &picture, &c, at);
            free((void *)(uintptr_t)picture.at);
        }
    }
}

bool film_adjust(const struct film_wide *w, struct film_fixed *fixed, bool *holds, struct err *e)
{
    struct gathered g = {.n = 0};
    const bool ok = gather_near(w, fixed, &g, e);
    *holds = g.n > 0 && g.us[0] == fixed->us;
    if (ok && *holds) {
        settle(&g, w->grid, fixed);
        gather_far(w, fixed, &g);
        settle(&g, w->grid, fixed);
    }
    gathered_free(&g);
    return ok;
}
