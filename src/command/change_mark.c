#include "command/change_mark.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/command.h"
#include "command/line.h"
#include "command/new_mark.h"
#include "count/timecode.h"

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
    mark_describe(d, &x.now, &text);
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

/* The mark that the open line is about. */
struct asking {
    int64_t mark;
};

static const struct part part = {.size = sizeof(struct asking)};

static struct asking *asking(const struct desk *d)
{
    return desk_part(d, &part);
}

static void noted(struct desk *d, const char *text)
{
    note_set(d, asking(d)->mark, line_offered(d), text);
}

static const struct line_kind note_line = {.label = " note:", .done = noted};

void mark_name_line(struct desk *d, const struct mark *m)
{
    struct buf text = {0};
    char time[24];
    time_format_short(m->at_us, time);
    buf_printf(&text, "%s ", time);
    targets_text(&d->app->show, m->targets, m->n_targets, &text);
    buf_printf(&text, ", %s", d->app->show.faults[m->fault].name);
    line_about(d, text.p);
    buf_free(&text);
}

void command_note(struct desk *d, const char *arg)
{
    const struct mark *m = mark_in_hand(d);
    if (!m)
        return;
    if (*arg) {
        note_set(d, m->id, m->note, arg);
        return;
    }
    asking(d)->mark = m->id;
    line_ask(d, &note_line, "%s", m->note);
    mark_name_line(d, m);
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
    mark_describe(d, m, &what);
    if (store_step(d->app->store, what.p, remove_mark, &m->id, &e)) {
        desk_wrote(d);
        calls_remove(d, m);
        d->selected = d->newest = 0;
        desk_say(d, "%s (%s takes it back)", what.p, keymap_key_of(&d->keys, "review", "undo"));
    } else {
        desk_trouble(d, "NOT SAVED: %s", e.text);
    }
    buf_free(&what);
}
