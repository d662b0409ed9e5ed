/* Who stands where in a clip's pictures, from the command line. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "app/field_marks.h"
#include "base/shell.h"
#include "count/moment.h"
#include "count/timecode.h"
#include "field/form.h"
#include "field/residual.h"
#include "field/who.h"
#include "verb/fielding.h"

/* What is usual is learnt from the clip's own marks, and said. */
static bool usual_off(struct fielding *f, struct who_ask *ask, struct err *e)
{
    struct field_spread s;
    if (!app_field_spread(f->app, f->clip, &f->c->memory, &s, e))
        return false;
    ask->usual_sd = s.sd_in;
    if (s.samples)
        buf_printf(&f->c->talk,
                   "people of this clip stand %.1f step from their dots, learnt from %zu\n",
                   s.sd_in / GRID_ACROSS_IN, s.samples);
    else
        buf_printf(&f->c->talk,
                   "people are taken to stand %.1f step from their dots, as is common: no mark of "
                   "this clip says where somebody stood\n",
                   s.sd_in / GRID_ACROSS_IN);
    return true;
}

/* --- who ------------------------------------------------------------------------------------------------ */

bool verb_field_who(struct fielding *f, struct err *e)
{
    enum { MOST = 8 };
    static const double least = 0.005;
    const struct show *s = &f->app->show;
    struct field_clicked c;
    struct field_dots_then dots;
    struct candidate all[MOST];
    struct field_who_row rows[MOST];
    size_t n = 0;
    if (s->n_dots == 0)
        return field_no_dots(f, e);
    if (!field_clicks(f, 1, &c, e) || !field_dots_at(f, c.us, true, &dots, e))
        return false;
    struct who_ask ask = field_who_ask(&dots, &c.m, 0);
    if (!usual_off(f, &ask, e))
        return false;
    const size_t found = who_is(&ask, all, MOST);
    for (size_t i = 0; i < found; i++) {
        if (i > 0 && all[i].probability < least)
            break;
        const struct performer *p = &s->performers[dots.performer[all[i].dot]];
        double x, y;
        field_place_steps(&s->grid, dots.at[all[i].dot], &x, &y);
        rows[n] = (struct field_who_row){.performer = p->label,
                                         .name = p->name,
                                         .section = s->sections[p->section].name,
                                         .probability = all[i].probability,
                                         .off_steps = all[i].off / GRID_ACROSS_IN,
                                         .far = field_far_off(&ask, all[i].off)};
        spot_text(&s->grid, x, y, rows[n++].dot);
    }
    field_who(rows, n, f->as, &f->c->out);
    return true;
}

/* --- a whole form --------------------------------------------------------------------------------------- */

/* The form's shift with its error: of the clicks together, and of chance in who stands a bit off. */
static void shift_said(const struct fielding *f, const struct form_fit *fit,
                       const struct measured *m, struct field_form *out)
{
    const struct grid *g = &f->app->show.grid;
    double x = 0, y = 0;
    struct field_place middle = {0, 0};
    for (size_t i = 0; i < m->n; i++)
        middle.x += m->at[i].x / (double)m->n, middle.y += m->at[i].y / (double)m->n;
    struct field_off_row row;
    field_off_said(g, middle, fit->shift, &row);
    x = row.across, y = row.depth;
    const double chance =
        2 * WHO_USUAL_SD_IN * 1.2533 / sqrt((double)(fit->pairs ? fit->pairs : 1));
    out->shift = (struct field_place){x, y};
    out->shift_error = hypot(measure_middle(m).major, chance) / GRID_ACROSS_IN;
    out->scale = fit->scale;
}

static void missing_of(struct fielding *f, const struct field_dots_then *dots,
                       const struct form_fit *fit, size_t n, struct field_form *out)
{
    const char **names = arena_alloc(&f->c->memory, (dots->n + 1) * sizeof *names);
    for (size_t k = 0; k < dots->n; k++) {
        bool there = false;
        for (size_t i = 0; i < n; i++)
            there |= fit->dot[i] == (int)k;
        if (!there)
            names[out->n_missing++] = f->app->show.performers[dots->performer[k]].label;
    }
    out->missing = names;
}

static bool some_of(struct fielding *f, struct field_dots_then *dots, struct err *e)
{
    const char *whom = call_value(f->c, "for");
    int section;
    size_t n = 0;
    if (!whom)
        return true;
    if (!section_named(&f->app->show, whom, &section, e))
        return false;
    for (size_t i = 0; i < dots->n; i++)
        if (section_within(&f->app->show, f->app->show.performers[dots->performer[i]].section,
                           section)) {
            dots->performer[n] = dots->performer[i];
            dots->at[n++] = dots->at[i];
        }
    dots->n = n;
    return n > 0 || err_set(e, ERR_INPUT, "nobody of %s has a dot then", whom);
}

bool verb_field_check(struct fielding *f, struct err *e)
{
    static const double gate_steps = 4;
    const struct show *s = &f->app->show;
    struct field_clicked c;
    struct field_dots_then dots;
    struct form_fit fit;
    struct field_form said = {0};
    struct field_marking m;
    if (s->n_dots == 0)
        return field_no_dots(f, e);
    if (!field_marking_of(f, &m, e) || !field_clicks(f, 1, &c, e) ||
        !field_dots_at(f, c.us, true, &dots, e) || !some_of(f, &dots, e))
        return false;
    const struct form_ask ask = {c.m.at, dots.at, c.m.n, dots.n, gate_steps * GRID_ACROSS_IN};
    form_check(&f->c->memory, &ask, &fit);
    struct field_off_row *rows = arena_alloc(&f->c->memory, c.m.n * sizeof *rows);
    struct field_place_row *alone = arena_alloc(&f->c->memory, c.m.n * sizeof *alone);
    struct pixel *alone_at = arena_alloc(&f->c->memory, c.m.n * sizeof *alone_at);
    for (size_t i = 0; i < c.m.n; i++) {
        if (fit.dot[i] < 0) {
            alone_at[said.n_unmatched] = c.px[i];
            field_place_said(&s->grid, &c.m, i, &alone[said.n_unmatched++]);
            continue;
        }
        struct field_off_row *r = &rows[said.n++];
        *r = (struct field_off_row){.number = (int)i + 1,
                                    .performer = s->performers[dots.performer[fit.dot[i]]].label,
                                    .error = measure_ellipse(&c.m, i).major / GRID_ACROSS_IN};
        field_off_said(&s->grid, c.m.at[i], fit.off[i], r);
        const struct field_found found = {.us = c.us,
                                          .who = {r->performer},
                                          .measure = {MEASURE_PLACE, r->steps, r->error, NAN},
                                          .at = c.m.at[i]};
        if (m.asked && field_is_off(&m, r->steps, r->error))
            field_mark_found(f, &m, &found);
    }
    said.at = rows;
    said.unmatched = alone;
    said.unmatched_at = alone_at;
    shift_said(f, &fit, &c.m, &said);
    missing_of(f, &dots, &fit, c.m.n, &said);
    field_form(&said, f->as, &f->c->out);
    return field_marking_done(f, &m, e);
}

/* --- dots ------------------------------------------------------------------------------------------------ */

/* "SET COUNT", "SET", "TIME", or nothing: the end of the first set. */
static bool place_asked(struct fielding *f, struct set_count *when, struct err *e)
{
    const struct show *s = &f->app->show;
    struct moment m;
    int64_t us;
    struct spot spot;
    *when = (struct set_count){0, s->n_sets ? s->sets[0].counts + 1.0 : 1};
    if (f->n == 0)
        return s->n_sets > 0 || err_set(e, ERR_INPUT, "the show has no sets yet");
    when->set = show_set(s, f->words[0]);
    if (when->set >= 0) {
        char *end = NULL;
        const int counts = s->sets[when->set].counts;
        when->count = f->n > 1 ? strtod(f->words[1], &end) : counts + 1.0;
        return f->n == 1 || (*end == '\0' && when->count >= 1 && when->count <= counts + 1.0) ||
               err_set(e, ERR_INPUT, "set %s has %d counts; there is no count %s",
                       s->sets[when->set].label, counts, f->words[1]);
    }
    if (f->n == 2 || s->n_sets == 0)
        return err_set(e, ERR_INPUT, "there is no set '%s'", f->words[0]);
    if (moment_parse_drill(f->words[0], app_moves(s, &f->c->memory), &m, e) &&
        m.kind == MOMENT_PLACE) {
        *when = (struct set_count){m.set, m.count};
        return true;
    }
    const struct map *map = app_clip_time(f->clip, f->words[0], &us, e)
                                ? app_map(f->app, f->clip, &f->c->memory, NULL, e)
                                : NULL;
    if (!map)
        return false;
    if (!map_at(map, us, &spot))
        return err_set(e, ERR_INPUT,
                       "clip '%s' is not tied to the drill at %s; tie it: boxcall count %s %s tie "
                       "TIME SET",
                       f->clip->label, f->words[0], shell_word(f->c->words[0]).text,
                       shell_word(f->c->words[1]).text);
    *when = (struct set_count){spot.set, spot.count};
    return true;
}

bool verb_field_dots(struct fielding *f, struct err *e)
{
    const struct show *s = &f->app->show;
    struct set_count when;
    struct field_dots_then dots;
    if (s->n_dots == 0)
        return field_no_dots(f, e);
    if (!place_asked(f, &when, e) || !field_dots_of(f, when, &dots))
        return false;
    struct field_dot_row *rows = arena_alloc(&f->c->memory, (dots.n + 1) * sizeof *rows);
    for (size_t i = 0; i < dots.n; i++) {
        const struct performer *p = &s->performers[dots.performer[i]];
        rows[i] = (struct field_dot_row){
            .performer = p->label, .section = s->sections[p->section].name, .in = dots.at[i]};
        field_place_steps(&s->grid, dots.at[i], &rows[i].across, &rows[i].depth);
        spot_text(&s->grid, rows[i].across, rows[i].depth, rows[i].spot);
    }
    field_dots(rows, dots.n, f->as, &f->c->out);
    return true;
}
