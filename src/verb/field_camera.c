/* Pointing at the field, and the camera that follows from it. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/shell.h"
#include "verb/fielding.h"

/* --- pointing ---------------------------------------------------------------------------------------- */

static bool time_of(struct fielding *f, struct field_pick *p, struct err *e)
{
    return field_time(f, f->words[0], &p->at_us, e);
}

static bool add(struct fielding *f, struct field_pick *p, struct err *e)
{
    char said[2 * SPOT_TEXT];
    int number;
    if (!app_field_pick(f->app, f->clip, p, &number, e))
        return false;
    field_pick_said(&f->app->show.grid, (int)p->kind, p->x, p->y, said);
    buf_printf(&f->c->talk, "pick %d: %s\n", number, said);
    return true;
}

bool verb_field_pick(struct fielding *f, struct err *e)
{
    struct field_pick p = {.kind = PICK_SPOT};
    return time_of(f, &p, e) && field_pixel_read(f, f->words[1], &p.at, e) &&
           spot_parse(&f->app->show.grid, words_from(f, 2), &p.x, &p.y, e) && add(f, &p, e);
}

/* "50", "side 1 35", "on side 2 goal line"; "front sideline", "back hash". */
static bool line_read(const struct grid *g, const char *text, struct field_pick *p, struct err *e)
{
    char on[120];
    struct err none;
    snprintf(on, sizeof on, "on %s", text);
    p->kind = PICK_ALONG;
    if (depth_parse(g, text, &p->y, &none) || depth_parse(g, on, &p->y, &none))
        return true;
    p->kind = PICK_YARD_LINE;
    return across_parse(g, text, &p->x, &none) || across_parse(g, on, &p->x, &none) ||
           err_set(e, ERR_INPUT,
                   "'%s' is no line; write '50', 'side 1, 35', 'front sideline' or 'back hash'",
                   text);
}

bool verb_field_line(struct fielding *f, struct err *e)
{
    struct field_pick p = {0};
    return time_of(f, &p, e) && field_pixel_read(f, f->words[1], &p.at, e) &&
           field_pixel_read(f, f->words[2], &p.to, e) &&
           line_read(&f->app->show.grid, words_from(f, 3), &p, e) && add(f, &p, e);
}

bool verb_field_unpick(struct fielding *f, struct err *e)
{
    struct field_pick_list l;
    char *end;
    const long n = strtol(f->words[0], &end, 10);
    if (!store_field_picks(f->app->store, &f->c->memory, f->clip->id, &l, e))
        return false;
    if (*end || end == f->words[0] || n < 1 || (size_t)n > l.n)
        return err_set(e, ERR_INPUT, "there is no pick '%s'; boxcall field %s %s picks lists them",
                       f->words[0], shell_word(f->c->words[0]).text,
                       shell_word(f->c->words[1]).text);
    if (!store_field_pick_remove(f->app->store, l.at[n - 1].id, e))
        return false;
    buf_printf(&f->c->talk, "pick %ld is taken off\n", n);
    return true;
}

/* --- lists ------------------------------------------------------------------------------------------- */

/* A miss in pixels, on the ground in steps. */
static void missed(const struct fielding *f, const struct seen_by *by, const struct field_pick *p,
                   struct field_pick_row *row)
{
    const struct pick one = {p->kind, p->at, field_place_of(&f->app->show.grid, p->x, p->y), 1, 0};
    struct field_place at;
    double miss[2];
    const int n = pick_miss(&by->camera, &one, miss);
    row->off_px = n == 0 ? NAN : n == 2 ? hypot(miss[0], miss[1]) : fabs(miss[0]);
    if (!camera_place(&by->camera, p->at, &at))
        return;
    const double x = at.x - one.on.x, y = at.y - one.on.y;
    row->off_steps = (p->kind == PICK_SPOT        ? hypot(x, y)
                      : p->kind == PICK_YARD_LINE ? fabs(x)
                                                  : fabs(y)) /
                     GRID_ACROSS_IN;
}

static struct field_pick_row *pick_rows(struct fielding *f)
{
    const struct field_pick_list *l = &f->view.picks;
    struct field_pick_row *rows = arena_alloc(&f->c->memory, (l->n + 1) * sizeof *rows);
    for (size_t i = 0; i < l->n; i++) {
        const struct field_pick *p = &l->at[i];
        struct seen_by by;
        struct err none;
        rows[i] = (struct field_pick_row){
            .number = (int)i + 1, .us = p->at_us, .at = p->at, .off_px = NAN, .off_steps = NAN};
        field_pick_said(&f->app->show.grid, (int)p->kind, p->x, p->y, rows[i].what);
        if (f->view.by != FIELD_UNKNOWN && app_field_seen(&f->view, p->at_us, &by, NULL, &none))
            missed(f, &by, p, &rows[i]);
    }
    return rows;
}

bool verb_field_picks(struct fielding *f, struct err *e)
{
    struct err none;
    if (!app_field(f->app, f->clip, &f->c->memory, &f->view, e))
        return false;
    if (f->view.picks.n >= 4)
        app_field_find(&f->view, &none);
    field_picks(pick_rows(f), f->view.picks.n, f->as, &f->c->out);
    return true;
}

/* --- the camera -------------------------------------------------------------------------------------- */

/* Of the ground under the picture's middle, or (the sky is there) further down. */
static double middle_error(struct fielding *f, const struct seen_by *by)
{
    for (double down = 0.5; down < 1; down += 0.1) {
        const struct pixel at = {by->camera.width / 2, by->camera.height * down};
        const struct clicks clicks = {&at, 1, 0};
        struct measured m;
        struct err none;
        if (measure(&f->c->memory, by, &clicks, &m, &none))
            return measure_ellipse(&m, 0).major / GRID_ACROSS_IN;
    }
    return NAN;
}

static void by_track(const struct fielding *f, struct field_camera_row *r)
{
    const struct track *t = &f->view.track;
    const struct track_sum s = track_sum(t);
    struct field_story story;
    app_field_story(&f->view, &f->c->memory, &story);
    r->turned = s.turned * 180 / M_PI;
    r->zoomed = s.zoomed;
    r->bent = s.frames ? (double)s.bent / (double)s.frames : 0;
    r->moving = s.frames < 2 ? -1 : !story.still;
    r->bumped = story.bumped;
    r->n_bumped = story.n_bumped;
    int64_t(*lost)[2] = arena_alloc(&f->c->memory, (story.n_lost + 1) * sizeof *lost);
    for (size_t i = 0; i < story.n_lost; i++)
        lost[i][0] = story.lost[i].from_us, lost[i][1] = story.lost[i].to_us;
    r->lost = (const int64_t(*)[2])lost;
    r->n_lost = story.n_lost;
    r->checked = t->checked_lines ? t->checked : NAN;
    r->checked_lines = t->checked_lines;
    r->followed_s =
        t->whole ? (double)f->clip->length_us / 1e6 : (double)(t->to_us - t->from_us) / 1e6;
    r->lost_s = s.frames ? r->followed_s * (double)s.lost / (double)s.frames : 0;
}

static void by_picks(struct field_camera_row *r)
{
    double px = 0, steps = 0;
    size_t n = 0;
    for (size_t i = 0; i < r->picks; i++)
        if (isfinite(r->residuals[i].off_px)) {
            px += r->residuals[i].off_px * r->residuals[i].off_px;
            steps += r->residuals[i].off_steps * r->residuals[i].off_steps;
            n++;
        }
    r->rms_px = n ? sqrt(px / (double)n) : NAN;
    r->rms_steps = n ? sqrt(steps / (double)n) : NAN;
}

static void say_camera(struct fielding *f, const struct seen_by *by, int64_t us, const char *note,
                       struct err *e)
{
    const double *p = by->camera.p, degrees = 180 / M_PI;
    struct field_camera_row r = {.rms_px = NAN,
                                 .rms_steps = NAN,
                                 .picks = f->view.picks.n,
                                 .residuals = pick_rows(f),
                                 .distortion = p[CAMERA_K1],
                                 .crown_in = p[CAMERA_CROWN],
                                 .moving = -1,
                                 .length_s = (double)f->clip->length_us / 1e6,
                                 .by_lines = f->view.by == FIELD_LINES,
                                 .checked = NAN,
                                 .error_steps = middle_error(f, by),
                                 .stands = {p[CAMERA_X], p[CAMERA_Y]},
                                 .up = p[CAMERA_Z],
                                 .pan = p[CAMERA_PAN] * degrees,
                                 .tilt = p[CAMERA_TILT] * degrees,
                                 .roll = p[CAMERA_ROLL] * degrees,
                                 .focal = p[CAMERA_FOCAL],
                                 .note = note};
    if (r.by_lines) {
        by_track(f, &r);
        struct field_meets meets;
        app_field_meets(&f->view, us, &meets, e);
        r.rms_px = meets.px;
        r.rms_steps = meets.steps;
    } else
        by_picks(&r);
    field_camera(&r, f->as, &f->c->out);
}

/* Without a time the whole clip is followed, and it is told of the moment of the picks. */
bool verb_field_camera(struct fielding *f, struct err *e)
{
    struct seen_by by;
    struct buf note = {0};
    int64_t us = 0;
    if (f->n == 1 && !field_time(f, f->words[0], &us, e))
        return false;
    bool ok = app_field(f->app, f->clip, &f->c->memory, &f->view, e) && app_field_find(&f->view, e);
    if (ok && f->n == 0)
        us = app_field_moment(&f->view);
    const struct field_reach reach = field_reach_of(f, us, f->n == 0);
    ok = ok && app_field_follow(&f->view, &reach, e) && app_field_seen(&f->view, us, &by, &note, e);
    if (ok && f->view.by == FIELD_ALONE)
        buf_printf(&note, "\nthe lines do not help: %s", f->view.why);
    if (ok)
        say_camera(f, &by, us, buf_text(&note), e);
    buf_free(&note);
    return ok;
}
