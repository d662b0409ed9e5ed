/* What `boxcall count` prints: ties, places, taps, beats. */
#include <math.h>
#include <stdio.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/count.h"
#include "paper/json.h"

static double round_to(double x, double unit)
{
    return round(x / unit) * unit;
}

/* --- places ---------------------------------------------------------------------------------- */

static json_t *place_object(const struct show *show, const struct count_place *p)
{
    json_t *o = json_object();
    bool in = p->placed;
    json_object_set_new(o, "ms",
                        p->timed ? json_real(round_to((double)p->us / 1000, 0.001)) : json_null());
    json_object_set_new(o, "stretch", in ? json_integer(p->spot.stretch + 1) : json_null());
    json_object_set_new(o, "set", in ? json_text(show->sets[p->spot.set].label) : json_null());
    json_object_set_new(o, "count", in ? json_real(round_to(p->spot.count, 1e-6)) : json_null());
    json_object_set_new(o, "counts",
                        in ? json_integer(show->sets[p->spot.set].counts) : json_null());
    json_object_set_new(
        o, "bpm", in && p->spot.bpm > 0 ? json_real(round_to(p->spot.bpm, 1e-6)) : json_null());
    json_object_set_new(o, "ratio", in ? json_real(round_to(p->spot.ratio, 1e-6)) : json_null());
    return o;
}

static void place_line(const struct show *show, const struct count_place *p, struct buf *out)
{
    char time[24] = "-";
    if (p->timed)
        time_format(p->us, time);
    buf_printf(out, "%-12s", time);
    if (!p->placed) {
        buf_str(out, p->timed ? " in no set\n" : " nowhere in this clip\n");
        return;
    }
    const struct spot *s = &p->spot;
    const struct set *set = &show->sets[s->set];
    if (s->in_hold)
        buf_printf(out, " set %s, hold %.2f s", set->label, s->hold_s);
    else if (s->count < set->counts + 1.0) /* cut, not rounded: the next count has not begun */
        buf_printf(out, " set %s, count %.2f of %d", set->label, floor(s->count * 100 + 1e-4) / 100,
                   set->counts);
    else
        buf_printf(out, " the end of set %s", set->label);
    if (s->bpm > 0)
        buf_printf(out, ", %.2f bpm", s->bpm);
    buf_printf(out, ", %+.1f %% of the written tempo, stretch %d\n", (s->ratio - 1) * 100,
               s->stretch + 1);
}

void count_places(const struct show *show, const struct count_place *p, size_t n, enum format as,
                  struct buf *out)
{
    if (as == AS_JSON) {
        json_t *o = place_object(show, &p[0]), *all = json_array();
        for (size_t i = 0; n > 1 && i < n; i++)
            json_array_append_new(all, place_object(show, &p[i]));
        if (n > 1)
            json_object_set(o, "all", all);
        json_decref(all);
        json_put(o, out);
        return;
    }
    if (as == AS_CSV)
        buf_str(out, "ms,stretch,set,count,counts,bpm,ratio\r\n");
    for (size_t i = 0; i < n; i++) {
        if (as == AS_TEXT) {
            place_line(show, &p[i], out);
            continue;
        }
        if (p[i].timed)
            buf_printf(out, "%.3f", (double)p[i].us / 1000);
        if (p[i].placed) {
            buf_printf(out, ",%d,", p[i].spot.stretch + 1);
            csv_cell(out, show->sets[p[i].spot.set].label, true);
            buf_printf(out, ",%.6f,%d,", p[i].spot.count, show->sets[p[i].spot.set].counts);
            if (p[i].spot.bpm > 0)
                buf_printf(out, "%.6f", p[i].spot.bpm);
            buf_printf(out, ",%.6f", p[i].spot.ratio);
        } else {
            buf_str(out, ",,,,,,");
        }
        csv_end(out);
    }
}

/* --- ties ------------------------------------------------------------------------------------ */

static const struct map_leg *leg_from(const struct map *map, size_t tie)
{
    size_t n;
    const struct map_leg *legs = map_legs(map, &n);
    for (size_t i = 0; i < n; i++)
        if (legs[i].from == (int)tie)
            return &legs[i];
    return NULL;
}

static int stretch_of(const struct map *map, size_t tie)
{
    size_t n;
    const struct map_stretch *s = map_stretches(map, &n);
    for (size_t i = 0; i < n; i++)
        if ((int)tie >= s[i].first && (int)tie <= s[i].last)
            return (int)i + 1;
    return 0;
}

void tie_place_text(const struct set *set, double count, struct buf *out)
{
    if (count < set->counts + 1.0)
        buf_printf(out, "set %s, count %g of %d", set->label, count, set->counts);
    else
        buf_printf(out, "the end of set %s", set->label);
}

void count_ties(const struct show *show, const struct map *map, struct map_anchors all,
                enum format as, struct buf *out)
{
    const struct map_anchor *ties = all.at;
    const size_t n = all.n;
    json_t *list = json_array();
    if (as == AS_CSV)
        buf_str(out, "ms,stretch,set,count,counts,ratio,off_tempo\r\n");
    if (as == AS_TEXT && n == 0)
        buf_str(out, "No ties yet: boxcall count SHOW CLIP tie TIME SET\n");
    for (size_t i = 0; i < n; i++) {
        const struct map_leg *leg = leg_from(map, i);
        const struct set *set = &show->sets[ties[i].set];
        int stretch = stretch_of(map, i);
        char time[24];
        time_format(ties[i].us, time);
        if (as == AS_JSON) {
            json_t *o = json_object();
            json_object_set_new(o, "ms", json_real(round_to((double)ties[i].us / 1000, 0.001)));
            json_object_set_new(o, "stretch", json_integer(stretch));
            json_object_set_new(o, "set", json_text(set->label));
            json_object_set_new(o, "count", json_real(ties[i].count));
            json_object_set_new(o, "counts", json_integer(set->counts));
            json_object_set_new(o, "ratio",
                                leg ? json_real(round_to(leg->ratio, 1e-6)) : json_null());
            json_object_set_new(o, "off_tempo", json_boolean(leg && leg->off_tempo));
            json_array_append_new(list, o);
        } else if (as == AS_CSV) {
            buf_printf(out, "%.3f,%d,", (double)ties[i].us / 1000, stretch);
            csv_cell(out, set->label, true);
            buf_printf(out, ",%g,%d,", ties[i].count, set->counts);
            if (leg)
                buf_printf(out, "%.6f,%s", leg->ratio, leg->off_tempo ? "yes" : "");
            else
                buf_char(out, ',');
            csv_end(out);
        } else {
            buf_printf(out, "%-12s ", time);
            tie_place_text(set, ties[i].count, out);
            buf_printf(out, ", stretch %d", stretch);
            if (leg)
                buf_printf(out, "; to the next tie %+.1f %% of the written tempo%s",
                           (leg->ratio - 1) * 100, leg->off_tempo ? " (!)" : "");
            buf_char(out, '\n');
        }
    }
    if (as == AS_JSON)
        json_put(list, out);
    else
        json_decref(list);
}

/* --- taps ------------------------------------------------------------------------------------ */

void count_taps(const struct tap_fit *f, enum format as, struct buf *out)
{
    if (as == AS_JSON) {
        json_t *o = json_object();
        json_object_set_new(o, "bpm", json_real(round_to(f->bpm, 1e-6)));
        json_object_set_new(o, "bpm_error", json_real(round_to(f->bpm_error, 1e-6)));
        json_object_set_new(o, "ms", json_real(round_to(f->at_us / 1000, 0.001)));
        json_object_set_new(o, "ms_error", json_real(round_to(f->at_error_us / 1000, 0.001)));
        json_object_set_new(o, "ratio",
                            f->ratio > 0 ? json_real(round_to(f->ratio, 1e-6)) : json_null());
        json_object_set_new(o, "octave", f->octave > 0 ? json_real(f->octave) : json_null());
        json_object_set_new(o, "residual_ms", json_real(round_to(f->residual_us / 1000, 0.001)));
        json_object_set_new(o, "used", json_integer(f->used));
        json_object_set_new(o, "set_aside", json_integer(f->outliers + f->doubles));
        json_object_set_new(o, "missed", json_integer(f->missed));
        json_put(o, out);
    } else if (as == AS_CSV) {
        buf_str(out,
                "bpm,bpm_error,ms,ms_error,ratio,octave,residual_ms,used,set_aside,missed\r\n");
        buf_printf(out, "%.6f,%.6f,%.3f,%.3f,%.6f,%g,%.3f,%d,%d,%d\r\n", f->bpm, f->bpm_error,
                   f->at_us / 1000, f->at_error_us / 1000, f->ratio, f->octave,
                   f->residual_us / 1000, f->used, f->outliers + f->doubles, f->missed);
    } else {
        char time[24];
        time_format(near_within(f->at_us, INT64_MIN, INT64_MAX), time);
        buf_printf(out, "%.2f bpm +- %.2f; the first tap's beat at %s +- %.0f ms (95 %%)\n", f->bpm,
                   f->bpm_error, time, f->at_error_us / 1000);
        buf_printf(out,
                   "%d taps used, %d set aside, %d beats without a tap; a tap is off by %.0f ms\n",
                   f->used, f->outliers + f->doubles, f->missed, f->residual_us / 1000);
        if (f->octave == 2 || f->octave == 0.5)
            buf_printf(out, "The written tempo is %s the tapped one: %s was tapped.\n",
                       f->octave == 2 ? "twice" : "half",
                       f->octave == 2 ? "half time" : "double time");
    }
}

/* --- beats ----------------------------------------------------------------------------------- */

void count_beats(const struct beats *b, enum format as, struct buf *out)
{
    double confidence = 0;
    for (size_t i = 0; i < b->n; i++)
        confidence += b->beat[i].confidence / (double)b->n;
    if (as == AS_JSON) {
        json_t *o = json_object(), *bpm = json_array(), *beats = json_array();
        for (size_t i = 0; i < b->n; i++) {
            double ms = round_to((double)b->beat[i].at_us / 1000, 0.001);
            json_array_append_new(beats, json_real(ms));
            json_array_append_new(
                bpm, json_pack("{s:f,s:f}", "ms", ms, "bpm", round_to(b->beat[i].bpm, 0.001)));
        }
        json_object_set_new(o, "bpm", bpm);
        json_object_set_new(o, "beats", beats);
        json_object_set_new(o, "confidence", json_real(round_to(confidence, 0.001)));
        json_put(o, out);
        return;
    }
    if (as == AS_CSV)
        buf_str(out, "ms,bpm,confidence,heard\r\n");
    else
        buf_printf(out, "%zu beats, confidence %.2f\n", b->n, confidence);
    for (size_t i = 0; i < b->n; i++) {
        const struct beat *k = &b->beat[i];
        char time[24];
        time_format(k->at_us, time);
        if (as == AS_CSV)
            buf_printf(out, "%.3f,%.3f,%.3f,%s\r\n", (double)k->at_us / 1000, k->bpm, k->confidence,
                       k->heard ? "yes" : "");
        else
            buf_printf(out, "%-12s %7.2f bpm%s\n", time, k->bpm, k->heard ? "" : "  (between)");
    }
}
