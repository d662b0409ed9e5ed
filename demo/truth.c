#include <jansson.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "demo/truth.h"
#include "sys/file.h"

/* Short, equal on every machine: a thousandth of a millisecond, of a step. */
static json_t *number(double v)
{
    return json_real(round(v * 1000) / 1000);
}

static json_t *ms(double seconds)
{
    return number(seconds * 1000);
}

static json_t *row(const double *v, size_t n)
{
    json_t *a = json_array();
    for (size_t i = 0; i < n; i++)
        json_array_append_new(a, json_real(v[i]));
    return a;
}

static json_t *vec(struct vec v)
{
    return row((const double[]){v.x, v.y, v.z}, 3);
}

static json_t *spot(struct point p)
{
    return json_pack("[o,o]", number(p.x), number(p.y));
}

static json_t *clip(const struct truth *t)
{
    json_t *o =
        json_pack("{s:i,s:i,s:[i,i],s:I,s:o,s:b,s:b,s:b,s:I}", "width", t->view->width, "height",
                  t->view->height, "fps", t->fps_num, t->fps_den, "frames", (json_int_t)t->n_frames,
                  "length_ms", ms(t->length_s), "sound", t->has_sound, "bars", t->has_bars,
                  "fps_varies", t->varies, "seed", (json_int_t)t->seed);
    json_t *times = json_array();
    for (size_t i = 0; i < t->n_frames && t->varies; i++)
        json_array_append_new(times, json_integer(t->frame_us[i]));
    if (t->varies)
        json_object_set(o, "frame_us", times);
    json_decref(times);
    return o;
}

/* The grid is the band's paper, whose steps all places here are in, whatever field is painted. */
static json_t *field(const struct grid *g)
{
    const bool own = g == grid_named("high-school");
    const char *level = own                          ? "high-school"
                        : g == grid_named("college") ? "college"
                                                     : "professional";
    return json_pack("{s:s,s:f,s:f,s:f,s:f,s:f,s:{s:i,s:i,s:i}}", "level", level, "length_ft",
                     300.0, "width_ft", 160.0, "hash_from_sideline_ft",
                     own ? 160.0 / 3 : g->front_hash_in / 12, "feet_per_step", FEET_PER_STEP,
                     "feet_per_depth_step", FEET_PER_DEPTH_STEP, "grid", "front_hash", 28,
                     "back_hash", 56, "back_sideline", 84);
}

/* In the words of field/camera.h: no matrix says it. */
static json_t *lens(const struct shot *s)
{
    const struct camera c = shot_camera(s, 0);
    return json_pack("{s:o,s:f,s:f,s:f,s:f,s:f,s:f,s:b}", "position_in", row(c.p + CAMERA_X, 3),
                     "pan", c.p[CAMERA_PAN], "tilt", c.p[CAMERA_TILT], "roll", c.p[CAMERA_ROLL],
                     "focal_px", c.p[CAMERA_FOCAL], "k1", c.p[CAMERA_K1], "crown_in",
                     c.p[CAMERA_CROWN], "moves", shot_moves(s));
}

static json_t *camera(const struct view *w)
{
    double p[3][4];
    json_t *rotation = json_array(), *feet = json_array(), *steps = json_array();
    view_matrix(w, p);
    for (int i = 0; i < 3; i++) {
        json_array_append_new(rotation, row(w->r[i], 3));
        json_array_append_new(feet, row(p[i], 4));
        json_array_append_new(steps, row((const double[]){p[i][0] * FEET_PER_STEP,
                                                          p[i][1] * FEET_PER_DEPTH_STEP, p[i][3]},
                                         3));
    }
    return json_pack("{s:f,s:[f,f],s:o,s:o,s:o,s:o,s:o}", "focal_px", w->focal_px, "principal_px",
                     w->cx, w->cy, "position_ft", vec(w->at), "aim_ft", vec(w->aim), "rotation",
                     rotation, "feet_to_px", feet, "ground_steps_to_px", steps);
}

static json_t *sound(const struct sound *s)
{
    return json_pack("{s:f,s:f,s:o,s:f,s:o}", "temperature_c", s->temperature_c, "speed_m_s",
                     s->speed_m_s, "source_ft", vec(s->source), "distance_ft", s->distance_ft,
                     "delay_ms", ms(s->delay_s));
}

static size_t sets_shown(const struct truth *t)
{
    size_t n = 0;
    while (n < t->drill->n_sets && t->tempo->start_s[n] < t->length_s)
        n++;
    return n;
}

static json_t *sets(const struct truth *t)
{
    json_t *a = json_array();
    for (size_t i = 0; i < sets_shown(t); i++) {
        const struct set *s = &t->drill->sets[i];
        const double start = t->tempo->start_s[i];
        json_array_append_new(a, json_pack("{s:s,s:s,s:o,s:o,s:i,s:f,s:f,s:o,s:i}", "set", s->label,
                                           "name", s->name, "start_ms", ms(start), "end_ms",
                                           ms(start + set_seconds(s, s->counts)), "counts",
                                           s->counts, "tempo", s->tempo, "tempo_end", s->tempo_end,
                                           "hold_ms", ms(s->hold_s), "measures", s->measures));
    }
    return a;
}

static json_t *beats(const struct truth *t)
{
    json_t *a = json_array();
    for (size_t i = 0; i < t->sound->n_beats; i++) {
        const struct beat *b = &t->sound->beat[i];
        json_array_append_new(a, json_pack("{s:s,s:i,s:o,s:o}", "set", t->drill->sets[b->set].label,
                                           "count", b->count, "ms", ms(b->field_s), "heard_ms",
                                           ms(b->heard_s)));
    }
    return a;
}

static json_t *law(const struct truth *t, size_t p, int set)
{
    double leave, arrive;
    company_span(t->company, p, set, &leave, &arrive);
    return json_pack("{s:s,s:o,s:o,s:o,s:f,s:f}", "set", t->drill->sets[set].label, "dot",
                     spot(*drill_dot(t->drill, p, (size_t)set)), "from",
                     spot(company_target(t->company, p, set - 1)), "to",
                     spot(company_target(t->company, p, set)), "leave", leave + 1, "arrive",
                     arrive + 1);
}

static json_t *performers(const struct truth *t)
{
    json_t *all = json_array();
    for (size_t p = 0; p < t->drill->n_performers; p++) {
        const struct performer *who = &t->drill->performers[p];
        json_t *laws = json_array(), *at = json_array();
        for (size_t i = 0; i < sets_shown(t); i++)
            json_array_append_new(laws, law(t, p, (int)i));
        for (size_t i = 0; i < t->sound->n_beats; i++)
            json_array_append_new(at,
                                  spot(company_steps(t->company, p, t->sound->beat[i].field_s)));
        json_array_append_new(all,
                              json_pack("{s:s,s:s,s:s,s:o,s:o}", "label", who->label, "name",
                                        who->name, "section", t->drill->sections[who->section].name,
                                        "sets", laws, "at", at));
    }
    return all;
}

/* The smallest section that holds everybody who is named. */
static const char *section_of(const struct drill *d, const struct slip *s)
{
    int section = d->performers[s->who[0]].section;
    for (size_t i = 1; i < s->n_who; i++)
        while (!drill_within(d, d->performers[s->who[i]].section, section))
            section = d->sections[section].up;
    return d->sections[section].name;
}

static json_t *faults(const struct truth *t)
{
    json_t *a = json_array();
    for (size_t i = 0; i < t->drill->n_slips; i++) {
        const struct slip *s = &t->drill->slips[i];
        const double from = tempo_at(t->tempo, s->set, s->c);
        json_t *who = json_array();
        for (size_t k = 0; k < s->n_who; k++)
            json_array_append_new(who, json_string(t->drill->performers[s->who[k]].label));
        json_t *o =
            json_pack("{s:o,s:o,s:s,s:f,s:o,s:s,s:s,s:f,s:s,s:s}", "ms", ms(from), "end_ms",
                      ms(tempo_at(t->tempo, s->set, s->until)), "set", t->drill->sets[s->set].label,
                      "count", s->c + 1, "who", who, "section", section_of(t->drill, s), "fault",
                      s->fault, "amount", s->given, "unit", s->unit, "note", s->note);
        if (from < t->length_s && tempo_at(t->tempo, s->set, s->until) > 0)
            json_array_append(a, o);
        json_decref(o);
    }
    return a;
}

static const char about[] =
    "A set's counts lead into its dots; the first set's dots are the starting form. Count 1 begins "
    "at start_ms, count counts + 1 is end_ms, then the hold; beats are the beginnings of counts. "
    "Places are grid steps [across from the 50, side 2 positive; depth from the front sideline]. A "
    "performer's 'at' has one place for every row of beats; 'from' and 'to' are where that body "
    "really stands, 'leave' and 'arrive' counts of the set. feet_to_px and ground_steps_to_px take "
    "columns [X Y Z 1] and [across depth 1]; the middle of the top left pixel is (0, 0). A fault "
    "can be seen from ms to end_ms.";

bool truth_write(const char *path, const struct truth *t, struct err *e)
{
    json_t *root =
        json_pack("{s:s,s:o,s:o,s:o,s:o,s:o,s:o,s:o,s:o}", "about", about, "clip", clip(t), "field",
                  field(t->grid), "camera", t->view->plain ? camera(t->view) : lens(t->shot),
                  "sound", sound(t->sound), "sets", sets(t), "faults", faults(t), "beats", beats(t),
                  "performers", performers(t));
    char *text = root ? json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(12)) : NULL;
    json_decref(root);
    if (!text)
        return err_set(e, ERR_FAILED, "%s: cannot make JSON of names that are not UTF-8", path);
    const bool ok = file_write(path, text, strlen(text), e);
    free(text);
    return ok;
}
