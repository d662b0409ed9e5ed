#include "app/follow_film.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "clip/frames.h"
#include "field/follow.h"

enum { PIECE_FRAMES = 64 };
static const int64_t piece_us = 1000000, chunk_us = 500000;

/* --- one picture ------------------------------------------------------------------------------- */

static struct luma luma_of(const struct frame *f)
{
    return (struct luma){f->px, f->width, f->height, (size_t)f->width};
}

bool film_picture(const char *path, int64_t us, struct luma *out, int64_t *at_us, struct err *e)
{
    struct frames *f;
    struct frame frame;
    const struct frames_want want = {
        .path = path, .kind = FRAMES_LUMA, .most = FILM_MOST, .from_us = us, .showing = true};
    if (!frames_open(&f, &want, e))
        return false;
    *e = (struct err){0};
    const bool ok = frames_next(f, &frame, e);
    if (ok) {
        const size_t n = (size_t)frame.width * (size_t)frame.height;
        uint8_t *copy = xcalloc(n, 1);
        memcpy(copy, frame.px, n);
        *out = luma_of(&frame);
        out->at = copy;
        *at_us = frame.at_us;
    }
    frames_close(f);
    return ok || e->code != ERR_NONE || err_set(e, ERR_INPUT, "%s: no picture there", path);
}

/* --- pieces -------------------------------------------------------------------------------------- */

struct film {
    const struct film_job *job;
    struct track track; /* as far as it is followed; its pieces are the keeper's */
    struct follow follow;
    struct track_frame frames[PIECE_FRAMES];
    struct track_piece piece;
    bool known;    /* the piece's covariance is of one of its frames */
    bool backward; /* its frames come last to first */
};

static bool stopped(const struct film *f)
{
    return f->job->stop && atomic_load(f->job->stop);
}

static struct track_frame frame_of(int64_t us, const struct follow_frame *f)
{
    struct track_frame t = {.us = us, .held = f->state == FOLLOW_HELD};
    for (int k = 0; k < 4; k++)
        t.moving[k] = (float)f->fit.camera.p[CAMERA_PAN + k];
    for (int k = 0; k < BENDS; k++)
        t.bend[k] = (float)f->fit.camera.bend[k];
    return t;
}

static void turn_round(struct track_frame *at, size_t n)
{
    for (size_t i = 0; i < n / 2; i++) {
        const struct track_frame t = at[i];
        at[i] = at[n - 1 - i];
        at[n - 1 - i] = t;
    }
}

static bool hand_over(struct film *f, struct err *e)
{
    struct track_piece *p = &f->piece;
    if (p->n == 0)
        return true;
    if (f->backward)
        turn_round(p->at, p->n);
    p->from_us = p->at[0].us;
    if (f->backward)
        f->track.from_us = p->from_us;
    else
        f->track.to_us = p->at[p->n - 1].us;
    const bool ok = f->job->keep(f->job->user, &f->track, p, e);
    if (f->job->progress && f->job->length_us > 0)
        f->job->progress(f->job->user,
                         (double)(f->track.to_us - f->track.from_us) / (double)f->job->length_us);
    p->n = 0;
    f->known = false;
    return ok;
}

static bool take(struct film *f, const struct luma *picture, int64_t us, struct err *e)
{
    struct follow_frame got;
    follow_frame(&f->follow, picture, f->backward ? -us : us, &got);
    f->piece.at[f->piece.n++] = frame_of(us, &got);
    if (got.state == FOLLOW_HELD && !f->known) {
        memcpy(f->piece.cov, got.fit.cov, sizeof f->piece.cov);
        f->known = true;
    }
    const int64_t begun = f->piece.at[0].us;
    return (f->piece.n < PIECE_FRAMES && llabs(us - begun) < piece_us) || hand_over(f, e);
}

/* From a frame that was followed before. */
static void begin(struct film *f, const struct track_frame *from, const struct track_piece *piece)
{
    const struct follow_ask ask = {track_camera(&f->track, from), f->job->grid,
                                   f->track.sideline_width};
    follow_begin(&f->follow, &ask);
    follow_unsure(&f->follow, f->track.unsure);
    f->piece = (struct track_piece){.at = f->frames};
    memcpy(f->piece.cov, piece->cov, sizeof f->piece.cov);
    f->known = false;
}

/* --- forwards -------------------------------------------------------------------------------------- */

static bool enough(const struct film *f)
{
    return !f->job->whole && f->track.to_us > f->job->us;
}

static bool forwards(struct film *f, bool *to_end, struct err *e)
{
    const struct track *t = f->job->track;
    const struct track_piece *last = &t->at[t->n - 1];
    const int64_t from = f->track.to_us;
    struct frames *frames;
    struct frame frame;
    const struct frames_want want = {.path = f->job->path,
                                     .kind = FRAMES_LUMA,
                                     .most = FILM_MOST,
                                     .from_us = from,
                                     .cancel = f->job->stop};
    if (!frames_open(&frames, &want, e))
        return false;
    begin(f, &last->at[last->n - 1], last);
    bool ok = true;
    *e = (struct err){0};
    while (ok && !enough(f) && !stopped(f) && frames_next(frames, &frame, e)) {
        const struct luma picture = luma_of(&frame);
        struct follow_frame again;
        if (frame.at_us > from)
            ok = take(f, &picture, frame.at_us, e);
        else
            follow_frame(&f->follow, &picture, frame.at_us, &again);
    }
    *to_end = ok && !enough(f) && !stopped(f) && e->code == ERR_NONE;
    ok = ok && e->code == ERR_NONE && hand_over(f, e);
    follow_end(&f->follow);
    frames_close(frames);
    return ok;
}

/* --- backwards: pictures are decoded forwards, a chunk at a time ----------------------------------- */

struct chunk {
    struct luma *at;
    int64_t *us;
    size_t n, cap, us_cap;
};

static void chunk_free(struct chunk *c)
{
    for (size_t i = 0; i < c->n; i++)
        free((void *)(uintptr_t)c->at[i].at);
    free(c->at);
    free(c->us);
}

static void chunk_add(struct chunk *c, const struct frame *frame)
{
    const size_t n = (size_t)frame->width * (size_t)frame->height;
    uint8_t *copy = xcalloc(n, 1);
    memcpy(copy, frame->px, n);
    c->at = array_grow(c->at, c->n, &c->cap, sizeof *c->at);
    c->us = array_grow(c->us, c->n, &c->us_cap, sizeof *c->us);
    c->at[c->n] = luma_of(frame);
    c->at[c->n].at = copy;
    c->us[c->n++] = frame->at_us;
}

/* What lies in [from, to). */
static bool chunk_read(const struct film *f, int64_t from, int64_t to, struct chunk *c,
                       struct err *e)
{
    struct frames *frames;
    struct frame frame;
    const struct frames_want want = {.path = f->job->path,
                                     .kind = FRAMES_LUMA,
                                     .most = FILM_MOST,
                                     .from_us = from,
                                     .to_us = to,
                                     .cancel = f->job->stop};
    *c = (struct chunk){0};
    if (!frames_open(&frames, &want, e))
        return false;
    *e = (struct err){0};
    while (frames_next(frames, &frame, e))
        chunk_add(c, &frame);
    frames_close(frames);
    return e->code == ERR_NONE;
}

static bool backwards(struct film *f, bool *to_begin, struct err *e)
{
    const struct track *t = f->job->track;
    int64_t to = f->track.from_us + 1;
    bool ok = true;
    f->backward = true;
    begin(f, &t->at[0].at[0], &t->at[0]);
    const int64_t known = f->track.from_us;
    while (ok && to > 0 && !stopped(f) && (f->job->whole || f->track.from_us > f->job->us)) {
        const int64_t from = to > chunk_us ? to - chunk_us : 0;
        struct chunk c;
        ok = chunk_read(f, from, to, &c, e);
        for (size_t i = c.n; ok && i-- > 0 && !stopped(f);) {
            struct follow_frame again;
            if (c.us[i] < known)
                ok = take(f, &c.at[i], c.us[i], e);
            else
                follow_frame(&f->follow, &c.at[i], -c.us[i], &again);
        }
        chunk_free(&c);
        ok = ok && hand_over(f, e);
        to = from;
    }
    *to_begin = ok && to <= 0 && !stopped(f);
    follow_end(&f->follow);
    f->backward = false;
    return ok;
}

bool film_follow(const struct film_job *job, struct err *e)
{
    struct film f = {.job = job, .track = *job->track};
    bool to_end = false, to_begin = false;
    if (job->track->n == 0)
        return err_set(e, ERR_FAILED, "there is no camera to follow from");
    *e = (struct err){0};
    if (!enough(&f) && !forwards(&f, &to_end, e))
        return false;
    if ((job->whole || f.track.from_us > job->us) && !backwards(&f, &to_begin, e))
        return false;
    if (!to_end || !to_begin)
        return true;
    f.track.whole = true;
    return job->keep(job->user, &f.track, NULL, e);
}

void film_begin(const struct film_fixed *fixed, struct track *t, struct track_piece *piece,
                struct track_frame *frame)
{
    static const int at[] = {CAMERA_X, CAMERA_Y, CAMERA_Z, CAMERA_K1, CAMERA_CROWN};
    *t = (struct track){.fixed = fixed->fit.camera,
                        .sideline_width = fixed->sideline_width,
                        .from_us = fixed->us,
                        .to_us = fixed->us,
                        .views = fixed->views,
                        .at = piece,
                        .n = 1};
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 5; k++)
            t->unsure[at[i]][at[k]] = fixed->fit.cov[at[i]][at[k]];
    *frame = frame_of(fixed->us, &(struct follow_frame){.state = FOLLOW_HELD, .fit = fixed->fit});
    *piece = (struct track_piece){.from_us = fixed->us, .at = frame, .n = 1};
    memcpy(piece->cov, fixed->fit.cov, sizeof piece->cov);
}
