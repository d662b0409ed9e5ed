#include "command/chord.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/measuring.h"
#include "command/new_mark.h"
#include "command/playing.h"
#include "command/ripple.h"

enum { SAME_WHOM = '\'' }; /* what a chord of a fault alone begins with */

static void forget(struct chord_hand *h)
{
    h->refused = false;
    h->n_typed = 0;
    h->typed[0] = '\0';
    h->chord = (struct chord){.fault = -1, .section = -1};
}

static void begin(void *mine)
{
    forget(mine);
}

static void cancel(struct desk *d);
static void clip_left(struct desk *d, void *mine);
static void before_read(struct desk *d, void *mine);
static void after_read(struct desk *d, void *mine);

static const struct part part = {.size = sizeof(struct chord_hand),
                                 .begin = begin,
                                 .clip_left = clip_left,
                                 .before_read = before_read,
                                 .after_read = after_read};

static struct chord_hand *hand(const struct desk *d)
{
    return desk_part(d, &part);
}

const struct chord_hand *chord_hand(const struct desk *d)
{
    return hand(d);
}

bool chord_open(const struct desk *d)
{
    return hand(d)->n_typed > 0;
}

/* The keys typed so far; behind ' they are a fault's alone. */
static void read_keys(struct desk *d, bool finish, struct chord *out)
{
    const struct chord_hand *h = hand(d);
    if (*h->typed == SAME_WHOM) {
        *out = h->chord;
        chord_read_fault(&d->app->show, h->typed + 1, finish, out);
    } else {
        chord_read(&d->app->show, h->typed, finish, out);
    }
}

static void cancel(struct desk *d)
{
    forget(hand(d));
    hold_end(d, &hand(d)->hold);
}

static void screen_left(struct desk *d)
{
    if (!*d->message)
        desk_say(d, "the chord %s was dropped", hand(d)->typed);
    cancel(d);
}

static void clip_left(struct desk *d, void *unused)
{
    (void)unused;
    cancel(d);
}

/* --- the show read again -----------------------------------------------------------------------
 */

static void before_read(struct desk *d, void *unused)
{
    struct chord_hand *h = hand(d);
    (void)unused;
    h->n_before = h->chord.n_targets;
    for (size_t i = 0; i < h->n_before; i++)
        h->before[i] = who_of(&d->app->show, &h->chord.targets[i]);
}

/* Those that stood before a fault's key find themselves again. */
static bool whom_again(struct desk *d)
{
    struct chord_hand *h = hand(d);
    bool all = true;
    for (size_t i = 0; all && i < h->n_before; i++)
        all = who_find(&d->app->show, &h->before[i], &h->chord.targets[i]);
    return all;
}

/* An open chord is read anew from its keys. */
static void after_read(struct desk *d, void *unused)
{
    struct chord_hand *h = hand(d);
    (void)unused;
    if (!h->n_typed)
        return;
    bool found = *h->typed != SAME_WHOM || whom_again(d);
    read_keys(d, false, &h->chord);
    bool same = found && h->chord.n_targets == h->n_before && h->chord.phase != CHORD_DONE &&
                h->chord.phase != CHORD_WRONG;
    for (size_t i = 0; same && i < h->n_before; i++) {
        struct who now = who_of(&d->app->show, &h->chord.targets[i]);
        same = now.section == h->before[i].section && now.performer == h->before[i].performer;
    }
    if (!same) { /* the keys mean somebody else now */
        cancel(d);
        desk_trouble(d, "the keys changed while a chord was typed; type it again");
    }
}

/* --- one that says who and what ----------------------------------------------------------------
 */

static void finish(struct desk *d)
{
    struct chord c = hand(d)->chord;
    cancel(d);
    hand(d)->done(d, &c);
}

/* One more key; one that means nothing is refused and the chord stays as it was. */
static void add_key(struct desk *d, char key)
{
    struct chord_hand *h = hand(d);
    if (h->n_typed + 1 >= sizeof h->typed)
        return;
    if (h->refused) {
        desk_trouble(d, "that number is refused; Backspace goes on, Esc drops the chord");
        return;
    }
    h->typed[h->n_typed] = key;
    h->typed[h->n_typed + 1] = '\0';
    struct chord next;
    read_keys(d, false, &next);
    if (next.phase == CHORD_WRONG) {
        h->typed[h->n_typed] = '\0';
        desk_trouble(d, "%s", next.why);
        /* With eyes on the field a refused digit would be missed, and the fault's key that follows
         * would mark somebody else. */
        h->refused = *h->typed != SAME_WHOM && (isdigit((unsigned char)key) || next.shared);
        if (h->n_typed == 0)
            cancel(d);
        return;
    }
    h->n_typed++;
    h->chord = next;
    d->message[0] = '\0';
    if (next.phase == CHORD_DONE)
        finish(d);
}

static void take_back(struct desk *d)
{
    struct chord_hand *h = hand(d);
    d->message[0] = '\0'; /* it spoke of a key that was refused */
    if (h->refused) {
        h->refused = false;
        return;
    }
    h->typed[--h->n_typed] = '\0';
    if (h->n_typed)
        read_keys(d, false, &h->chord);
    else
        cancel(d);
}

static void drop(struct desk *d)
{
    d->message[0] = '\0';
    cancel(d);
}

/* Enter completes a key that is also the beginning of a longer one. */
static void complete(struct desk *d)
{
    struct chord_hand *h = hand(d);
    struct chord c;
    if (h->whom && h->chord.phase == CHORD_NUMBER && !h->refused && !h->chord.digit_due) {
        c = h->chord;
        cancel(d);
        h->whom(d, &c);
        return;
    }
    read_keys(d, true, &c);
    if (c.phase != CHORD_DONE || h->refused) {
        desk_trouble(d, "the chord is not complete; the panel shows what may follow");
        return;
    }
    h->chord = c;
    finish(d);
}

static bool typed_key(struct desk *d, const char *key)
{
    bool single = key[0] && !key[1];
    if (key_is_letter(key) || (single && strchr("0123456789,-+", key[0])))
        add_key(d, (char)tolower((unsigned char)key[0]));
    else if (strcmp(key, "Backspace") == 0)
        take_back(d);
    else if (strcmp(key, "Esc") == 0)
        drop(d);
    else if (strcmp(key, "Enter") == 0)
        complete(d);
    else
        return false; /* moving keys keep working while a chord is open */
    return true;
}

static const struct hold_kind answering = {
    .key = typed_key, .screen_left = screen_left, .drop = cancel};

void chord_answer(struct desk *d, const char *key,
                  void (*done)(struct desk *d, const struct chord *c))
{
    chord_answer_whom(d, key, done, NULL);
}

void chord_answer_whom(struct desk *d, const char *key,
                       void (*done)(struct desk *d, const struct chord *c),
                       void (*whom)(struct desk *d, const struct chord *c))
{
    hand(d)->done = done;
    hand(d)->whom = whom;
    hold_begin(d, &hand(d)->hold, &answering);
    add_key(d, (char)tolower((unsigned char)key[0]));
}

void chord_answer_fault(struct desk *d, const struct target *whom, size_t n,
                        void (*done)(struct desk *d, const struct chord *c))
{
    struct chord_hand *h = hand(d);
    forget(h);
    for (; h->chord.n_targets < n && h->chord.n_targets < CHORD_TARGETS; h->chord.n_targets++)
        h->chord.targets[h->chord.n_targets] = whom[h->chord.n_targets];
    h->done = done;
    h->whom = NULL;
    h->typed[h->n_typed++] = SAME_WHOM;
    h->typed[h->n_typed] = '\0';
    read_keys(d, false, &h->chord);
    hold_begin(d, &h->hold, &answering);
}

/* --- one that makes a mark ---------------------------------------------------------------------
 */

static void mark(struct desk *d, const struct chord *c)
{
    make_mark(d, hand(d)->at_us, c->targets, c->n_targets, c->fault);
}

/* Something that is passed along a form: who was seen now, without a fault yet. */
static void seen_in_row(struct desk *d)
{
    struct chord c = hand(d)->chord;
    cancel(d);
    ripple_add(d, c.targets, c.n_targets);
}

static bool mark_key(struct desk *d, const char *key)
{
    if (strcmp(key, "@") == 0) {
        chord_point(d);
        return true;
    }
    if (strcmp(key, ".") != 0 || hand(d)->chord.phase != CHORD_NUMBER)
        return typed_key(d, key);
    seen_in_row(d);
    return true;
}

static const struct hold_kind marking = {
    .key = mark_key, .screen_left = screen_left, .drop = cancel};

bool chord_begin(struct desk *d, const char *key)
{
    struct chord_hand *h = hand(d);
    if (!key_is_letter(key))
        return false;
    if (!seen_at(d, &h->at_us))
        return true;
    h->done = mark;
    h->whom = NULL;
    hold_begin(d, &h->hold, &marking);
    add_key(d, (char)tolower((unsigned char)key[0]));
    return true;
}

/* --- a performer that was clicked on ------------------------------------------------------------ */

/* "t3": the keys that mean this performer and nobody else. */
static bool keys_of(const struct show *s, int performer, char out[CHORD_KEYS])
{
    const struct performer *p = &s->performers[performer];
    for (int at = p->section; at >= 0; at = s->sections[at].up) {
        struct chord c;
        if (!*s->sections[at].key || p->number < 0)
            continue;
        snprintf(out, CHORD_KEYS, "%s%d", s->sections[at].key, p->number);
        chord_read(s, out, false, &c);
        if (c.phase != CHORD_WRONG && c.n_targets == 1 && c.targets[0].performer == performer)
            return true;
    }
    return false;
}

/* A section was named, and nobody of it yet. */
static bool section_alone(const struct chord_hand *h)
{
    return h->n_typed > 0 && h->chord.phase == CHORD_NUMBER && !h->chord.after_number &&
           h->chord.n_targets == 1 && h->chord.section >= 0;
}

static void add_performer(struct desk *d, int performer)
{
    const struct show *s = &d->app->show;
    struct chord_hand *h = hand(d);
    char keys[CHORD_KEYS];
    const char *type = keys;
    if (!keys_of(s, performer, keys)) {
        desk_trouble(d, "%s has no keys of its own; type it", s->performers[performer].label);
        return;
    }
    if (section_alone(h) && section_within(s, s->performers[performer].section, h->chord.section))
        while (h->n_typed > 0) /* a section was named, and this is who of it */
            h->typed[--h->n_typed] = '\0';
    else if (h->n_typed > 0 && h->chord.phase == CHORD_NUMBER)
        add_key(d, '+');
    else if (h->n_typed > 0) {
        desk_trouble(d, "behind the fault's key nobody can be named; Backspace first");
        return;
    }
    if (h->n_typed == 0 && !h->hold.kind && !chord_begin(d, (char[]){*type++, '\0'}))
        return;
    for (; *type; type++)
        add_key(d, *type);
}

void chord_point(struct desk *d)
{
    const struct chord_hand *h = hand(d);
    measuring_whom(d, section_alone(h) ? h->chord.section : -1, add_performer);
}

/* --- one that chooses a section -----------------------------------------------------------------
 */

static const struct hold_kind choosing = {.screen_left = screen_left, .drop = cancel};

bool chord_choose(struct desk *d, const char *key, void (*chosen)(struct desk *d, int section))
{
    struct chord_hand *h = hand(d);
    struct chord c;
    if (key[1] || key[0] < 'a' || key[0] > 'z')
        return false;
    if (h->n_typed + 1 >= sizeof h->typed)
        return true;
    h->typed[h->n_typed++] = key[0];
    h->typed[h->n_typed] = '\0';
    chord_read(&d->app->show, h->typed, false, &c);
    if (c.phase == CHORD_SECTION && *c.begun) {
        h->chord = c;
        hold_begin(d, &h->hold, &choosing);
        return true;
    }
    cancel(d);
    if (c.phase == CHORD_NUMBER)
        chosen(d, c.section);
    else
        desk_trouble(d, "%s", c.why);
    return true;
}
