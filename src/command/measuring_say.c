#include "command/measuring_say.h"

#include <math.h>
#include <string.h>

#include "command/ground.h"
#include "count/timecode.h"
#include "field/form.h"
#include "field/interval.h"
#include "field/who.h"
#include "paper/field.h"

/* Half a step is what staff let pass (common practice, no source). */
static const double tolerance = INTERVAL_TOLERANCE_IN / GRID_ACROSS_IN;

/* The worst of the clicks speaks for all of them. */
static double click_sd(const struct measuring *m, size_t from, size_t n)
{
    double sd = 0;
    for (size_t i = from; i < from + n; i++)
        sd = fmax(sd, m->at[i].sd);
    return sd;
}

/* --- the places ---------------------------------------------------------------------------------- */

static bool measured_at(const struct desk *d, const struct measuring *m, size_t from, size_t n,
                        struct arena *mem, struct measured *out, struct err *e)
{
    const struct field_view *v = ground_view(d);
    struct seen_by by;
    struct pixel *px = arena_alloc(mem, (n + 1) * sizeof *px);
    for (size_t i = 0; i < n; i++)
        px[i] = m->at[from + i].at;
    const struct clicks clicks = {px, n, click_sd(m, from, n)};
    return v && app_field_seen(v, m->at[from].us, &by, NULL, e) &&
           measure(mem, &by, &clicks, out, e);
}

static bool one_frame(const struct measuring *m)
{
    for (size_t i = 1; i < m->n; i++)
        if (m->at[i].us != m->at[0].us)
            return false;
    return true;
}

/* --- who ----------------------------------------------------------------------------------------- */

static struct field_place *places_of(const struct desk *d, const struct ground_dots *dots,
                                     struct arena *mem)
{
    struct field_place *at = arena_alloc(mem, (dots->n + 1) * sizeof *at);
    for (size_t i = 0; i < dots->n; i++)
        at[i] = field_place_of(&d->app->show.grid, dots->at[i].at.x, dots->at[i].at.y);
    return at;
}

static struct who_ask who_ask_of(const struct measured *m, size_t i)
{
    struct who_ask a = {.at = m->at[i], .usual_sd = WHO_USUAL_SD_IN};
    for (size_t r = 0; r < 2; r++)
        for (size_t k = 0; k < 2; k++)
            a.cov[r][k] = m->cov[(2 * i + r) * 2 * m->n + 2 * i + k];
    return a;
}

/* Those of the section that is asked for, if one is. */
static void keep_within(const struct show *s, int64_t section, struct ground_dots *dots)
{
    size_t n = 0;
    int at = -1;
    for (size_t i = 0; section && i < s->n_sections; i++)
        if (s->sections[i].id == section)
            at = (int)i;
    for (size_t i = 0; i < dots->n; i++)
        if (at < 0 || section_within(s, s->performers[dots->at[i].performer].section, at))
            dots->at[n++] = dots->at[i];
    dots->n = n;
}

int measuring_who(const struct desk *d, const struct measuring *m, size_t click, struct arena *mem)
{
    static const double sure = 0.5, far = 4;
    struct ground_dots dots;
    struct measured at;
    struct candidate c;
    struct err none;
    ground_dots(d, m->at[click].us, mem, &dots);
    keep_within(&d->app->show, m->within, &dots);
    if (dots.n == 0 || !measured_at(d, m, click, 1, mem, &at, &none))
        return -1;
    struct who_ask ask = who_ask_of(&at, 0);
    ask.dots = places_of(d, &dots, mem);
    ask.n = dots.n;
    if (who_is(&ask, &c, 1) == 0 || c.probability <= sure || c.off > far * 2 * GRID_ACROSS_IN)
        return -1;
    return dots.at[c.dot].performer;
}

static const char *label_of(const struct desk *d, const struct measuring *m, size_t click)
{
    struct arena mem = {0};
    const int who = measuring_who(d, m, click, &mem);
    arena_free(&mem);
    return who >= 0 ? d->app->show.performers[who].label : "";
}

static void say_who(const struct desk *d, struct measuring *m)
{
    enum { MOST = 4 };
    static const double unlikely = 0.005; /* it would be called 0 % */
    const struct show *s = &d->app->show;
    struct ground_dots dots;
    struct candidate all[MOST];
    struct field_who_row rows[MOST];
    ground_dots(d, m->at[0].us, &m->memory, &dots);
    keep_within(&d->app->show, m->within, &dots);
    if (dots.n == 0)
        return;
    struct who_ask ask = who_ask_of(&m->measured, 0);
    ask.dots = places_of(d, &dots, &m->memory);
    ask.n = dots.n;
    size_t n = who_is(&ask, all, MOST);
    while (n > 1 && all[n - 1].probability < unlikely)
        n--;
    m->each[0] = (struct measure){MEASURE_PLACE, all[0].off / GRID_ACROSS_IN,
                                  measure_ellipse(&m->measured, 0).major / GRID_ACROSS_IN, NAN};
    for (size_t i = 0; i < n; i++) {
        const struct performer *p = &s->performers[dots.at[all[i].dot].performer];
        rows[i] = (struct field_who_row){
            .performer = p->label,
            .name = p->name,
            .section = s->sections[p->section].name,
            .probability = all[i].probability,
            .off_steps = all[i].off / GRID_ACROSS_IN,
            .far = all[i].off / hypot(ask.usual_sd, sqrt((ask.cov[0][0] + ask.cov[1][1]) / 2))};
        spot_text(&s->grid, dots.at[all[i].dot].at.x, dots.at[all[i].dot].at.y, rows[i].dot);
    }
    field_who(rows, n, AS_TEXT, &m->said);
}

/* --- measures ------------------------------------------------------------------------------------ */

static bool say_gaps(const struct desk *d, struct measuring *m, struct err *e)
{
    struct intervals all;
    if (!intervals(&m->memory, &m->measured, NAN, &all, e))
        return false;
    struct field_gap_row *rows = arena_alloc(&m->memory, all.n * sizeof *rows);
    for (size_t i = 0; i < all.n; i++)
        rows[i] = (struct field_gap_row){(int)i + 1,
                                         {label_of(d, m, i), label_of(d, m, i + 1)},
                                         all.gap[i].inches / GRID_ACROSS_IN,
                                         all.gap[i].inches,
                                         all.gap[i].error / GRID_ACROSS_IN};
    const int worst = all.closes >= 0 ? all.closes : all.opens;
    if (worst >= 0)
        m->about[worst] = m->about[worst + 1] = true;
    const struct length one = worst >= 0 ? all.gap[worst] : all.mean;
    m->whole = (struct measure){MEASURE_INTERVAL, one.inches / GRID_ACROSS_IN,
                                one.error / GRID_ACROSS_IN, NAN};
    const struct field_gaps g = {rows,
                                 all.n,
                                 all.mean.inches / GRID_ACROSS_IN,
                                 all.mean.error / GRID_ACROSS_IN,
                                 NAN,
                                 all.closes,
                                 all.opens};
    field_gaps(&g, AS_TEXT, &m->said);
    return true;
}

static bool say_shape(const struct desk *d, struct measuring *m, struct err *e)
{
    const struct grid *g = &d->app->show.grid;
    if (!shape_through(&m->memory, &m->measured, m->as == MEASURING_ARC, &m->fit, e))
        return false;
    m->fitted = true;
    struct field_off_row *rows = arena_alloc(&m->memory, m->n * sizeof *rows);
    for (size_t i = 0; i < m->n; i++) {
        rows[i] = (struct field_off_row){.number = (int)i + 1,
                                         .performer = label_of(d, m, i),
                                         .error = m->fit.at[i].error / GRID_ACROSS_IN};
        field_off_said(g, m->measured.at[i], m->fit.at[i].off, &rows[i]);
        m->about[i] = rows[i].steps > rows[i].error && rows[i].steps > tolerance;
        m->each[i] = (struct measure){m->fit.arc ? MEASURE_ARC : MEASURE_LINE, rows[i].steps,
                                      rows[i].error, NAN};
    }
    struct field_fit said = {.arc = m->fit.arc,
                             .angle = m->fit.line.angle * 180 / M_PI,
                             .radius = m->fit.circle.radius / GRID_ACROSS_IN,
                             .rms = m->fit.rms / GRID_ACROSS_IN,
                             .at = rows,
                             .n = m->n};
    double x, y;
    field_place_steps(g, m->fit.circle.center, &x, &y);
    spot_text(g, x, y, said.center_spot);
    field_fit(&said, AS_TEXT, &m->said);
    return true;
}

static bool say_form(const struct desk *d, struct measuring *m, struct err *e)
{
    static const double gate_steps = 4;
    struct ground_dots dots;
    struct form_fit fit;
    struct field_form said = {0};
    ground_dots(d, m->at[0].us, &m->memory, &dots);
    if (dots.n == 0)
        return err_set(e, ERR_INPUT,
                       "nobody has a dot here; add dots, and tie the clip to the drill");
    const struct form_ask ask = {m->measured.at, places_of(d, &dots, &m->memory), m->n, dots.n,
                                 gate_steps * GRID_ACROSS_IN};
    form_check(&m->memory, &ask, &fit);
    struct field_off_row *rows = arena_alloc(&m->memory, m->n * sizeof *rows), shift = {0};
    for (size_t i = 0; i < m->n; i++) {
        if (fit.dot[i] < 0)
            continue;
        rows[said.n] = (struct field_off_row){
            .number = (int)i + 1,
            .performer = d->app->show.performers[dots.at[fit.dot[i]].performer].label,
            .error = measure_ellipse(&m->measured, i).major / GRID_ACROSS_IN};
        field_off_said(&d->app->show.grid, m->measured.at[i], fit.off[i], &rows[said.n]);
        m->about[i] = rows[said.n].steps > rows[said.n].error && rows[said.n].steps > tolerance;
        m->each[i] = (struct measure){MEASURE_PLACE, rows[said.n].steps, rows[said.n].error, NAN};
        said.n++;
    }
    field_off_said(&d->app->show.grid, m->measured.at[0], fit.shift, &shift);
    said.shift = (struct field_place){shift.across, shift.depth};
    said.shift_error = measure_middle(&m->measured).major / GRID_ACROSS_IN + 0.1;
    said.scale = fit.scale;
    said.at = rows;
    field_form(&said, AS_TEXT, &m->said);
    return true;
}

static bool say_angle(struct measuring *m, struct err *e)
{
    if (m->n != 4)
        return err_set(e, ERR_INPUT,
                       "an angle lies between two lines: click both ends of one, then of the other "
                       "(%zu of 4)",
                       m->n);
    const struct pixel *a = &m->at[0].at, *b = &m->at[1].at, *c = &m->at[2].at, *f = &m->at[3].at;
    const double ax = b->x - a->x, ay = b->y - a->y, cx = f->x - c->x, cy = f->y - c->y;
    const double angle = fabs(atan2(ax * cy - ay * cx, ax * cx + ay * cy)) * 180 / M_PI;
    const double error = 1.959963984540054 * M_SQRT2 * click_sd(m, 0, m->n) *
                         hypot(1 / hypot(ax, ay), 1 / hypot(cx, cy)) * 180 / M_PI;
    field_angle(angle, error, AS_TEXT, &m->said);
    m->whole = (struct measure){MEASURE_ANGLE, angle, error, NAN};
    return true;
}

/* Two clicks in two frames are a move. */
static bool say_move(const struct desk *d, struct measuring *m, struct err *e)
{
    struct measured a, b;
    struct spot from, to;
    if (m->n != 2)
        return err_set(e, ERR_INPUT,
                       "clicks in several frames: two are a move, the first and the "
                       "last of it");
    if (!measured_at(d, m, 0, 1, &m->memory, &a, e) || !measured_at(d, m, 1, 1, &m->memory, &b, e))
        return false;
    const double inches = hypot(b.at[0].x - a.at[0].x, b.at[0].y - a.at[0].y);
    const double error = hypot(measure_ellipse(&a, 0).major, measure_ellipse(&b, 0).major) * 0.8007;
    const double seconds = fabs((double)(m->at[1].us - m->at[0].us)) / 1e6;
    double counts = NAN;
    if (d->map && map_at(d->map, m->at[0].us, &from) && map_at(d->map, m->at[1].us, &to) &&
        from.stretch == to.stretch)
        counts = fabs(map_elapsed(d->map, &to) - map_elapsed(d->map, &from));
    const struct field_pace p = {.steps = inches / GRID_ACROSS_IN,
                                 .error = error / GRID_ACROSS_IN,
                                 .counts = counts,
                                 .seconds = seconds,
                                 .in_a_count = inches / counts,
                                 .to_five = 180 * counts / inches,
                                 .to_five_low = 180 * counts / (inches + error),
                                 .to_five_high =
                                     inches > error ? 180 * counts / (inches - error) : NAN,
                                 .speed = inches / 12 / seconds};
    field_pace(&p, AS_TEXT, &m->said);
    m->whole = isfinite(counts) ? (struct measure){MEASURE_STEP, p.to_five,
                                                   (p.to_five_high - p.to_five_low) / 2, NAN}
                                : (struct measure){MEASURE_DISTANCE, p.steps, p.error, NAN};
    return true;
}

static bool say(struct desk *d, struct measuring *m, struct err *e)
{
    struct field_place_row place;
    if (m->n == 0)
        return true;
    if (m->as == MEASURING_ANGLE)
        return say_angle(m, e);
    if (!one_frame(m))
        return say_move(d, m, e);
    if (!measured_at(d, m, 0, m->n, &m->memory, &m->measured, e)) {
        m->measured.n = 0;
        return false;
    }
    if (m->as == MEASURING_FORM)
        return say_form(d, m, e);
    if (m->n == 1) {
        field_place_said(&d->app->show.grid, &m->measured, 0, &place);
        field_place_put(&place, AS_TEXT, &m->said);
        say_who(d, m);
        return true;
    }
    return m->as == MEASURING_GAPS || (m->as == MEASURING_LINE && m->n < 3) ||
                   (m->as == MEASURING_ARC && m->n < 4)
               ? say_gaps(d, m, e)
               : say_shape(d, m, e);
}

bool measuring_about(const struct measuring *m, size_t click)
{
    bool any = false;
    for (size_t i = 0; i < m->n; i++)
        any |= m->about[i];
    return m->about[click] || !any;
}

void measuring_say(struct desk *d, struct measuring *m)
{
    struct err e = {0};
    arena_free(&m->memory);
    buf_clear(&m->said);
    m->measured = (struct measured){0};
    m->fitted = false;
    memset(m->about, 0, sizeof m->about);
    memset(m->each, 0, sizeof m->each);
    m->whole = (struct measure){0};
    if (!say(d, m, &e))
        buf_printf(&m->said, "%s\n", e.text);
}
