#include "command/ripple.h"

#include <stdio.h>

#include "app/app.h"
#include "command/change_mark.h"
#include "command/hold.h"
#include "command/new_mark.h"
#include "command/playing.h"
#include "command/who.h"
#include "count/late.h"

enum { RIPPLE_MOST = 32 };

struct row {
    struct hold hold;
    size_t n;
    struct {
        struct who who;
        char name[40]; /* as the message says it */
        int64_t at_us;
    } seen[RIPPLE_MOST];
};

static void left(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct row), .clip_left = left};

static struct row *row_of(const struct desk *d)
{
    return desk_part(d, &part);
}

/* Those who are still in the show; says who is not. */
static size_t ripple_targets(struct desk *d, struct target *out, struct buf *gone)
{
    const struct row *row = row_of(d);
    size_t n = 0;
    for (size_t i = 0; i < row->n; i++)
        if (who_find(&d->app->show, &row->seen[i].who, &out[n]))
            n++;
        else
            buf_printf(gone, "%s%s", gone->n ? ", " : "", row->seen[i].name);
    return n;
}

/* One mark for all who were measured; the figures are its note. */
static void keep_ripple(struct desk *d, const struct ripple *r, double bpm)
{
    struct target targets[RIPPLE_MOST];
    struct buf note = {0}, gone = {0};
    const struct row *row = row_of(d);
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

static void measure(struct desk *d)
{
    const struct row *row = row_of(d);
    struct arena mem = {0};
    struct ripple r;
    struct err e;
    struct spot spot;
    struct seen seen[RIPPLE_MOST];
    for (size_t i = 0; i < row->n; i++)
        seen[i] = (struct seen){row->seen[i].name, row->seen[i].at_us};
    double bpm = d->map && map_at(d->map, row->seen[0].at_us, &spot) ? spot.bpm : 0;
    if (ripple_measure(&mem, &(struct ripple_seen){seen, row->n, -1, bpm, playing_frame_us(d), 0},
                       &r, &e))
        keep_ripple(d, &r, bpm);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}

static void end(struct desk *d, bool keep)
{
    struct row *row = row_of(d);
    if (keep)
        measure(d);
    else
        desk_say(d, "ripple dropped");
    hold_end(d, &row->hold);
    row->n = 0;
}

static void left(struct desk *d, void *mine)
{
    if (((struct row *)mine)->n)
        end(d, false);
}

static const struct hold_kind measuring = {.end = end};

void ripple_add(struct desk *d, const struct target *targets, size_t n)
{
    const struct show *show = &d->app->show;
    struct row *row = row_of(d);
    hold_begin(d, &row->hold, &measuring);
    for (size_t i = 0; i < n && row->n < RIPPLE_MOST; i++) {
        const struct target *t = &targets[i];
        size_t k = row->n++;
        row->seen[k].who = who_of(show, t);
        row->seen[k].at_us = d->play.at_us;
        snprintf(row->seen[k].name, sizeof row->seen[k].name, "%.38s",
                 t->performer >= 0 ? show->performers[t->performer].label
                                   : show->sections[t->section].name);
    }
    desk_say(d, "ripple: %zu seen (Enter measures, Esc drops)", row->n);
}
