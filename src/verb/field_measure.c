/* Measuring in a clip's pictures, from the command line. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "field/interval.h"
#include "field/residual.h"
#include "verb/fielding.h"

/* --- one place ----------------------------------------------------------------------------------- */

/* Who is marked there: the one of --target, else the likeliest when that is clear. */
static const char *one_there(struct fielding *f, const struct field_marking *m,
                             const struct field_dots_then *dots, const struct field_clicked *c)
{
    if (!m->targets)
        return field_likely(f, dots, &c->m)[0];
    return m->n_targets == 1 && m->targets[0].performer >= 0
               ? f->app->show.performers[m->targets[0].performer].label
               : "";
}

/* Where a performer's dot is, inches; false: there is none. */
static bool dot_of(const struct fielding *f, const struct field_dots_then *dots, const char *who,
                   struct field_place *out)
{
    for (size_t i = 0; *who && i < dots->n; i++)
        if (dots->performer[i] == show_performer(&f->app->show, who)) {
            *out = dots->at[i];
            return true;
        }
    return false;
}

/* Off the dot; without a dot it is the place alone that is marked. */
static void mark_place(struct fielding *f, struct field_marking *m, const struct field_clicked *c)
{
    struct field_dots_then dots;
    struct field_place dot;
    struct field_found found = {.us = c->us, .at = c->m.at[0]};
    field_dots_at(f, c->us, false, &dots, &m->why);
    found.who[0] = one_there(f, m, &dots, c);
    if (dot_of(f, &dots, found.who[0], &dot)) {
        const double off = hypot(found.at.x - dot.x, found.at.y - dot.y) / GRID_ACROSS_IN,
                     error = measure_ellipse(&c->m, 0).major / GRID_ACROSS_IN;
        found.measure = (struct measure){MEASURE_PLACE, off, error, NAN};
        if (!field_is_off(m, off, error))
            return;
    }
    field_mark_found(f, m, &found);
}

bool verb_field_at(struct fielding *f, struct err *e)
{
    struct field_clicked c;
    struct field_place_row row;
    struct field_marking m;
    if (!field_marking_of(f, &m, e) || !field_clicks(f, 1, &c, e))
        return false;
    field_place_said(&f->app->show.grid, &c.m, 0, &row);
    field_place_put(&row, f->as, &f->c->out);
    if (m.asked)
        mark_place(f, &m, &c);
    return field_marking_done(f, &m, e);
}

bool verb_field_pixel(struct fielding *f, struct err *e)
{
    const struct grid *g = &f->app->show.grid;
    struct seen_by by;
    struct pixel at;
    int64_t us;
    double x, y;
    const char *spot = words_from(f, 1);
    if (!spot_parse(g, spot, &x, &y, e) || !field_camera_at(f, f->words[0], &us, &by, e))
        return false;
    if (!camera_sees(&by.camera, field_place_of(g, x, y), &at, NULL))
        return err_set(e, ERR_INPUT, "'%s' is behind the camera at that time", spot);
    if (at.x < 0 || at.y < 0 || at.x > by.camera.width || at.y > by.camera.height)
        buf_str(&f->c->talk, "it is outside the picture\n");
    field_pixel(at, f->as, &f->c->out);
    return true;
}

/* --- intervals, shapes ----------------------------------------------------------------------------- */

/* --of STEPS: grid steps across; NAN without. */
static bool target_of(const struct fielding *f, double *out, struct err *e)
{
    const char *text = call_value(f->c, "of");
    char *end;
    *out = NAN;
    if (!text)
        return true;
    *out = strtod(text, &end);
    return (end != text && !*end && isfinite(*out) && *out > 0 && *out < 200) ||
           err_set(e, ERR_INPUT, "'%s' is no interval; write steps as in --of 2", text);
}

/* The gap that is furthest off, too short before too long: who stands at its ends, between them. */
static void mark_gap(struct fielding *f, struct field_marking *m, const struct field_clicked *c,
                     const struct intervals *all, const struct field_gap_row *rows)
{
    int i = interval_furthest(all, -1, m->tolerance * GRID_ACROSS_IN);
    if (i < 0)
        i = interval_furthest(all, 1, m->tolerance * GRID_ACROSS_IN);
    if (i < 0)
        return;
    const struct field_place *at = &c->m.at[i];
    const struct field_found found = {
        .us = c->us,
        .who = {rows[i].who[0], rows[i].who[1]},
        .measure = {MEASURE_INTERVAL, rows[i].steps, rows[i].error, all->should / GRID_ACROSS_IN},
        .at = {(at[0].x + at[1].x) / 2, (at[0].y + at[1].y) / 2}};
    field_mark_found(f, m, &found);
}

bool verb_field_gaps(struct fielding *f, struct err *e)
{
    struct field_clicked c;
    struct field_dots_then dots;
    struct intervals all;
    struct field_marking m;
    double of;
    if (!field_marking_of(f, &m, e) || !target_of(f, &of, e) || !field_clicks(f, 1, &c, e) ||
        !intervals(&f->c->memory, &c.m, of * GRID_ACROSS_IN, &all, e))
        return false;
    field_dots_at(f, c.us, false, &dots, &m.why);
    const char **who = field_likely(f, &dots, &c.m);
    struct field_gap_row *rows = arena_alloc(&f->c->memory, all.n * sizeof *rows);
    for (size_t i = 0; i < all.n; i++)
        rows[i] = (struct field_gap_row){(int)i + 1,
                                         {who[i], who[i + 1]},
                                         all.gap[i].inches / GRID_ACROSS_IN,
                                         all.gap[i].inches,
                                         all.gap[i].error / GRID_ACROSS_IN};
    const struct field_gaps g = {
        rows,       all.n,    all.mean.inches / GRID_ACROSS_IN, all.mean.error / GRID_ACROSS_IN, of,
        all.closes, all.opens};
    field_gaps(&g, f->as, &f->c->out);
    if (m.asked)
        mark_gap(f, &m, &c, &all, rows);
    return field_marking_done(f, &m, e);
}

/* Everybody who is off the shape. */
static void mark_off(struct fielding *f, struct field_marking *m, const struct field_clicked *c,
                     enum measure_kind kind, const struct field_off_row *rows)
{
    for (size_t i = 0; m->asked && i < c->m.n; i++) {
        const struct field_found found = {.us = c->us,
                                          .who = {rows[i].performer},
                                          .measure = {kind, rows[i].steps, rows[i].error, NAN},
                                          .at = c->m.at[i]};
        if (field_is_off(m, rows[i].steps, rows[i].error))
            field_mark_found(f, m, &found);
    }
}

bool verb_field_fit(struct fielding *f, struct err *e)
{
    const struct grid *g = &f->app->show.grid;
    struct field_clicked c;
    struct field_dots_then dots;
    struct shape_fit fit;
    struct field_marking m;
    const bool arc = strcmp(f->words[1], "arc") == 0;
    if (!arc && strcmp(f->words[1], "line") != 0)
        return err_set(e, ERR_USAGE, "field fit: a 'line' or an 'arc', not '%s'", f->words[1]);
    if (!field_marking_of(f, &m, e) || !field_clicks(f, 2, &c, e) ||
        !shape_through(&f->c->memory, &c.m, arc, &fit, e))
        return false;
    field_dots_at(f, c.us, false, &dots, &m.why);
    const char **who = field_likely(f, &dots, &c.m);
    struct field_off_row *rows = arena_alloc(&f->c->memory, fit.n * sizeof *rows);
    for (size_t i = 0; i < fit.n; i++) {
        rows[i] = (struct field_off_row){
            .number = (int)i + 1, .performer = who[i], .error = fit.at[i].error / GRID_ACROSS_IN};
        field_off_said(g, c.m.at[i], fit.at[i].off, &rows[i]);
    }
    struct field_fit said = {.arc = arc,
                             .angle = fit.line.angle * 180 / M_PI,
                             .radius = fit.circle.radius / GRID_ACROSS_IN,
                             .center = fit.circle.center,
                             .rms = fit.rms / GRID_ACROSS_IN,
                             .at = rows,
                             .n = fit.n};
    double x, y;
    field_place_steps(g, fit.circle.center, &x, &y);
    spot_text(g, x, y, said.center_spot);
    field_fit(&said, f->as, &f->c->out);
    mark_off(f, &m, &c, arc ? MEASURE_ARC : MEASURE_LINE, rows);
    return field_marking_done(f, &m, e);
}

/* What nobody does with an instrument (a sprinter's best is 41; from memory), feet a second. */
#define RUN_FT_S 25.0

/* --- a move, a corner, an angle ---------------------------------------------------------------------- */

/* Counts between two times in one stretch, NAN. */
static bool counts_between(struct fielding *f, int64_t from, int64_t to, double *out, struct err *e)
{
    struct spot a, b;
    *out = NAN;
    const struct map *map = app_map(f->app, f->clip, &f->c->memory, NULL, e);
    if (!map)
        return false;
    if (map_at(map, from, &a) && map_at(map, to, &b) && a.stretch == b.stretch)
        *out = map_elapsed(map, &b) - map_elapsed(map, &a);
    return true;
}

/* A move that was clicked at its beginning and its end. */
struct walked {
    const struct field_clicked *from, *to;
    struct field_pace pace;
};

/* Inches that the way should have: by --of, else from dot to dot. NAN: not known. */
static double way_of(struct fielding *f, struct field_marking *m, const struct walked *w,
                     const char *who)
{
    struct field_dots_then then, later;
    struct field_place a, b;
    struct err none;
    double of;
    if (target_of(f, &of, &none) && isfinite(of))
        return 180 * w->pace.counts / of;
    field_dots_at(f, w->from->us, false, &then, &m->why);
    field_dots_at(f, w->to->us, false, &later, &m->why);
    return dot_of(f, &then, who, &a) && dot_of(f, &later, who, &b) ? hypot(b.x - a.x, b.y - a.y)
                                                                   : NAN;
}

/* Off by what the way is too long or too short. */
static bool mark_pace(struct fielding *f, struct field_marking *m, const struct walked *w,
                      struct err *e)
{
    const struct field_pace *p = &w->pace;
    struct field_dots_then dots;
    struct field_found found = {.us = w->from->us, .end_us = w->to->us, .at = w->from->m.at[0]};
    if (!m->asked)
        return true;
    field_dots_at(f, w->from->us, false, &dots, &m->why);
    found.who[0] = one_there(f, m, &dots, w->from);
    if (!*found.who[0] && !m->targets) {
        m->nobody++;
        return true;
    }
    const double way = way_of(f, m, w, found.who[0]);
    if (!isfinite(p->counts) || !isfinite(way))
        return err_set(e, ERR_INPUT, "what the step size should be is not known; say it: --of 8%s",
                       isfinite(p->counts) ? "" : " --counts N");
    found.measure =
        (struct measure){MEASURE_STEP, p->to_five, (p->to_five_high - p->to_five_low) / 2,
                         way > 0 ? 180 * p->counts / way : NAN};
    if (field_is_off(m, fabs(p->steps - way / GRID_ACROSS_IN), p->error))
        field_mark_found(f, m, &found);
    return true;
}

bool verb_field_pace(struct fielding *f, struct err *e)
{
    struct field_clicked from, to;
    struct fielding second = *f;
    struct field_marking m;
    struct field_pace p;
    double counts, of;
    f->n = 2;
    if (!field_marking_of(f, &m, e) || !target_of(f, &of, e) || !field_clicks(f, 1, &from, e))
        return false;
    second.words += 2;
    second.n = 2;
    second.view = f->view;
    if (!field_clicks(&second, 1, &to, e))
        return false;
    if (to.us <= from.us)
        return err_set(e, ERR_INPUT, "the second time must be later than the first");
    if (!counts_between(f, from.us, to.us, &counts, e))
        return false;
    if (call_value(f->c, "counts")) {
        char *end;
        counts = strtod(call_value(f->c, "counts"), &end);
        if (*end || !(counts > 0) || !(counts < 1000))
            return err_set(e, ERR_INPUT, "'%s' is no number of counts", call_value(f->c, "counts"));
    }
    const double inches = hypot(to.m.at[0].x - from.m.at[0].x, to.m.at[0].y - from.m.at[0].y);
    const struct ellipse a = measure_ellipse(&from.m, 0), b = measure_ellipse(&to.m, 0);
    const double error = hypot(a.major, b.major) * 1.959963984540054 / sqrt(5.991464547107979);
    const double seconds = (double)(to.us - from.us) / 1e6;
    if (inches / 12 / seconds > RUN_FT_S)
        return err_set(e, ERR_INPUT,
                       "%.0f feet a second: nobody moves like that; are both clicks on the same "
                       "performer, and the times right?",
                       inches / 12 / seconds);
    p = (struct field_pace){.steps = inches / GRID_ACROSS_IN,
                            .error = error / GRID_ACROSS_IN,
                            .counts = counts,
                            .seconds = seconds,
                            .in_a_count = inches / counts,
                            .to_five = 180 * counts / inches,
                            .to_five_low = 180 * counts / (inches + error),
                            .to_five_high = inches > error ? 180 * counts / (inches - error) : NAN,
                            .speed = inches / 12 / seconds};
    field_pace(&p, f->as, &f->c->out);
    return mark_pace(f, &m, &(struct walked){&from, &to, p}, e) && field_marking_done(f, &m, e);
}

/* The angle at b between a and c, degrees; with the 95 % error by first order. */
static double corner_of(const struct measured *m, double *error)
{
    const struct field_place a = m->at[0], b = m->at[1], c = m->at[2];
    const double ax = a.x - b.x, ay = a.y - b.y, cx = c.x - b.x, cy = c.y - b.y;
    const double aa = ax * ax + ay * ay, cc = cx * cx + cy * cy;
    const double angle = atan2(ax * cy - ay * cx, ax * cx + ay * cy);
    const double by[6] = {ay / aa,           -ax / aa, cy / cc - ay / aa,
                          ax / aa - cx / cc, -cy / cc, cx / cc};
    double v = 0;
    for (int i = 0; i < 6; i++)
        for (int k = 0; k < 6; k++)
            v += by[i] * by[k] * m->cov[i * 6 + k];
    *error = 1.959963984540054 * sqrt(fmax(0, v)) * 180 / M_PI;
    return fabs(angle) * 180 / M_PI;
}

bool verb_field_corner(struct fielding *f, struct err *e)
{
    struct field_clicked c;
    double error;
    if (!field_clicks(f, 1, &c, e))
        return false;
    const struct field_place *p = c.m.at;
    if (!(hypot(p[0].x - p[1].x, p[0].y - p[1].y) > 0) ||
        !(hypot(p[2].x - p[1].x, p[2].y - p[1].y) > 0))
        return err_set(e, ERR_INPUT, "two of the clicks are on one spot; a corner needs three");
    const double angle = corner_of(&c.m, &error);
    field_corner(angle, error, f->as, &f->c->out);
    return true;
}

bool verb_field_angle(struct fielding *f, struct err *e)
{
    struct pixel p[4];
    int64_t us;
    if (!field_time(f, f->words[0], &us, e))
        return false;
    for (int i = 0; i < 4; i++)
        if (!field_pixel_read(f, f->words[1 + i], &p[i], e))
            return false;
    const double sd = CLICK_SD_PX * f->clip->height / 1080;
    const double ax = p[1].x - p[0].x, ay = p[1].y - p[0].y, bx = p[3].x - p[2].x,
                 by = p[3].y - p[2].y, a = hypot(ax, ay), b = hypot(bx, by);
    if (!(a > 0) || !(b > 0))
        return err_set(e, ERR_INPUT, "an end of one of the two is on its other end");
    const double angle = fabs(atan2(ax * by - ay * bx, ax * bx + ay * by)) * 180 / M_PI;
    const double error = 1.959963984540054 * sqrt(2) * sd * hypot(1 / a, 1 / b) * 180 / M_PI;
    field_angle(angle, error, f->as, &f->c->out);
    return true;
}
