/* New marks, and what is said about the newest one. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "command/calls.h"
#include "command/command.h"
#include "count/timecode.h"
#include "paper/paper.h"
#include "sys/clock.h"

static void describe(const struct desk *d, const struct mark *m, struct buf *out)
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
    d->n_last = n < CHORD_TARGETS ? n : CHORD_TARGETS;
    for (size_t i = 0; i < d->n_last; i++)
        d->last[i] = who_of(&d->app->show, &targets[i]);
    d->last_fault = d->app->show.faults[fault].id;
}

void desk_wrote(struct desk *d)
{
    d->written_us = clock_mono_us();
    d->warned[0] = '\0';
}

struct new_mark {
    struct desk *desk;
    struct mark *mark;
};

static bool add_mark(struct store *s, void *ctx, struct err *e)
{
    struct new_mark *n = ctx;
    return store_mark_add(s, &n->desk->app->show, n->mark, e) &&
           store_clip_place(s, n->desk->clip, n->desk->play.at_us, e);
}

bool make_mark(struct desk *d, int64_t at_us, const struct target *targets, size_t n, int fault)
{
    struct mark m = {
        .clip = d->clip,
        .at_us = at_us,
        .end_us = -1,
        .targets = targets,
        .n_targets = n,
        .fault = fault,
        .severity = SEVERITY_LEAST,
        .cause = d->app->show.faults[fault].cause,
        .note = "",
        .set = -1,
    };
    struct new_mark new = {d, &m};
    struct buf what = {0};
    struct err e;
    app_place_mark(d->map, &m);
    describe(d, &m, &what);
    bool ok = store_step(d->app->store, what.p, add_mark, &new, &e);
    if (ok) {
        desk_wrote(d);
        calls_add(d, &m);
        remember(d, targets, n, fault);
        d->newest = m.id;
        d->selected = 0;
        desk_say(d, "%s", what.p);
    } else {
        desk_trouble(d, "NOT SAVED: %s", e.text);
    }
    buf_free(&what);
    return ok;
}

struct mark *mark_in_hand(struct desk *d)
{
    struct mark *m = desk_mark(d, d->selected ? d->selected : d->newest);
    if (!m)
        desk_trouble(d, "no mark to speak about; make one, or choose a call with the arrows");
    return m;
}

struct changing {
    int64_t mark;
    const struct mark_change *change;
    struct arena *memory;
    struct mark was, now;
};

/* The row as it is when the change goes in, and as it is then: another program may have changed
 * other fields meanwhile. */
static bool do_change(struct store *s, void *ctx, struct err *e)
{
    struct changing *c = ctx;
    return store_mark_one(s, c->memory, c->mark, &c->was, e) &&
           store_mark_change(s, c->mark, c->change, e) &&
           store_mark_one(s, c->memory, c->mark, &c->now, e);
}

static bool change_seen(struct desk *d, int64_t mark, const struct mark_change *c,
                        const char *offered, const char *what)
{
    struct err e;
    struct changing x = {.mark = mark, .change = c, .memory = calls_memory(d)};
    if (!store_step(d->app->store, what, do_change, &x, &e)) {
        desk_trouble(d, "NOT SAVED: %s", e.text);
        return false;
    }
    desk_wrote(d);
    calls_change(d, &x.now);
    struct buf text = {0};
    describe(d, &x.now, &text);
    if (offered && strcmp(x.was.note, offered) != 0 && *x.was.note)
        desk_say(d, "%s: %s, in place of '%.80s'", text.p, what, x.was.note);
    else
        desk_say(d, "%s: %s", text.p, what);
    buf_free(&text);
    return true;
}

bool change_mark(struct desk *d, int64_t mark, const struct mark_change *c, const char *what)
{
    return change_seen(d, mark, c, NULL, what);
}

void command_severity(struct desk *d, const char *arg)
{
    const struct mark *m = mark_in_hand(d);
    char what[40];
    if (!m)
        return;
    if (arg[0] < '0' + SEVERITY_LEAST || arg[0] > '0' + SEVERITY_MOST || arg[1]) {
        desk_trouble(d, "severity is 1, 2 or 3");
        return;
    }
    snprintf(what, sizeof what, "severity %s", arg);
    change_mark(d, m->id, &(struct mark_change){.fields = MARK_SEVERITY, .severity = arg[0] - '0'},
                what);
}

void command_praise(struct desk *d, const char *arg)
{
    (void)arg;
    const struct mark *m = mark_in_hand(d);
    if (m)
        change_mark(d, m->id, &(struct mark_change){.fields = MARK_PRAISE, .praise = !m->praise},
                    m->praise ? "a fault again" : "praise");
}

void command_cause(struct desk *d, const char *arg)
{
    (void)arg;
    const struct mark *m = mark_in_hand(d);
    if (!m)
        return;
    bool define = m->cause != CAUSE_DEFINE;
    change_mark(
        d, m->id,
        &(struct mark_change){.fields = MARK_CAUSE, .cause = define ? CAUSE_DEFINE : CAUSE_EXECUTE},
        define ? "staff must define it" : "performers must do it");
}

void note_set(struct desk *d, int64_t mark, const char *offered, const char *text)
{
    const struct mark *m = desk_mark(d, mark);
    if (m && strcmp(m->note, text) == 0)
        return;
    change_seen(d, mark, &(struct mark_change){.fields = MARK_NOTE, .note = text}, offered,
                *text ? "noted" : "note taken away");
}

void command_note(struct desk *d, const char *arg)
{
    if (!*arg && (taps_end(d, true) || ripple_end(d, true) || listen_end(d, true)))
        return;
    const struct mark *m = mark_in_hand(d);
    if (!m)
        return;
    if (*arg) {
        note_set(d, m->id, m->note, arg);
        return;
    }
    d->asked = m->id;
    ask_line(d, ASK_NOTE, "%s", m->note);
}

static bool remove_mark(struct store *s, void *ctx, struct err *e)
{
    return store_mark_remove(s, *(int64_t *)ctx, e);
}

void command_remove(struct desk *d, const char *arg)
{
    (void)arg;
    struct mark *m = mark_in_hand(d);
    struct err e;
    if (!m)
        return;
    struct buf what = {0};
    buf_str(&what, "remove ");
    describe(d, m, &what);
    if (store_step(d->app->store, what.p, remove_mark, &m->id, &e)) {
        desk_wrote(d);
        calls_remove(d, m);
        d->selected = d->newest = 0;
        desk_say(d, "%s (%s takes it back)", what.p, keymap_key_of(&d->keys, KEYS_REVIEW, "undo"));
    } else {
        desk_trouble(d, "NOT SAVED: %s", e.text);
    }
    buf_free(&what);
}

void command_repeat(struct desk *d, const char *arg)
{
    (void)arg;
    if (!d->n_last) {
        desk_trouble(d, "nothing to repeat yet");
        return;
    }
    int64_t at;
    struct target targets[CHORD_TARGETS];
    size_t n = 0;
    int fault = fault_of_row(&d->app->show, d->last_fault);
    chord_cancel(d);
    while (n < d->n_last && who_find(&d->app->show, &d->last[n], &targets[n]))
        n++;
    if (n < d->n_last || fault < 0 || d->app->show.faults[fault].removed) {
        desk_trouble(d, "what was marked last is not in the show any more; type it anew");
        return;
    }
    if (seen_at(d, &at))
        make_mark(d, at, targets, n, fault);
}

/* "mark T3;T5 horn angle": the target is one word (or quoted by its fault being found behind it).
 */
void command_mark(struct desk *d, const char *arg)
{
    struct arena mem = {0};
    const struct target *targets;
    size_t n;
    struct err e = {0};
    bool done = false;
    if (!d->clip || d->play.status != PLAYER_READY) {
        desk_trouble(d, "no clip is open");
        return;
    }
    /* Both may be several words: try every cut, the longest target first. */
    for (size_t cut = strlen(arg); cut-- > 1 && !done;) {
        if (arg[cut] != ' ')
            continue;
        int fault = show_fault(&d->app->show, arg + cut + 1);
        if (fault >= 0 &&
            targets_parse(&mem, &d->app->show, arena_strndup(&mem, arg, cut), &targets, &n, &e)) {
            make_mark(d, d->play.at_us, targets, n, fault);
            done = true;
        }
    }
    if (!done)
        desk_trouble(d, "%s",
                     *e.text ? e.text : "write: mark TARGET FAULT, as in mark T3 horn angle");
    arena_free(&mem);
}
