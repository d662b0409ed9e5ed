#include "command/new_mark.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/command.h"
#include "command/hold.h"
#include "command/playing.h"
#include "command/who.h"
#include "count/timecode.h"
#include "mark/chord.h"
#include "paper/paper.h"

/* What a repeat would say. */
struct last {
    struct who who[CHORD_TARGETS];
    size_t n;
    int64_t fault; /* row */
};

static const struct part part = {.size = sizeof(struct last)};

static struct last *last(const struct desk *d)
{
    return desk_part(d, &part);
}

void mark_describe(const struct desk *d, const struct mark *m, struct buf *out)
{
    char time[24];
    time_format_short(m->at_us, time);
    buf_printf(out, "%s ", time);
    targets_text(&d->app->show, m->targets, m->n_targets, out);
    buf_printf(out, ", %s%s", m->praise ? "keep " : "", d->app->show.faults[m->fault].name);
    if (m->set >= 0)
        buf_str(out, "  ");
    place_text(&d->app->show, m->set, m->count, out);
}

static void remember(struct desk *d, const struct target *targets, size_t n, int fault)
{
    struct last *l = last(d);
    l->n = n < CHORD_TARGETS ? n : CHORD_TARGETS;
    for (size_t i = 0; i < l->n; i++)
        l->who[i] = who_of(&d->app->show, &targets[i]);
    l->fault = d->app->show.faults[fault].id;
}

struct new_mark {
    struct desk *desk;
    struct mark *mark;
};

static bool add_mark(struct store *s, void *ctx, struct err *e)
{
    struct new_mark *n = ctx;
    return store_mark_add(s, &n->desk->app->show, n->mark, e) &&
           store_clip_left(s, n->desk->clip, n->desk->play.at_us, e);
}

bool make_said_mark(struct desk *d, const struct mark *said)
{
    struct mark m = *said;
    m.clip = d->clip;
    m.end_us = -1;
    m.cause = d->app->show.faults[m.fault].cause;
    m.note = "";
    m.set = -1;
    struct new_mark new = {d, &m};
    struct buf what = {0};
    struct err e;
    app_place_mark(d->map, &m);
    mark_describe(d, &m, &what);
    bool ok = store_step(d->app->store, what.p, add_mark, &new, &e);
    if (ok) {
        desk_wrote(d);
        calls_add(d, &m);
        remember(d, m.targets, m.n_targets, m.fault);
        d->newest = m.id;
        d->selected = 0;
        desk_say(d, "%s", what.p);
    } else {
        desk_trouble(d, "NOT SAVED: %s", e.text);
    }
    buf_free(&what);
    return ok;
}

bool make_mark(struct desk *d, int64_t at_us, const struct target *targets, size_t n, int fault)
{
    return make_said_mark(d, &(struct mark){.at_us = at_us,
                                            .targets = targets,
                                            .n_targets = n,
                                            .fault = fault,
                                            .severity = SEVERITY_LEAST});
}

void command_repeat(struct desk *d, const char *arg)
{
    const struct last *l = last(d);
    (void)arg;
    if (!l->n) {
        desk_trouble(d, "nothing to repeat yet");
        return;
    }
    int64_t at;
    struct target targets[CHORD_TARGETS];
    size_t n = 0;
    int fault = fault_of_row(&d->app->show, l->fault);
    hold_drop(d);
    while (n < l->n && who_find(&d->app->show, &l->who[n], &targets[n]))
        n++;
    if (n < l->n || fault < 0 || d->app->show.faults[fault].removed) {
        desk_trouble(d, "what was marked last is not in the show any more; type it anew");
        return;
    }
    if (seen_at(d, &at))
        make_mark(d, at, targets, n, fault);
}

bool marked_words_read(const struct desk *d, struct arena *mem, const char *text,
                       struct marked_words *out, struct err *e)
{
    *e = (struct err){0};
    for (size_t cut = strlen(text); cut-- > 1;) { /* every cut, the longest target first */
        if (text[cut] != ' ')
            continue;
        out->fault = show_fault(&d->app->show, text + cut + 1);
        if (out->fault >= 0 && (out->targets = targets_parse(
                                    mem, &d->app->show, arena_strndup(mem, text, cut), &out->n, e)))
            return true;
    }
    return *e->text ? false
                    : err_set(e, ERR_INPUT, "write: mark TARGET FAULT, as in mark T3 horn angle");
}

/* "mark T3;T5 horn angle" */
void command_mark(struct desk *d, const char *arg)
{
    struct arena mem = {0};
    struct marked_words w;
    struct err e;
    if (!d->clip || d->play.status != PLAYER_READY) {
        desk_trouble(d, "no clip is open");
        return;
    }
    if (marked_words_read(d, &mem, arg, &w, &e))
        make_mark(d, d->play.at_us, w.targets, w.n, w.fault);
    else
        desk_trouble(d, "%s", e.text);
    arena_free(&mem);
}
