#include "command/correct.h"

#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "app/marks.h"
#include "command/calls.h"
#include "command/change_mark.h"
#include "command/chord.h"
#include "command/command.h"
#include "command/hold.h"
#include "command/line.h"
#include "command/new_mark.h"
#include "command/playing.h"
#include "command/typed.h"

struct correcting {
    struct hold hold;
    int64_t mark;    /* row; 0 while none is put right */
    int64_t from_us; /* where the clip was when it began */
    bool played;     /* and whether it ran */
};

static void clip_left(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct correcting), .clip_left = clip_left};

static struct correcting *correcting(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct mark *correct_open(const struct desk *d)
{
    return correcting(d)->mark ? desk_mark(d, correcting(d)->mark) : NULL;
}

static void close(struct desk *d)
{
    hold_end(d, &correcting(d)->hold);
    correcting(d)->mark = 0;
}

static void clip_left(struct desk *d, void *mine)
{
    (void)mine;
    close(d);
}

/* "0:13.0 T7, late arrival  set 3, count 2 of 16 -> ..." */
static void say_both(struct desk *d, const char *was, const struct mark *now)
{
    struct buf text = {0};
    mark_describe(d, now, &text);
    if (now->clip != d->clip) {
        struct err ignored;
        char row[24];
        snprintf(row, sizeof row, "%lld", (long long)now->clip);
        const struct clip *c = clip_named(&d->app->clips, row, &ignored);
        buf_printf(&text, " in %s", c ? c->label : "another clip");
    }
    desk_say(d, "%s, now %s (%s takes it back)", was, text.p,
             keymap_key_of(&d->keys, keys_anywhere.name, "undo"));
    buf_free(&text);
}

/* The chosen call (or the one in hand) is put right; the hold, if there is one, is over. */
static void apply(struct desk *d, const struct mark_correction *c)
{
    struct mark *m = correcting(d)->mark ? desk_mark(d, correcting(d)->mark) : mark_in_hand(d);
    struct buf was = {0}, what = {0};
    struct mark now;
    struct err e;
    close(d);
    if (!m) {
        if (!*d->message)
            desk_trouble(d, "that mark is not there any more");
        return;
    }
    const int64_t id = m->id;
    mark_describe(d, m, &was);
    buf_printf(&what, "correct %s", was.p);
    const struct mark old = *m;
    if (app_correct(d->app, &(struct app_correction){id, c, what.p}, calls_memory(d), &now, &e)) {
        desk_wrote(d);
        calls_remove(d, &old);
        if (now.clip == d->clip)
            calls_add(d, &now);
        d->selected = now.clip == d->clip ? id : 0;
        if (d->newest == id && now.clip != d->clip)
            d->newest = 0;
        if (c->fields & CORRECT_MOMENT && now.clip == d->clip && d->player)
            go_to(d, now.at_us);
        say_both(d, was.p, &now);
    } else {
        desk_trouble(d, "NOT SAVED: %s", e.text);
    }
    buf_free(&was);
    buf_free(&what);
}

static void to_moment(struct desk *d, int64_t at_us)
{
    apply(d, &(struct mark_correction){.fields = CORRECT_MOMENT, .clip = d->clip, .at_us = at_us});
}

static void to_who(struct desk *d, const struct chord *c)
{
    apply(d, &(struct mark_correction){
                 .fields = CORRECT_WHO, .targets = c->targets, .n_targets = c->n_targets});
}

static void to_chord(struct desk *d, const struct chord *c)
{
    apply(d, &(struct mark_correction){.fields = CORRECT_WHO | CORRECT_FAULT,
                                       .targets = c->targets,
                                       .n_targets = c->n_targets,
                                       .fault = c->fault});
}

/* --- typed ------------------------------------------------------------------------------------- */

static void typed_when(struct desk *d, const char *text)
{
    int64_t us;
    struct err e;
    if (!typed_moment(d, text, &us, &e))
        desk_trouble(d, "%s; the mark is as it was", e.text);
    else if (us < 0 || us > d->play.length_us)
        desk_trouble(d, "%s is not in the clip; the mark is as it was", text);
    else
        to_moment(d, place_us(d, us));
}

static void typed_clip(struct desk *d, const char *text)
{
    struct err e;
    const struct mark *m = correcting(d)->mark ? correct_open(d) : mark_in_hand(d);
    const struct clip *c = clip_named(&d->app->clips, text, &e);
    if (!m)
        return;
    if (!c)
        desk_trouble(d, "%s; the mark is as it was", e.text);
    else if (c->length_us > 0 && m->at_us > c->length_us)
        desk_trouble(d, "clip '%s' is shorter than that; the mark is as it was", c->label);
    else
        apply(d, &(struct mark_correction){
                     .fields = CORRECT_MOMENT, .clip = c->id, .at_us = m->at_us});
}

static void typed_fault(struct desk *d, const char *text)
{
    struct err e;
    int fault;
    if (fault_named(&d->app->show, text, &fault, &e))
        apply(d, &(struct mark_correction){.fields = CORRECT_FAULT, .fault = fault});
    else
        desk_trouble(d, "%s; the mark is as it was", e.text);
}

static void typed_who(struct desk *d, const char *text)
{
    struct arena mem = {0};
    struct err e;
    size_t n;
    const struct target *t = targets_parse(&mem, &d->app->show, text, &n, &e);
    if (t)
        apply(d, &(struct mark_correction){.fields = CORRECT_WHO, .targets = t, .n_targets = n});
    else
        desk_trouble(d, "%s; the mark is as it was", e.text);
    arena_free(&mem);
}

static const struct line_kind when_line = {.label = " when:", .done = typed_when},
                              clip_line = {.label = " in which clip:", .done = typed_clip},
                              fault_line = {.label = " what:", .done = typed_fault};

/* --- keys -------------------------------------------------------------------------------------- */

static void ask(struct desk *d, const struct line_kind *what)
{
    const struct mark *m = correct_open(d);
    line_ask(d, what, "%s", "");
    if (m)
        mark_name_line(d, m);
}

static bool key(struct desk *d, const char *name)
{
    if (chord_open(d))
        return false;
    if (key_is_letter(name))
        chord_answer_whom(d, name, to_chord, to_who);
    else if (strcmp(name, "=") == 0)
        ask(d, &fault_line);
    else if (strcmp(name, ";") == 0)
        to_moment(d, correcting(d)->from_us);
    else if (strcmp(name, "@") == 0)
        ask(d, &when_line);
    else if (strcmp(name, "|") == 0)
        ask(d, &clip_line);
    else
        return false; /* the keys that move go on moving the picture */
    return true;
}

/* Enter: where the picture is now. Esc: as it was, and back to where the clip was. */
static void end(struct desk *d, bool keep)
{
    const struct correcting c = *correcting(d);
    if (keep) {
        to_moment(d, d->play.at_us);
        return;
    }
    close(d);
    if (d->player) {
        go_to(d, c.from_us);
        player_play(d->player, c.played);
    }
    desk_say(d, "the mark is as it was");
}

static void screen_left(struct desk *d)
{
    close(d);
}

static const struct hold_kind kind = {
    .key = key, .end = end, .screen_left = screen_left, .drop = close};

static void begin(struct desk *d)
{
    struct mark *m = mark_in_hand(d);
    if (!m || !playing_ready(d))
        return;
    struct correcting *c = correcting(d);
    c->mark = m->id;
    c->played = d->play.playing;
    if (!c->played || !seen_at(d, &c->from_us))
        c->from_us = d->play.at_us;
    player_play(d->player, false);
    go_to(d, m->at_us);
    hold_begin(d, &c->hold, &kind);
    desk_say(d, "what is right? Enter: it was here; Esc: as it was");
}

void command_correct(struct desk *d, const char *arg)
{
    static const struct {
        const char *word;
        void (*with)(struct desk *d, const char *text);
    } words[] = {
        {"who ", typed_who}, {"fault ", typed_fault}, {"at ", typed_when}, {"clip ", typed_clip}};
    if (!*arg) {
        begin(d);
        return;
    }
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (strncmp(arg, words[i].word, strlen(words[i].word)) == 0) {
            words[i].with(d, arg + strlen(words[i].word));
            return;
        }
    desk_trouble(d,
                 "write: correct who T3, correct fault NAME, correct at 14.5, correct clip LABEL");
}
