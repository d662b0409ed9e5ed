/* Typing a chord while the clip plays: the moment is taken at its first key. */
#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "command/command.h"

bool desk_chord_open(const struct desk *d)
{
    return d->n_typed > 0;
}

void chord_cancel(struct desk *d)
{
    d->refused = false;
    d->n_typed = 0;
    d->typed[0] = '\0';
    d->chord = (struct chord){.fault = -1, .section = -1};
}

void note_beginning(struct desk *d, const struct player_state *before)
{
    const struct player_state *now = &d->play;
    enum { JITTER_US = 100000 };
    bool back = now->at_us + JITTER_US < before->at_us, looped = now->loop_a_us >= 0;
    if (!now->playing)
        d->began_us = -1;
    else if (d->target_us >= 0)
        d->began_us = d->target_us;
    else if (!before->playing || d->began_us < 0) /* from where the person stood */
        d->began_us = before->status == PLAYER_READY && !back ? before->at_us : now->at_us;
    else if (back) /* the loop began again: its first pictures may be past before we look */
        d->began_us = looped && now->loop_a_us < now->at_us ? now->loop_a_us : now->at_us;
}

bool seen_at(struct desk *d, int64_t *out)
{
    if (!d->clip || (d->play.status != PLAYER_READY && d->play.status != PLAYER_OPENING)) {
        desk_trouble(d, "no clip is playing; a mark needs a moment");
        return false;
    }
    *out = d->start_us;
    if (d->play.status == PLAYER_OPENING)
        return true;
    int64_t began = d->play.playing ? d->began_us : -1, loop = d->play.loop_a_us;
    if (began >= 0 && began < loop && loop <= d->play.at_us)
        began = loop;
    int64_t at = mark_time(d->play.at_us, d->lead_ms, d->play.speed, began);
    int64_t frame = player_frame_at(d->player, at);
    int64_t time = frame >= 0 ? player_frame_time(d->player, frame) : -1;
    if (time >= 0 && time < began && at >= began) /* the nearest frame is before it */
        time = player_frame_time(d->player, player_frame_from(d->player, began));
    *out = time >= 0 ? time : at;
    return true;
}

void chord_leave(struct desk *d, enum desk_screen before)
{
    if (d->screen == before || !desk_chord_open(d))
        return;
    if (!*d->message)
        desk_say(d, "the chord %s was dropped", d->typed);
    chord_cancel(d);
}

static void finish(struct desk *d)
{
    struct chord c = d->chord;
    int64_t at = d->typed_at_us;
    chord_cancel(d);
    make_mark(d, at, c.targets, c.n_targets, c.fault);
}

/* One more key; one that means nothing is refused and the chord stays as it was. */
static void add_key(struct desk *d, char key)
{
    if (d->n_typed + 1 >= sizeof d->typed)
        return;
    if (d->refused) {
        desk_trouble(d, "that number is refused; Backspace goes on, Esc drops the chord");
        return;
    }
    d->typed[d->n_typed] = key;
    d->typed[d->n_typed + 1] = '\0';
    struct chord next;
    chord_read(&d->app->show, d->typed, false, &next);
    if (next.phase == CHORD_WRONG) {
        d->typed[d->n_typed] = '\0';
        desk_trouble(d, "%s", next.why);
        /* With eyes on the field a refused digit would be missed, and the fault's key that follows
         * would mark somebody else. */
        d->refused = isdigit((unsigned char)key) || next.shared;
        if (d->n_typed == 0)
            chord_cancel(d);
        return;
    }
    d->n_typed++;
    d->chord = next;
    d->message[0] = '\0';
    if (next.phase == CHORD_DONE)
        finish(d);
}

static void take_back(struct desk *d)
{
    d->message[0] = '\0'; /* it spoke of a key that was refused */
    if (d->refused) {
        d->refused = false;
        return;
    }
    d->typed[--d->n_typed] = '\0';
    if (d->n_typed)
        chord_read(&d->app->show, d->typed, false, &d->chord);
    else
        chord_cancel(d);
}

static void drop(struct desk *d)
{
    d->message[0] = '\0';
    chord_cancel(d);
}

/* Enter completes a key that is also the beginning of a longer one. */
static void complete(struct desk *d)
{
    struct chord c;
    chord_read(&d->app->show, d->typed, true, &c);
    if (c.phase != CHORD_DONE || d->refused) {
        desk_trouble(d, "the chord is not complete; the panel shows what may follow");
        return;
    }
    d->chord = c;
    finish(d);
}

bool chord_take(struct desk *d, const char *key)
{
    bool single = key[0] && !key[1], letter = single && isalpha((unsigned char)key[0]);
    if (!desk_chord_open(d)) {
        if (!letter)
            return false;
        if (seen_at(d, &d->typed_at_us))
            add_key(d, (char)tolower((unsigned char)key[0]));
        return true;
    }
    if (letter || (single && strchr("0123456789,-+", key[0]))) {
        add_key(d, (char)tolower((unsigned char)key[0]));
        return true;
    }
    if (strcmp(key, "Backspace") == 0)
        take_back(d);
    else if (strcmp(key, "Esc") == 0)
        drop(d);
    else if (strcmp(key, "Enter") == 0)
        complete(d);
    else if (strcmp(key, ".") == 0 && d->chord.phase == CHORD_NUMBER)
        ripple_add(d, &d->chord);
    else
        return false; /* moving keys keep working while a chord is open */
    return true;
}
