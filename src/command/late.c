/* Early and late: the frame in which something was seen against when it was due. */
#include "command/late.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/command.h"
#include "count/late.h"
#include "count/moment.h"

static int64_t frame_us(const struct desk *d)
{
    return d->play.fps_num > 0 ? (int64_t)1000000 * d->play.fps_den / d->play.fps_num : 0;
}

/* The place that was due: typed, or the nearest beginning of a set. */
static bool due_place(struct desk *d, const char *arg, int64_t at_us, struct place *out)
{
    struct moment m;
    struct map_span span;
    struct err e;
    if (*arg) {
        if (!moment_parse_drill(arg, d->moves, d->app->show.n_sets, &m, &e) ||
            m.kind != MOMENT_PLACE) {
            desk_trouble(d, "write when it was due as set and count, as in 14.9");
            return false;
        }
        *out = (struct place){.set = m.set, .count = m.count};
        return true;
    }
    if (!map_boundary(d->map, at_us + 1, MAP_NEAREST, &span)) {
        desk_trouble(d, "the clip is not tied to sets here; %s ties it",
                     keymap_key_of(&d->keys, KEYS_REVIEW, "tie"));
        return false;
    }
    *out = (struct place){.set = span.set, .count = span.from_count};
    return true;
}

void command_late(struct desk *d, const char *arg)
{
    struct mark *m = mark_in_hand(d);
    struct place due;
    struct late late;
    struct err e;
    char words[48], what[160];
    int64_t at;
    /* The hand is as late here as it is at a chord's first key. */
    if (!m || !d->map || !seen_at(d, &at) || !due_place(d, arg, at, &due))
        return;
    if (!late_in_map(d->map, &due, at, frame_us(d), &late, &e)) {
        desk_trouble(d, "%s", e.text);
        return;
    }
    late_format(&late, words);
    snprintf(what, sizeof what, "%s, due set %.30s count %g", words,
             d->app->show.sets[due.set].label, due.count);
    change_mark(d, m->id,
                &(struct mark_change){.fields = MARK_LATE,
                                      .late_counts = late.counts,
                                      .late_error = late.error_counts},
                what);
}

void command_seen(struct desk *d, const char *arg)
{
    (void)arg;
    command_late(d, "");
}

void ripple_add(struct desk *d, const struct chord *c)
{
    struct chord copy = *c;
    const struct show *show = &d->app->show;
    chord_cancel(d);
    if (!d->row)
        d->row = xcalloc(1, sizeof *d->row);
    for (size_t i = 0; i < copy.n_targets && d->row->n < RIPPLE_MOST; i++) {
        const struct target *t = &copy.targets[i];
        size_t k = d->row->n++;
        d->row->seen[k].who = who_of(show, t);
        d->row->seen[k].at_us = d->play.at_us;
        snprintf(d->row->seen[k].name, sizeof d->row->seen[k].name, "%.38s",
                 t->performer >= 0 ? show->performers[t->performer].label
                                   : show->sections[t->section].name);
    }
    desk_say(d, "ripple: %zu seen (Enter measures, Esc drops)", d->row->n);
}

/* Those who are still in the show; says who is not. */
static size_t ripple_targets(struct desk *d, struct target *out, struct buf *gone)
{
    size_t n = 0;
    for (size_t i = 0; i < d->row->n; i++)
        if (who_find(&d->app->show, &d->row->seen[i].who, &out[n]))
            n++;
        else
            buf_printf(gone, "%s%s", gone->n ? ", " : "", d->row->seen[i].name);
    return n;
}

/* One mark for all who were measured; the figures are its note. */
static void keep_ripple(struct desk *d, const struct ripple *r, double bpm)
{
    struct target targets[RIPPLE_MOST];
    struct buf note = {0}, gone = {0};
    const struct ripple_row *row = d->row;
    size_t n = ripple_targets(d, targets, &gone);
    int fault = show_fault(&d->app->show, "ripple");
    if (fault < 0)
        fault = show_fault(&d->app->show, "phasing");
    buf_printf(&note, "ripple over %.1f +- %.1f counts (%.0f ms at %.0f bpm), first %s, last %s",
               r->spread_counts, r->error_counts, r->spread_ms, bpm, row->seen[r->first].name,
               row->seen[r->last].name);
    for (size_t i = 0, k = 0; i < row->n; i++)
        if (r->off[i])
            buf_printf(&note, "%s%s %+.1f", k++ ? ", " : "; off: ", row->seen[i].name,
                       r->each[i].counts);
    if (gone.n)
        buf_printf(&note, "; not in the show any more: %s", gone.p);
    if (fault < 0 || n == 0) {
        desk_say(d, "%s", note.p);
    } else if (make_mark(d, row->seen[r->first].at_us, targets, n, fault)) {
        note_set(d, d->newest, "", note.p);
        desk_say(d, "%s", note.p);
    }
    buf_free(&note);
    buf_free(&gone);
}

bool ripple_end(struct desk *d, bool keep)
{
    struct arena mem = {0};
    struct ripple r;
    struct err e;
    struct spot spot;
    if (!d->row)
        return false;
    struct seen seen[RIPPLE_MOST];
    for (size_t i = 0; i < d->row->n; i++)
        seen[i] = (struct seen){d->row->seen[i].name, d->row->seen[i].at_us};
    double bpm = d->map && map_at(d->map, d->row->seen[0].at_us, &spot) ? spot.bpm : 0;
    if (!keep)
        desk_say(d, "ripple dropped");
    else if (ripple_measure(&mem, seen, d->row->n, -1, bpm, frame_us(d), 0, &r, &e))
        keep_ripple(d, &r, bpm);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
    free(d->row);
    d->row = NULL;
    return true;
}
