#include "app/field.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/follow_film.h"
#include "base/hash.h"
#include "base/shell.h"
#include "count/timecode.h"
#include "field/left_out.h"

/* --- what is stored -------------------------------------------------------------------------------- */

/* The track holds as long as none of this changes. */
static uint64_t digest(const struct app *a, const struct clip *c, const struct field_pick_list *l)
{
    enum { WAY = 2 }; /* raised when cameras are found in another way, so that they are made anew */
    const struct grid *g = &a->show.grid;
    const double ground[] = {
        WAY,        g->surface,    g->front_hash_in, g->back_hash_in, g->back_sideline_in,
        g->side_in, g->front_hash, g->back_hash,     g->back_sideline};
    uint64_t h = hash_more(HASH_BEGIN, ground, sizeof ground);
    h = hash_more(h, c->head_tail, strlen(c->head_tail));
    for (size_t i = 0; i < l->n; i++) {
        const struct field_pick *p = &l->at[i];
        const double all[] = {p->at.x, p->at.y, p->to.x, p->to.y, p->x, p->y, (double)p->kind};
        h = hash_more(h, &p->at_us, sizeof p->at_us);
        h = hash_more(h, all, sizeof all);
    }
    return h;
}

bool app_field(struct app *a, const struct clip *c, struct arena *mem, struct field_view *out,
               struct err *e)
{
    *out = (struct field_view){.app = a, .clip = c, .memory = mem};
    if (!store_field_picks(a->store, mem, c->id, &out->picks, e))
        return false;
    out->key = (struct track_key){c->id, digest(a, c, &out->picks)};
    if (!store_track(a->store, mem, &out->key, &out->track, e))
        return false;
    if (out->track.n > 0 && out->track.fixed.width > 0) {
        out->track.fixed.half = a->show.grid.back_sideline_in / 2;
        out->by = FIELD_LINES;
    }
    return true;
}

/* --- picks ----------------------------------------------------------------------------------------- */

static bool in_picture(const struct clip *c, struct pixel p, struct err *e)
{
    return (p.x >= 0 && p.y >= 0 && p.x <= c->width && p.y <= c->height) ||
           err_set(e, ERR_INPUT, "%g,%g is outside the picture, which is %d x %d pixels", p.x, p.y,
                   c->width, c->height);
}

/* Another that says the same of the same picture, or of the same spot something else. */
static bool is_new(const struct field_pick_list *l, const struct field_pick *p, struct err *e)
{
    static const double one_pixel = 1;
    for (size_t i = 0; i < l->n; i++) {
        const struct field_pick *o = &l->at[i];
        if (o->at_us != p->at_us || o->kind != p->kind)
            continue;
        const bool same_place =
            (p->kind == PICK_ALONG || o->x == p->x) && (p->kind == PICK_YARD_LINE || o->y == p->y);
        if (p->kind == PICK_SPOT && same_place)
            return err_set(
                e, ERR_INPUT,
                "pick %zu at that time is this spot already; take it off first, if it is "
                "wrong",
                i + 1);
        if (p->kind == PICK_SPOT && hypot(o->at.x - p->at.x, o->at.y - p->at.y) < one_pixel)
            return err_set(e, ERR_INPUT,
                           "pick %zu at that time is this pixel already, as another spot; take it "
                           "off first, if it is wrong",
                           i + 1);
    }
    return true;
}

bool app_field_pick(struct app *a, const struct clip *c, struct field_pick *p, int *number,
                    struct err *e)
{
    struct arena mem = {0};
    struct field_pick_list l;
    char length[24];
    *number = 0;
    time_format(c->length_us, length);
    bool ok =
        (p->at_us >= 0 && p->at_us <= c->length_us) ||
        err_set(e, ERR_INPUT, "that time is outside the clip '%s' (%s long)", c->label, length);
    ok = ok && in_picture(c, p->at, e) && (p->kind == PICK_SPOT || in_picture(c, p->to, e)) &&
         store_field_picks(a->store, &mem, c->id, &l, e) && is_new(&l, p, e);
    if (ok && p->kind != PICK_SPOT && hypot(p->to.x - p->at.x, p->to.y - p->at.y) < 20)
        ok = err_set(e, ERR_INPUT,
                     "the two pixels of the line are the same or next to each other; point at two "
                     "places far apart on it");
    ok = ok && store_field_pick_add(a->store, c->id, p, e) &&
         store_field_picks(a->store, &mem, c->id, &l, e);
    for (size_t i = 0; ok && i < l.n; i++)
        if (l.at[i].id == p->id)
            *number = (int)i + 1;
    arena_free(&mem);
    return ok;
}

/* --- finding it ---------------------------------------------------------------------------------- */

/* Picks within a frame of each other are of one picture, or the camera has not moved to speak of. */
static int64_t frame_us(const struct clip *c)
{
    return c->fps_num > 0 ? (int64_t)c->fps_den * 1000000 / c->fps_num : 33333;
}

static bool at_once(const struct clip *c, int64_t a, int64_t b)
{
    return llabs(a - b) <= frame_us(c);
}

/* The moment that most was pointed at, the earliest of several; n of the picks stand there. */
static int64_t busiest(const struct field_view *v, size_t *n)
{
    const struct field_pick_list *l = &v->picks;
    int64_t at = 0;
    *n = 0;
    for (size_t i = 0; i < l->n; i++) {
        size_t here = 0;
        for (size_t k = 0; k < l->n; k++)
            here += at_once(v->clip, l->at[k].at_us, l->at[i].at_us);
        if (here > *n) {
            *n = here;
            at = l->at[i].at_us;
        }
    }
    return at;
}

/* Those of one moment, or (us < 0) of all. */
static struct pointing pointing_of(const struct field_view *v, int64_t us)
{
    struct pointed *at = arena_alloc(v->memory, (v->picks.n + 1) * sizeof *at);
    size_t n = 0;
    for (size_t i = 0; i < v->picks.n; i++) {
        const struct field_pick *p = &v->picks.at[i];
        if (us >= 0 && !at_once(v->clip, p->at_us, us))
            continue;
        at[n++] = (struct pointed){p->kind, p->at, p->to,
                                   field_place_of(&v->app->show.grid, p->x, p->y), (int)i + 1};
    }
    return (struct pointing){at, n, v->clip->width, v->clip->height, &v->app->show.grid};
}

static bool too_few(const struct field_view *v, struct err *e)
{
    if (v->picks.n == 0)
        return err_set(e, ERR_INPUT,
                       "nobody has said yet where the field is in clip '%s'; pick four spots: "
                       "boxcall field SHOW %s pick TIME X,Y 'on 50; on front hash'",
                       v->clip->label, shell_word(v->clip->label).text);
    return true;
}

bool app_field_search(struct field_view *v, struct film_search *out, struct err *e)
{
    size_t n;
    struct pick *spots;
    if (!too_few(v, e))
        return false;
    const char *path = app_clip_path(v->app, v->clip, e);
    if (!path)
        return false;
    const int64_t at = busiest(v, &n);
    *out = (struct film_search){path, pointing_of(v, at), at, v->clip->length_us, NULL};
    if (pointed_spots(v->memory, &out->pointing, 1, &spots) < 4)
        out->pointing = pointing_of(v, -1); /* as if the camera had stood still */
    return true;
}

bool app_field_found(struct field_view *v, const struct film_found *found, struct err *e)
{
    struct store *s = v->app->store;
    bool kept;
    v->by = found->lines ? FIELD_LINES : FIELD_ALONE;
    v->alone = found->alone;
    v->alone_us = found->us;
    snprintf(v->why, sizeof v->why, "%s", found->why);
    if (!found->lines)
        return true;
    v->track = found->track;
    v->track.n = 0; /* its piece is the finder's memory */
    track_extend(v->memory, &v->track, &found->track, &found->piece);
    const struct track_pieces pieces = {&v->track, &found->piece, 1};
    return store_read_only(s) || (store_track_begin(s, &v->key, &v->track, e) &&
                                  store_track_add(s, &v->key, &pieces, &kept, e));
}

bool app_field_find(struct field_view *v, struct err *e)
{
    struct film_search search;
    struct film_found *found = arena_alloc(v->memory, sizeof *found);
    return v->by != FIELD_UNKNOWN ||
           (app_field_search(v, &search, e) && film_find(&search, v->memory, found, e) &&
            app_field_found(v, found, e));
}

/* --- following it ---------------------------------------------------------------------------------- */

struct following {
    struct field_view *v;
    const struct field_reach *reach;
    bool kept;
};

static void tell(void *user, double part)
{
    const struct field_reach *r = ((struct following *)user)->reach;
    if (r->progress)
        r->progress(r->user, part);
}

static bool changed(struct err *e)
{
    return err_set(e, ERR_FAILED,
                   "the picks were changed meanwhile; ask again, and it is followed from those");
}

/* Are the picks those that it is followed from? */
static bool picks_stand(const struct field_view *v, bool *stand, struct err *e)
{
    struct arena memory = {0};
    struct field_pick_list l;
    const bool ok = store_field_picks(v->app->store, &memory, v->clip->id, &l, e);
    *stand = ok && digest(v->app, v->clip, &l) == v->key.made_from;
    arena_free(&memory);
    return ok;
}

static bool keep(void *user, const struct track *t, const struct track_piece *p, struct err *e)
{
    struct following *f = user;
    const struct track_pieces pieces = {t, p, p ? 1 : 0};
    bool stand;
    if (store_read_only(f->v->app->store)) { /* then it is for this call alone */
        track_extend(f->v->memory, &f->v->track, t, p);
        return true;
    }
    return picks_stand(f->v, &stand, e) && (stand || changed(e)) &&
           store_track_add(f->v->app->store, &f->v->key, &pieces, &f->kept, e) &&
           (f->kept || changed(e));
}

static bool is_followed(const struct track *t, const struct field_reach *r)
{
    return t->whole || (!r->whole && t->from_us <= r->us && r->us < t->to_us);
}

bool app_field_follow(struct field_view *v, const struct field_reach *reach, struct err *e)
{
    struct following f = {v, reach, false};
    if (v->by != FIELD_LINES || is_followed(&v->track, reach))
        return true;
    const char *path = app_clip_path(v->app, v->clip, e);
    const struct film_job job = {.path = path,
                                 .length_us = v->clip->length_us,
                                 .grid = &v->app->show.grid,
                                 .track = &v->track,
                                 .whole = reach->whole,
                                 .us = reach->us,
                                 .stop = reach->stop,
                                 .keep = keep,
                                 .progress = tell,
                                 .user = &f};
    if (!path || !film_follow(&job, e))
        return false;
    return store_read_only(v->app->store) ||
           (app_field(v->app, v->clip, v->memory, v, e) && (v->by == FIELD_LINES || changed(e)));
}

/* --- seeing with it ------------------------------------------------------------------------------- */

/* From the pixels it was followed in to those that are shown. */
static void as_shown(struct seen_by *by, const struct clip *c)
{
    const double scale = c->width / by->camera.width;
    by->camera.width = c->width;
    by->camera.height = c->height;
    by->camera.p[CAMERA_FOCAL] *= scale;
    for (int k = 0; k < CAMERA_PARAMETERS; k++) {
        by->cov[CAMERA_FOCAL][k] *= scale;
        by->cov[k][CAMERA_FOCAL] *= scale;
    }
}

static bool lost(const struct field_view *v, int64_t us, struct err *e)
{
    char time[24];
    time_format(us, time);
    return err_set(e, ERR_INPUT,
                   "the lines do not hold the field at %s in clip '%s': they are hidden or the "
                   "camera moved too fast; pick four spots there, or take another moment",
                   time, v->clip->label);
}

static bool seen_alone(const struct field_view *v, int64_t us, struct seen_by *out,
                       struct buf *note)
{
    char time[24];
    out->camera = v->alone.fit.camera;
    memcpy(out->cov, v->alone.fit.cov, sizeof out->cov);
    time_format_short(v->alone_us, time);
    if (!note)
        return true;
    buf_printf(note, "by the picks alone, good to %.1f px", v->alone.sd);
    if (us != v->alone_us)
        buf_printf(note, ", as if the camera stood as at %s", time);
    if (v->alone.disagrees)
        buf_printf(note, "; without pick %d, which is %.0f px from where the others have it",
                   v->alone.disagrees, v->alone.off_px);
    return true;
}

bool app_field_seen(const struct field_view *v, int64_t us, struct seen_by *out, struct buf *note,
                    struct err *e)
{
    bool held;
    char time[24];
    if (v->by == FIELD_ALONE)
        return seen_alone(v, us, out, note);
    if (v->by == FIELD_UNKNOWN)
        return err_set(e, ERR_INPUT, "the field is not found yet in clip '%s'", v->clip->label);
    time_format(us, time);
    if (!track_at(&v->track, us, out, &held))
        return err_set(e, ERR_INPUT, "the field is not followed to %s yet in clip '%s'", time,
                       v->clip->label);
    as_shown(out, v->clip);
    return held || lost(v, us, e);
}

bool app_field_at(struct field_view *v, const struct field_reach *reach, struct seen_by *out,
                  struct buf *note, struct err *e)
{
    return app_field_find(v, e) && app_field_follow(v, reach, e) &&
           app_field_seen(v, reach->us, out, note, e);
}

/* --- how well ---------------------------------------------------------------------------------------- */

int64_t app_field_moment(const struct field_view *v)
{
    size_t n;
    return v->by == FIELD_ALONE ? v->alone_us : busiest(v, &n);
}

bool app_field_meets(const struct field_view *v, int64_t us, struct field_meets *out, struct err *e)
{
    const struct track_frame *f = track_frame_at(&v->track, us);
    struct luma picture;
    struct paint_list paint;
    struct lock_fit fit;
    int64_t at;
    *out = (struct field_meets){NAN, NAN};
    const char *path = f ? app_clip_path(v->app, v->clip, e) : NULL;
    if (!path || !film_picture(path, us, &picture, &at, e))
        return false;
    const struct camera c = track_camera(&v->track, f);
    paint_of(&v->app->show.grid, 24, v->track.sideline_width, &paint);
    struct lock_ask ask = {.picture = &picture, .paint = &paint, .reach = 4, .rounds = 1};
    for (int k = CAMERA_PAN; k <= CAMERA_FOCAL; k++)
        ask.free[k] = true;
    if (lock_camera(&ask, &c, &fit, e)) {
        double squares = 0;
        size_t n = 0;
        out->px = fit.rms_px * v->clip->width / picture.width;
        for (int yards = -50; yards <= 50; yards += 5) {
            const struct line_miss miss = lock_line_miss(&ask, &c, yards);
            if (miss.pieces >= 8) {
                squares += miss.steps * miss.steps;
                n++;
            }
        }
        out->steps = n ? sqrt(squares / (double)n) : NAN;
    }
    paint_free(&paint);
    free((void *)(uintptr_t)picture.at);
    return true;
}
