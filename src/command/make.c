/* New marks, and what is said about the newest one. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"
#include "command/command.h"
#include "count/timecode.h"

static void describe(const struct desk *d, const struct mark *m, struct buf *out)
{
    char time[24];
    time_format_short(m->at_us, time);
    buf_printf(out, "%s ", time);
    targets_text(&d->app->show, m->targets, m->n_targets, out);
    buf_printf(out, ", %s%s", m->praise ? "keep " : "", d->app->show.faults[m->fault].name);
    if (m->set >= 0)
        buf_printf(out, "  set %s, count %d of %d", d->app->show.sets[m->set].label, (int)m->count,
                   d->app->show.sets[m->set].counts);
}

/* Puts the stored mark into the list at its place in time; the list is not read again. */
static void list_mark(struct desk *d, const struct mark *m)
{
    d->marks = array_grow(d->marks, d->n_marks, &d->marks_cap, sizeof *d->marks);
    size_t at = d->n_marks++;
    for (; at > 0 && d->marks[at - 1].at_us > m->at_us; at--)
        d->marks[at] = d->marks[at - 1];
    d->marks[at] = *m;
    struct target *t = arena_alloc(&d->marks_memory, m->n_targets * sizeof *t);
    memcpy(t, m->targets, m->n_targets * sizeof *t);
    d->marks[at].targets = t;
    d->marks[at].note = "";
    d->marks[at].author = arena_strdup(&d->marks_memory, app_author());
}

static void remember(struct desk *d, const struct target *targets, size_t n, int fault)
{
    d->n_last = n < CHORD_TARGETS ? n : CHORD_TARGETS;
    if (targets != d->last_targets)
        memcpy(d->last_targets, targets, d->n_last * sizeof *targets);
    d->last_fault = fault;
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
    struct buf what = {0};
    struct err e;
    app_place_mark(d->map, &m);
    describe(d, &m, &what);
    bool ok = store_begin(d->app->store, what.p, &e) &&
              store_mark_add(d->app->store, &d->app->show, &m, &e) &&
              store_clip_place(d->app->store, d->clip, d->play.at_us, &e) &&
              store_commit(d->app->store, &e);
    if (ok) {
        list_mark(d, &m);
        remember(d, targets, n, fault);
        d->newest = m.id;
        d->selected = 0;
        d->version = store_version(d->app->store);
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

/* Stores a changed copy as a step of its own; the list follows only when that worked. */
void change_mark(struct desk *d, struct mark *m, const struct mark *to, const char *what)
{
    struct err e;
    bool ok = store_begin(d->app->store, what, &e) &&
              store_mark_update(d->app->store, &d->app->show, to, &e) &&
              store_commit(d->app->store, &e);
    if (!ok) {
        desk_trouble(d, "NOT SAVED: %s", e.text);
        return;
    }
    *m = *to;
    d->version = store_version(d->app->store);
    struct buf text = {0};
    describe(d, m, &text);
    desk_say(d, "%s: %s", text.p, what);
    buf_free(&text);
}

void command_severity(struct desk *d, const char *arg)
{
    struct mark *m = mark_in_hand(d);
    int severity = atoi(arg);
    if (!m)
        return;
    if (severity < SEVERITY_LEAST || severity > SEVERITY_MOST) {
        desk_trouble(d, "severity is 1, 2 or 3");
        return;
    }
    struct mark to = *m;
    char what[40];
    to.severity = severity;
    snprintf(what, sizeof what, "severity %d", severity);
    change_mark(d, m, &to, what);
}

void command_praise(struct desk *d, const char *arg)
{
    (void)arg;
    struct mark *m = mark_in_hand(d);
    if (!m)
        return;
    struct mark to = *m;
    to.praise = !m->praise;
    change_mark(d, m, &to, to.praise ? "praise" : "a fault again");
}

void command_cause(struct desk *d, const char *arg)
{
    (void)arg;
    struct mark *m = mark_in_hand(d);
    if (!m)
        return;
    struct mark to = *m;
    to.cause = m->cause == CAUSE_DEFINE ? CAUSE_EXECUTE : CAUSE_DEFINE;
    change_mark(d, m, &to,
                to.cause == CAUSE_DEFINE ? "staff must define it" : "performers must do it");
}

void note_set(struct desk *d, const char *text)
{
    struct mark *m = mark_in_hand(d);
    if (!m || strcmp(m->note, text) == 0)
        return;
    struct mark to = *m;
    to.note = arena_strdup(&d->marks_memory, text);
    change_mark(d, m, &to, *text ? "noted" : "note taken away");
}

void command_note(struct desk *d, const char *arg)
{
    if (!*arg && (taps_end(d, true) || ripple_end(d, true) || listen_end(d, true)))
        return;
    const struct mark *m = mark_in_hand(d);
    if (!m)
        return;
    if (*arg) {
        note_set(d, arg);
        return;
    }
    ask_line(d, ASK_NOTE, "%s", m->note);
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
    bool ok = store_begin(d->app->store, what.p, &e) &&
              store_mark_remove(d->app->store, m->id, &e) && store_commit(d->app->store, &e) &&
              read_marks(d, &e);
    if (ok) {
        d->selected = d->newest = 0;
        desk_say(d, "%s (%s takes it back)", what.p, keymap_key_of(&d->keys, KEYS_REVIEW, "undo"));
    } else {
        desk_trouble(d, "%s", e.text);
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
    chord_cancel(d);
    if (seen_at(d, &at))
        make_mark(d, at, d->last_targets, d->n_last, d->last_fault);
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
