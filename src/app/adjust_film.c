#include "app/adjust_film.h"

#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/frames.h"
#include "field/adjust.h"
#include "field/follow.h"

enum { VIEWS = 6 };
static const int64_t apart_us = 400000;

struct gathered {
    struct adjust_view at[VIEWS];
    int64_t us[VIEWS];
    size_t n;
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

bool film_adjust_near(const char *path, const struct grid *grid, struct film_fixed *fixed,
                      bool *holds, struct err *e)
{
    struct frames *frames;
    struct frame frame;
    struct gathered g = {.n = 0};
    const struct frames_want want = {.path = path,
                                     .kind = FRAMES_LUMA,
                                     .most = FILM_MOST,
                                     .from_us = fixed->us,
                                     .to_us = fixed->us + VIEWS * apart_us};
    const struct follow_ask ask = {fixed->fit.camera, grid, fixed->sideline_width};
    struct follow follow;
    if (!frames_open(&frames, &want, e))
        return false;
    follow_begin(&follow, &ask);
    *e = (struct err){0};
    while (g.n < VIEWS && frames_next(frames, &frame, e)) {
        const struct luma picture = luma_of(&frame);
        struct follow_frame got;
        follow_frame(&follow, &picture, frame.at_us, &got);
        if (got.state == FOLLOW_HELD && frame.at_us >= fixed->us + (int64_t)g.n * apart_us)
            add(&g, &picture, g.n == 0 ? &fixed->fit.camera : &got.fit.camera, frame.at_us);
    }
    follow_end(&follow);
    frames_close(frames);
    *holds = g.n > 0 && g.us[0] == fixed->us;
    if (e->code == ERR_NONE && *holds)
        settle(&g, grid, fixed);
    gathered_free(&g);
    return e->code == ERR_NONE;
}
