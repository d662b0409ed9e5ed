/* What `boxcall count` prints of the map: places and ties. */
#include <math.h>
#include <stdio.h>

#include "base/number.h"
#include "count/timecode.h"
#include "paper/count.h"
#include "paper/count_columns.h"
#include "paper/json.h"
#include "paper/table.h"

/* --- places ---------------------------------------------------------------------------------- */

/* A place and what the columns say of it. */
struct place_row {
    const struct show *show;
    const struct count_place *p;
};

static const struct set *set_of(const struct place_row *r)
{
    return &r->show->sets[r->p->spot.set];
}

static bool place_ms(const void *row, double *out)
{
    const struct count_place *p = ((const struct place_row *)row)->p;
    *out = (double)p->us / 1000;
    return p->timed;
}

static bool place_stretch(const void *row, double *out)
{
    const struct count_place *p = ((const struct place_row *)row)->p;
    *out = p->spot.stretch + 1;
    return p->placed;
}

static void place_set(const void *row, struct buf *out)
{
    const struct place_row *r = row;
    if (r->p->placed)
        buf_str(out, set_of(r)->label);
}

static bool place_count(const void *row, double *out)
{
    const struct count_place *p = ((const struct place_row *)row)->p;
    *out = p->spot.count;
    return p->placed;
}

static bool place_counts(const void *row, double *out)
{
    const struct place_row *r = row;
    *out = r->p->placed ? set_of(r)->counts : 0;
    return r->p->placed;
}

static bool place_bpm(const void *row, double *out)
{
    const struct count_place *p = ((const struct place_row *)row)->p;
    *out = p->spot.bpm;
    return p->placed && p->spot.bpm > 0;
}

static bool place_ratio(const void *row, double *out)
{
    const struct count_place *p = ((const struct place_row *)row)->p;
    *out = p->spot.ratio;
    return p->placed;
}

const struct column places_columns[] = {
    MS_COLUMN(place_ms, "clip time in milliseconds"),
    WHOLE_COLUMN("stretch", place_stretch, "which run of the drill, from 1"),
    {.name = "set", .kind = COLUMN_MAYBE, .where = IN_BOTH, .cell = place_set, .help = "the set"},
    MICRO_COLUMN("count", place_count, "the count within it, from 1"),
    WHOLE_COLUMN("counts", place_counts, "how many the set has"),
    MICRO_COLUMN("bpm", place_bpm, "tempo as played"),
    MICRO_COLUMN("ratio", place_ratio, "played to written tempo"),
    {.name = NULL},
};

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
    const struct place_row first = {show, p};
    if (as == AS_JSON) {
        json_t *o = table_json(places_columns, &first), *all = json_array();
        for (size_t i = 0; n > 1 && i < n; i++)
            json_array_append_new(all,
                                  table_json(places_columns, &(struct place_row){show, &p[i]}));
        if (n > 1)
            json_object_set(o, "all", all);
        json_decref(all);
        json_put(o, out);
        return;
    }
    if (as == AS_CSV)
        table_csv_head(places_columns, out);
    for (size_t i = 0; i < n; i++)
        if (as == AS_CSV)
            table_csv_row(places_columns, &(struct place_row){show, &p[i]}, out);
        else
            place_line(show, &p[i], out);
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

/* A tie, and the leg from it to the next. */
struct tie_row {
    const struct map_anchor *tie;
    const struct set *set;
    int stretch;
    const struct map_leg *leg; /* NULL: none follows in its stretch */
};

static struct tie_row tie_row(const struct show *show, const struct map *map,
                              const struct map_anchors *ties, size_t i)
{
    return (struct tie_row){.tie = &ties->at[i],
                            .set = &show->sets[ties->at[i].set],
                            .stretch = stretch_of(map, i),
                            .leg = leg_from(map, i)};
}

static bool tie_ms(const void *row, double *out)
{
    *out = (double)((const struct tie_row *)row)->tie->us / 1000;
    return true;
}

static bool tie_stretch(const void *row, double *out)
{
    *out = ((const struct tie_row *)row)->stretch;
    return true;
}

static void tie_set(const void *row, struct buf *out)
{
    buf_str(out, ((const struct tie_row *)row)->set->label);
}

static bool tie_count(const void *row, double *out)
{
    *out = ((const struct tie_row *)row)->tie->count;
    return true;
}

static bool tie_counts(const void *row, double *out)
{
    *out = ((const struct tie_row *)row)->set->counts;
    return true;
}

static bool tie_ratio(const void *row, double *out)
{
    const struct map_leg *leg = ((const struct tie_row *)row)->leg;
    *out = leg ? leg->ratio : 0;
    return leg;
}

static bool tie_off_tempo(const void *row, double *out)
{
    const struct map_leg *leg = ((const struct tie_row *)row)->leg;
    *out = leg && leg->off_tempo;
    return leg;
}

const struct column ties_columns[] = {
    MS_COLUMN(tie_ms, "clip time in milliseconds"),
    WHOLE_COLUMN("stretch", tie_stretch, "which run of the drill, from 1"),
    {.name = "set", .where = IN_BOTH, .cell = tie_set, .help = "the set that is tied"},
    {.name = "count",
     .kind = COLUMN_NUMBER,
     .where = IN_BOTH,
     .number = tie_count,
     .format = "%g",
     .help = "the count within it, from 1"},
    WHOLE_COLUMN("counts", tie_counts, "how many the set has"),
    MICRO_COLUMN("ratio", tie_ratio, "played to written tempo up to the next tie"),
    {.name = "off_tempo",
     .kind = COLUMN_TRUTH,
     .where = IN_BOTH,
     .number = tie_off_tempo,
     .help = "yes where that is far from 1"},
    {.name = NULL},
};

static void tie_line(const struct tie_row *r, struct buf *out)
{
    char time[24];
    time_format(r->tie->us, time);
    buf_printf(out, "%-12s ", time);
    tie_place_text(r->set, r->tie->count, out);
    buf_printf(out, ", stretch %d", r->stretch);
    if (r->leg)
        buf_printf(out, "; to the next tie %+.1f %% of the written tempo%s",
                   (r->leg->ratio - 1) * 100, r->leg->off_tempo ? " (!)" : "");
    buf_char(out, '\n');
}

void count_ties(const struct show *show, const struct map *map, struct map_anchors ties,
                enum format as, struct buf *out)
{
    json_t *list = json_array();
    if (as == AS_CSV)
        table_csv_head(ties_columns, out);
    if (as == AS_TEXT && ties.n == 0)
        buf_str(out, "No ties yet: boxcall count SHOW CLIP tie TIME SET\n");
    for (size_t i = 0; i < ties.n; i++) {
        const struct tie_row row = tie_row(show, map, &ties, i);
        if (as == AS_JSON)
            json_array_append_new(list, table_json(ties_columns, &row));
        else if (as == AS_CSV)
            table_csv_row(ties_columns, &row, out);
        else
            tie_line(&row, out);
    }
    if (as == AS_JSON)
        json_put(list, out);
    else
        json_decref(list);
}
