/* Measuring in a clip's pictures, from the command line. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "field/interval.h"
#include "field/residual.h"
#include "verb/fielding.h"

/* --- one place ----------------------------------------------------------------------------------- */

bool verb_field_at(struct fielding *f, struct err *e)
{
    struct field_clicked c;
    struct field_place_row row;
    if (!field_clicks(f, 1, &c, e))
        return false;
    field_place_said(&f->app->show.grid, &c.m, 0, &row);
    field_place_put(&row, f->as, &f->c->out);
    return true;
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

bool verb_field_gaps(struct fielding *f, struct err *e)
{
    struct field_clicked c;
    struct field_dots_then dots;
    struct intervals all;
    double of;
    struct err none;
    if (!target_of(f, &of, e) || !field_clicks(f, 1, &c, e) ||
        !intervals(&f->c->memory, &c.m, of * GRID_ACROSS_IN, &all, e))
        return false;
    field_dots_at(f, c.us, false, &dots, &none);
    struct field_gap_row *rows = arena_alloc(&f->c->memory, all.n * sizeof *rows);
    for (size_t i = 0; i < all.n; i++)
        rows[i] = (struct field_gap_row){
            (int)i + 1,
            {field_likely(f, &dots, &c.m, i), field_likely(f, &dots, &c.m, i + 1)},
            all.gap[i].inches / GRID_ACROSS_IN,
            all.gap[i].inches,
            all.gap[i].error / GRID_ACROSS_IN};
    const struct field_gaps g = {
        rows, all.n,     all.mean.inches / GRID_ACROSS_IN, all.mean.error / GRID_ACROSS_IN,
        of,   all.closes};
    field_gaps(&g, f->as, &f->c->out);
    return true;
}

bool verb_field_fit(struct fielding *f, struct err *e)
{
    const struct grid *g = &f->app->show.grid;
    struct field_clicked c;
    struct field_dots_then dots;
    struct shape_fit fit;
    struct err none;
    const bool arc = strcmp(f->words[1], "arc") == 0;
    if (!arc && strcmp(f->words[1], "line") != 0)
        return err_set(e, ERR_USAGE, "field fit: a 'line' or an 'arc', not '%s'", f->words[1]);
    if (!field_clicks(f, 2, &c, e) || !shape_through(&f->c->memory, &c.m, arc, &fit, e))
        return false;
    field_dots_at(f, c.us, false, &dots, &none);
    struct field_off_row *rows = arena_alloc(&f->c->memory, fit.n * sizeof *rows);
    for (size_t i = 0; i < fit.n; i++) {
        rows[i] = (struct field_off_row){.number = (int)i + 1,
                                         .performer = field_likely(f, &dots, &c.m, i),
                                         .error = fit.at[i].error / GRID_ACROSS_IN};
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
    return true;
}

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

bool verb_field_pace(struct fielding *f, struct err *e)
{
    struct field_clicked from, to;
    struct fielding second = *f;
    struct field_pace p;
    double counts;
    f->n = 2;
    if (!field_clicks(f, 1, &from, e))
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
    return true;
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
    const double angle = corner_of(&c.m, &error);
    if (!isfinite(angle) || !isfinite(error))
        return err_set(e, ERR_INPUT, "two of the clicks are on one spot; a corner needs three");
    field_corner(angle, error, f->as, &f->c->out);
    return true;
}

bool verb_field_angle(struct fielding *f, struct err *e)
{
    struct pixel p[4];
    int64_t us;
    if (!app_clip_time(f->clip, f->words[0], &us, e))
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
