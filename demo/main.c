/* demo-clip: a rehearsal clip of an invented band, with everything that is wrong in it known. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "demo/answers.h"
#include "demo/bars.h"
#include "demo/figure.h"
#include "demo/ground.h"
#include "demo/movie.h"
#include "demo/options.h"
#include "demo/spoil.h"
#include "demo/truth.h"

static const double LEAD_IN_S = 1.5, LEAD_OUT_S = 1.5;

struct scene {
    struct drill drill;
    struct tempo tempo;
    struct company *company;
    struct shot shot;
    struct view view; /* of the first frame */
    const struct grid *grid;
    struct sound sound;
    double length_s;
    int64_t *frame_us;
    size_t n_frames;
};

/* Frame times in microseconds; with --vfr up to a quarter of a frame off, never out of order. */
static void set_frames(struct arena *a, const struct want *w, struct scene *s)
{
    const double frame_s = (double)w->fps_den / w->fps_num;
    s->n_frames = (size_t)fmax(1, floor(s->length_s / frame_s + 1e-6));
    s->frame_us = arena_alloc(a, s->n_frames * sizeof *s->frame_us);
    for (size_t i = 0; i < s->n_frames; i++) {
        const double off = w->varies && i > 0 ? (scatter_unit(11, i, w->seed) - 0.5) / 2 : 0;
        s->frame_us[i] = llround(((double)i + off) * frame_s * 1e6);
    }
}

/* A sun that stands behind the far stands, to their left. */
static void set_sun(const struct want *w, struct shot *s)
{
    static const double ACROSS = 0.55, TOWARD = -0.835;
    if (w->sun_deg <= 0)
        return;
    const double per_foot = 1 / tan(w->sun_deg * M_PI / 180);
    s->shade_x = ACROSS * per_foot;
    s->shade_y = TOWARD * per_foot;
}

static struct shot shot_of(const struct want *w)
{
    struct shot s = {.width = w->width,
                     .height = w->height,
                     .focal_px = w->focal * w->width,
                     .at = {w->across_ft, -w->back_ft, w->high_ft},
                     .aim = {w->toward_ft, w->aim_ft, 0},
                     .crown_in = w->crown_in,
                     .k1 = w->k1,
                     .roll_deg = w->roll_deg,
                     .pan_deg = w->pan_deg,
                     .pan_s = w->pan_s,
                     .zoom = w->zoom,
                     .sway_deg = w->sway_deg,
                     .bump_s = w->bump_s,
                     .bump_deg = w->bump_deg,
                     .bump_in = w->bump_in,
                     .seed = w->seed};
    set_sun(w, &s);
    return s;
}

static bool set_scene(struct arena *a, const struct want *w, struct scene *s, struct err *e)
{
    struct drill *d = &s->drill;
    if (!drill_read(a, w->band, d, e) || !drill_choose(a, d, w->faults, e))
        return false;
    if (w->sets > 0)
        drill_cut(d, (size_t)w->sets);
    for (size_t i = 0; i < d->n_sets; i++) {
        d->sets[i].tempo *= w->tempo_scale;
        d->sets[i].tempo_end *= w->tempo_scale;
    }
    s->tempo = tempo_make(a, d, LEAD_IN_S - w->from_s);
    s->length_s = s->tempo.start_s[d->n_sets] + LEAD_OUT_S;
    if (w->seconds > 0)
        s->length_s = fmin(s->length_s, w->seconds);
    set_frames(a, w, s);
    s->length_s = (double)s->n_frames * w->fps_den / w->fps_num;
    s->shot = shot_of(w);
    s->view = shot_view(&s->shot, 0);
    s->grid = w->paint.grid ? w->paint.grid : grid_named("high-school");
    s->company = company_make(a, d, &s->tempo, w->seed);
    s->sound = sound_make(a, &s->tempo, &s->view, w->temperature_c, s->length_s);
    return true;
}

struct actor {
    struct stance stance;
    const struct look *look;
    double build;
};

static int farther_first(const void *a, const void *b)
{
    const double ya = ((const struct actor *)a)->stance.body.y;
    const double yb = ((const struct actor *)b)->stance.body.y;
    return (ya < yb) - (ya > yb);
}

/* All at once and below everybody: where two of them meet it is no darker. */
static void draw_shadows(struct canvas *c, const struct view *w, const struct actor *actors,
                         size_t n)
{
    cairo_push_group(c->cr);
    cairo_set_source_rgb(c->cr, 0.03, 0.07, 0.06);
    for (size_t i = 0; i < n; i++)
        figure_shadow(c, w, &actors[i].stance);
    cairo_pop_group_to_source(c->cr);
    cairo_paint_with_alpha(c->cr, 0.5);
}

static void draw_frame(struct canvas *c, const struct want *w, const struct scene *s, size_t frame,
                       struct actor *actors)
{
    const double at_s = (double)s->frame_us[frame] / 1e6;
    for (size_t p = 0; p < s->drill.n_performers; p++)
        actors[p] = (struct actor){company_stance(s->company, p, at_s),
                                   look_of(s->drill.sections[s->drill.performers[p].section].name),
                                   scatter_unit(w->seed, p, 2000)};
    const struct view moved = shot_moves(&s->shot) ? shot_view(&s->shot, at_s) : s->view;
    if (frame > 0 && shot_moves(&s->shot))
        canvas_ground(c, ground_draw(&moved, &w->paint));
    qsort(actors, s->drill.n_performers, sizeof *actors, farther_first);
    canvas_clear(c);
    if (view_low_sun(&moved))
        draw_shadows(c, &moved, actors, s->drill.n_performers);
    for (size_t p = 0; p < s->drill.n_performers; p++)
        figure_draw(c, &moved, actors[p].look, &actors[p].stance, actors[p].build);
    if (w->bars) {
        bars_draw(c->cr, w->width, w->height, (unsigned)frame);
        canvas_touch(c, 0, 0, w->width, bars_height(w->height));
    }
    canvas_finish(c);
}

static bool draw_all(struct arena *a, const struct want *w, const struct scene *s, struct movie *m,
                     struct err *e)
{
    struct canvas c;
    struct actor *actors = arena_alloc(a, s->drill.n_performers * sizeof *actors);
    struct spoil how = w->spoil;
    how.seed = w->seed;
    struct spoiler *sp = spoil_does(&how) ? spoiler_make(a, &how, w->width, w->height) : NULL;
    bool ok = canvas_open(a, &c, ground_draw(&s->view, &w->paint), w->width, w->height) ||
              err_set(e, ERR_FAILED, "no memory for a %dx%d picture", w->width, w->height);
    for (size_t i = 0; ok && i < s->n_frames; i++) {
        draw_frame(&c, w, s, i, actors);
        const struct planes *p = sp ? spoil(sp, &c.planes, i) : &c.planes;
        ok = movie_frame(m, p, w->varies ? s->frame_us[i] : (int64_t)i, e);
    }
    canvas_close(&c);
    return ok;
}

static bool write_clip(struct arena *a, const struct want *w, const struct scene *s, struct err *e)
{
    const struct movie_want how = {.path = w->out,
                                   .width = w->width,
                                   .height = w->height,
                                   .turned = w->turned,
                                   .hevc = w->hevc,
                                   .tick_num = w->varies ? 1 : w->fps_den,
                                   .tick_den = w->varies ? 1000000 : w->fps_num,
                                   .fps_num = w->fps_num,
                                   .fps_den = w->fps_den,
                                   .gop = w->gop,
                                   .bframes = w->bframes,
                                   .threads = w->threads,
                                   .quality = w->quality,
                                   .preset = w->preset,
                                   .sound = w->silent ? NULL : &s->sound};
    struct movie *m = movie_open(&how, e);
    if (!m)
        return false;
    const bool drawn = draw_all(a, w, s, m, e);
    struct err late = {0};
    if (movie_close(m, s->length_s, &late) && drawn)
        return true;
    if (drawn)
        *e = late;
    return false;
}

static bool run(struct arena *a, const struct want *w, struct err *e)
{
    struct scene s = {0};
    if (!set_scene(a, w, &s, e) || !write_clip(a, w, &s, e))
        return false;
    const struct truth truth = {.drill = &s.drill,
                                .tempo = &s.tempo,
                                .company = s.company,
                                .view = &s.view,
                                .shot = &s.shot,
                                .grid = s.grid,
                                .sound = &s.sound,
                                .has_sound = !w->silent,
                                .has_bars = w->bars,
                                .varies = w->varies,
                                .fps_num = w->fps_num,
                                .fps_den = w->fps_den,
                                .seed = w->seed,
                                .frame_us = s.frame_us,
                                .n_frames = s.n_frames,
                                .length_s = s.length_s};
    const struct answers answers = {&s.drill, s.company, &s.shot, s.grid, s.frame_us, s.n_frames};
    return (!w->truth || truth_write(w->truth, &truth, e)) &&
           (!w->cameras || answers_cameras(w->cameras, &answers, e)) &&
           (!w->places || answers_places(w->places, &answers, e)) &&
           (!w->dots || answers_dots(w->dots, &answers, e));
}

int main(int argc, char **argv)
{
    struct want w;
    struct arena a = {0};
    struct err e = {0};
    if (options_read(argc, argv, &w, &e))
        run(&a, &w, &e);
    arena_free(&a);
    if (e.code != ERR_NONE)
        fprintf(stderr, "demo-clip: %s\n", e.text);
    return (int)e.code;
}
