/* What the files of `boxcall field` share. */
#include "verb/fielding.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/shell.h"
#include "count/timecode.h"

/* --- the camera of a time -------------------------------------------------------------------------- */

static void progress(void *user, double part)
{
    const struct call *c = user;
    if (c->progress)
        c->progress("following the field", part);
}

struct field_reach field_reach_of(struct fielding *f, int64_t us, bool whole)
{
    return (struct field_reach){
        .whole = whole, .us = us, .stop = f->c->stop, .progress = progress, .user = f->c};
}

bool field_time(const struct fielding *f, const char *text, int64_t *us, struct err *e)
{
    char length[24];
    time_format(f->clip->length_us, length);
    return app_clip_time(f->clip, text, us, e) &&
           ((*us >= 0 && *us <= f->clip->length_us) ||
            err_set(e, ERR_INPUT, "%s is outside the clip '%s' (%s long)", text, f->clip->label,
                    length));
}

bool field_camera_at(struct fielding *f, const char *time, int64_t *us, struct seen_by *out,
                     struct err *e)
{
    struct buf note = {0};
    if (!field_time(f, time, us, e))
        return false;
    const struct field_reach reach = field_reach_of(f, *us, false);
    const bool ok = (f->view.clip || app_field(f->app, f->clip, &f->c->memory, &f->view, e)) &&
                    app_field_at(&f->view, &reach, out, &note, e);
    if (ok && note.n)
        buf_printf(&f->c->talk, "%s\n", buf_text(&note));
    buf_free(&note);
    return ok;
}

/* --- clicks -------------------------------------------------------------------------------------- */

bool field_pixel_read(const struct fielding *f, const char *text, struct pixel *out, struct err *e)
{
    char *end;
    out->x = strtod(text, &end);
    bool ok = end != text && *end == ',';
    const char *second = end + ok;
    out->y = ok ? strtod(second, &end) : 0;
    ok = ok && end != second && *end == '\0' && isfinite(out->x) && isfinite(out->y);
    if (!ok)
        return err_set(e, ERR_INPUT, "'%s' is no pixel; write X,Y as in 812,430", text);
    return (out->x >= 0 && out->y >= 0 && out->x <= f->clip->width && out->y <= f->clip->height) ||
           err_set(e, ERR_INPUT, "%s is outside the picture, which is %d x %d pixels", text,
                   f->clip->width, f->clip->height);
}

const char *words_from(const struct fielding *f, size_t from)
{
    struct buf b = {0};
    for (size_t i = from; i < f->n; i++)
        buf_printf(&b, "%s%s", i > from ? " " : "", f->words[i]);
    const char *all = arena_strdup(&f->c->memory, buf_text(&b));
    buf_free(&b);
    return all;
}

/* Nearer to zero by so much. */
static double nearer(double x, double by)
{
    return copysign(fmax(0, fabs(x) - by), x);
}

/* A click in the stands is on no ground that anybody drills on; one that may be on it, by its error,
 * is. */
static bool on_ground(const struct fielding *f, const struct measured *m, size_t i,
                      const char *text, struct err *e)
{
    const struct grid *g = &f->app->show.grid;
    static const double most = 240; /* inches that an error excuses */
    const double error = fmin(measure_ellipse(m, i).major, most), half = g->back_sideline_in / 2;
    const struct field_place near = {nearer(m->at[i].x, error),
                                     half + nearer(m->at[i].y - half, error)};
    double x, y;
    field_place_steps(g, near, &x, &y);
    return across_on(g, x, text, e) && depth_on(g, y, text, e);
}

bool field_clicks(struct fielding *f, size_t from, struct field_clicked *out, struct err *e)
{
    const size_t n = f->n - from;
    const double sd = CLICK_SD_PX * f->clip->height / 1080;
    out->px = arena_alloc(&f->c->memory, (n + 1) * sizeof *out->px);
    for (size_t i = 0; i < n; i++)
        if (!field_pixel_read(f, f->words[from + i], &out->px[i], e))
            return false;
    const struct clicks clicks = {out->px, n, sd};
    bool ok = field_camera_at(f, f->words[0], &out->us, &out->by, e) &&
              measure(&f->c->memory, &out->by, &clicks, &out->m, e);
    for (size_t i = 0; ok && i < n; i++)
        ok = on_ground(f, &out->m, i, f->words[from + i], e);
    return ok;
}

/* --- where everybody should be ----------------------------------------------------------------------- */

bool field_no_dots(const struct fielding *f, struct err *e)
{
    return err_set(e, ERR_INPUT, "the show has no dots yet; add them: boxcall add %s dots FILE",
                   shell_word(f->c->words[0]).text);
}

bool field_dots_of(struct fielding *f, struct set_count when, struct field_dots_then *out)
{
    const struct show *s = &f->app->show;
    const struct ghosts g = ghosts_of(s, &f->c->memory);
    *out = (struct field_dots_then){
        arena_alloc(&f->c->memory, (s->n_performers + 1) * sizeof *out->performer),
        arena_alloc(&f->c->memory, (s->n_performers + 1) * sizeof *out->at), 0};
    for (size_t i = 0; i < s->n_performers; i++) {
        struct dot_place at;
        if (s->performers[i].removed || !ghost_stands(&g, (int)i, when, &at))
            continue;
        out->performer[out->n] = (int)i;
        out->at[out->n++] = field_place_of(&s->grid, at.x, at.y);
    }
    return true;
}

bool field_dots_at(struct fielding *f, int64_t us, bool must, struct field_dots_then *out,
                   struct err *e)
{
    struct spot spot;
    char time[24];
    *out = (struct field_dots_then){0};
    if (f->app->show.n_dots == 0)
        return field_no_dots(f, e) || !must;
    const struct map *map = app_map(f->app, f->clip, &f->c->memory, NULL, e);
    if (!map)
        return !must;
    time_format(us, time);
    if (!map_at(map, us, &spot))
        return err_set(e, ERR_INPUT,
                       "clip '%s' is not tied to the drill at %s, so nobody knows who should be "
                       "where; tie it: boxcall count %s %s tie TIME SET",
                       f->clip->label, time, shell_word(f->c->words[0]).text,
                       shell_word(f->c->words[1]).text) ||
               !must;
    if (!field_dots_of(f, (struct set_count){spot.set, spot.count}, out))
        return false;
    return out->n > 0 ||
           err_set(e, ERR_INPUT, "nobody has a dot for set %s",
                   f->app->show.sets[spot.set].label) ||
           !must;
}

/* --- who that is ---------------------------------------------------------------------------------- */

struct who_ask field_who_ask(const struct field_dots_then *dots, const struct measured *m, size_t i)
{
    struct who_ask a = {m->at[i], {{0}}, WHO_USUAL_SD_IN, dots->at, dots->n};
    for (size_t r = 0; r < 2; r++)
        for (size_t k = 0; k < 2; k++)
            a.cov[r][k] = m->cov[(2 * i + r) * 2 * m->n + 2 * i + k];
    return a;
}

/* How far off the dot, in units of what is usual and of the click's error together. */
double field_far_off(const struct who_ask *a, double off)
{
    return off / sqrt(a->usual_sd * a->usual_sd + (a->cov[0][0] + a->cov[1][1]) / 2);
}

/* Is that dot clear: likelier than not, but for those that other clicks have? */
static bool is_clear(const struct who_ask *ask, const int *dot, size_t n, size_t i)
{
    enum { MOST = 8 };
    static const double sure = 0.5;
    struct candidate all[MOST];
    const size_t found = who_is(ask, all, MOST);
    double others = 0, own = 0;
    for (size_t k = 0; k < found; k++) {
        bool taken = false;
        for (size_t c = 0; c < n; c++)
            taken |= c != i && dot[c] == (int)all[k].dot;
        if ((int)all[k].dot == dot[i])
            own = all[k].probability;
        else if (!taken)
            others += all[k].probability;
    }
    return own > 0 && own > sure * (own + others);
}

const char **field_likely(struct fielding *f, const struct field_dots_then *dots,
                          const struct measured *m)
{
    struct who_ask *asks = arena_alloc(&f->c->memory, (m->n + 1) * sizeof *asks);
    int *dot = arena_alloc(&f->c->memory, (m->n + 1) * sizeof *dot);
    const char **out = arena_alloc(&f->c->memory, (m->n + 1) * sizeof *out);
    for (size_t i = 0; i < m->n; i++)
        asks[i] = field_who_ask(dots, m, i);
    who_all(asks, m->n, dot);
    for (size_t i = 0; i < m->n; i++)
        out[i] = dot[i] >= 0 && is_clear(&asks[i], dot, m->n, i)
                     ? f->app->show.performers[dots->performer[dot[i]]].label
                     : "";
    return out;
}
