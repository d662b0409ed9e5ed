/* What is done with the chosen draft: accepted, put right, split, joined, dropped. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "command/calls.h"
#include "command/chord.h"
#include "command/clip.h"
#include "command/command.h"
#include "command/drafts.h"
#include "command/hold.h"
#include "command/new_mark.h"
#include "command/teach.h"

static const char *undo_key(const struct desk *d)
{
    return keymap_key_of(&d->keys, keys_anywhere.name, "undo");
}

static const struct stored_draft *in_hand(struct desk *d)
{
    const struct stored_draft *x = drafts_chosen(d);
    if (!x && drafts_now(d)->shown)
        desk_trouble(d, "no draft waits");
    else if (!x)
        desk_trouble(d, "no draft is chosen; %s shows those that wait",
                     keymap_key_of(&d->keys, keys_anywhere.name, "drafts"));
    return x;
}

/* Somebody else was faster: what waits now is shown. All else is the disk's. */
static void failed(struct desk *d, const struct err *e)
{
    if (e->code == ERR_INPUT && !drafts_again(d, 0))
        return;
    desk_trouble(d, "%s%s", e->code == ERR_INPUT ? "" : "NOT SAVED: ", e->text);
}

/* --- accepted, dropped ------------------------------------------------------------------------ */

/* Says which key gives a draft what it lacks. */
static bool is_whole(struct desk *d, const struct stored_draft *x)
{
    struct buf text = {0};
    const enum draft_lack lack = draft_lacks(&d->app->show, &x->d);
    draft_describe(&d->app->show, &x->d, &text);
    if (lack == DRAFT_LACKS_WHO)
        desk_trouble(d, "%s: whom is not known yet; type a section's key, and Enter", text.p);
    else if (lack == DRAFT_LACKS_FAULT)
        desk_trouble(d, "%s: no fault is known yet; type %s and a fault's key", text.p,
                     keymap_key_of(&d->keys, "drafts", "draft fault"));
    buf_free(&text);
    return lack == DRAFT_LACKS_NOTHING;
}

/* "accepted: 0:13.4 T3, horn angle  set 2 ... (Ctrl-z takes it back)", and when it was the last. */
static void say_settled(struct desk *d, const char *how, const char *what)
{
    desk_say(d, "%s: %s (%s takes it back)%s", how, what, undo_key(d),
             drafts_now(d)->list.n ? "" : "; none waits any more");
}

static void accept_one(struct desk *d)
{
    const struct stored_draft *x = in_hand(d);
    struct arena mem = {0};
    struct mark m;
    struct err e;
    if (!x || !is_whole(d, x))
        return;
    const int64_t id = x->id;
    if (app_draft_accept(d->app, id, &mem, &m, &e)) {
        struct buf what = {0};
        desk_wrote(d);
        calls_add(d, &m);
        d->newest = m.id;
        d->selected = 0;
        drafts_settled(d, id);
        mark_describe(d, &m, &what);
        if (drafts_again(d, 0))
            say_settled(d, "accepted", what.p);
        buf_free(&what);
    } else {
        failed(d, &e);
    }
    arena_free(&mem);
}

/* "90", "90%", "90 %", and "0.9" as the command line has it; one is the whole. */
static bool read_share(const char *text, double *out)
{
    char *end;
    const double x = strtod(text, &end);
    const size_t blanks = strspn(end, " ");
    const bool percent = strcmp(end + blanks, "%") == 0;
    if (end == text || !(percent || !end[blanks]) || !(x >= 0 && x <= 100) ||
        (!percent && x > 1 && x < 2))
        return false;
    *out = percent || x > 1 ? x / 100 : x;
    return true;
}

static void say_accepted(struct desk *d, const struct drafts_accepted *r, double at_least)
{
    struct buf text = {0};
    buf_printf(&text, "%zu accepted", r->accepted);
    if (at_least >= 0)
        buf_printf(&text, ", those at least %.4g %% sure", at_least * 100);
    if (r->lacking)
        buf_printf(&text, "; %zu lack%s whom or what", r->lacking, r->lacking == 1 ? "s" : "");
    if (r->below)
        buf_printf(&text, "; %zu %s less sure", r->below, r->below == 1 ? "is" : "are");
    if (r->accepted)
        buf_printf(&text, " (%s takes all back)", undo_key(d));
    desk_say(d, "%s", text.p);
    buf_free(&text);
}

/* "accept all 90": those that are at least so sure. */
static void accept_all(struct desk *d, const char *least)
{
    struct drafts_accepted r;
    struct err e;
    double at_least = -1;
    if (*least && !read_share(least, &at_least)) {
        desk_trouble(d, "write: draft accept all 90, for those at least 90 %% sure");
        return;
    }
    if (!in_hand(d))
        return;
    if (!app_drafts_accept(d->app, d->clip, at_least, &r, &e)) {
        failed(d, &e);
        return;
    }
    desk_wrote(d);
    if (drafts_again(d, 0) && marks_read(d, &e))
        say_accepted(d, &r, at_least);
}

static void accept(struct desk *d, const char *arg)
{
    const size_t n = strcspn(arg, " ");
    if (!*arg)
        accept_one(d);
    else if (n == 3 && strncmp(arg, "all", 3) == 0)
        accept_all(d, arg + n + strspn(arg + n, " "));
    else
        desk_trouble(d, "write: draft accept, or draft accept all 90");
}

static void drop(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    struct buf what = {0};
    struct err e;
    (void)arg;
    if (!x)
        return;
    const int64_t id = x->id;
    draft_describe(&d->app->show, &x->d, &what);
    if (app_draft_drop(d->app, id, &e)) {
        desk_wrote(d);
        drafts_settled(d, id);
        if (drafts_again(d, 0))
            say_settled(d, "dropped", what.p);
    } else {
        failed(d, &e);
    }
    buf_free(&what);
}

/* --- put right ------------------------------------------------------------------------------- */

/* A person said that something else was meant than was heard, which may teach a word. */
static void corrected(struct desk *d, const struct stored_draft *was,
                      const struct stored_draft *now, unsigned fields)
{
    struct buf text = {0};
    draft_describe(&d->app->show, &was->d, &text);
    buf_str(&text, ", now ");
    if (fields & DRAFT_WHO)
        draft_who(&d->app->show, &now->d, &text);
    if (fields == (DRAFT_WHO | DRAFT_FAULT))
        buf_str(&text, ", ");
    if (fields & DRAFT_FAULT)
        draft_what(&d->app->show, &now->d, &text);
    buf_printf(&text, " (%s takes it back)", undo_key(d));
    teach_propose(d, now, fields, &text);
    desk_say(d, "%s", text.p);
    buf_free(&text);
}

static void say_changed(struct desk *d, const struct stored_draft *now, const char *what)
{
    struct buf text = {0};
    draft_describe(&d->app->show, &now->d, &text);
    desk_say(d, "%s: %s", text.p, what);
    buf_free(&text);
}

/* Is what was typed what stands there? */
static bool says_so(const struct draft *x, const struct draft_change *c)
{
    bool who = x->n_targets == c->n_targets && x->one == c->one;
    for (size_t i = 0; who && i < c->n_targets; i++)
        who = x->targets[i].section == c->targets[i].section &&
              x->targets[i].performer == c->targets[i].performer;
    return !(c->fields & ~(unsigned)(DRAFT_WHO | DRAFT_FAULT)) &&
           (who || !(c->fields & DRAFT_WHO)) &&
           (x->fault == c->fault || !(c->fields & DRAFT_FAULT));
}

/* Behind a change that was written. */
static void say_change(struct desk *d, const struct stored_draft *was, const struct draft_change *c,
                       const char *what)
{
    struct arena mem = {0};
    struct stored_draft now;
    struct err e;
    desk_wrote(d);
    if (!store_draft_one(d->app->store, &mem, was->id, &now, &e))
        failed(d, &e);
    else if (!drafts_again(d, was->id))
        ; /* that was said */
    else if (c->fields & (DRAFT_WHO | DRAFT_FAULT))
        corrected(d, was, &now, c->fields);
    else
        say_changed(d, &now, what);
    arena_free(&mem);
}

static void change(struct desk *d, int64_t id, const struct draft_change *c, const char *what)
{
    struct arena mem = {0};
    struct stored_draft was;
    struct err e;
    const bool there = store_draft_one(d->app->store, &mem, id, &was, &e);
    if (there && was.state == DRAFT_WAITS && says_so(&was.d, c))
        say_changed(d, &was, "nothing changed");
    else if (there && app_draft_change(d->app, id, c, what, &e))
        say_change(d, &was, c, what);
    else
        failed(d, &e);
    arena_free(&mem);
}

/* The chord's part of a change, for the draft that was chosen when it began. */
static void change_typed(struct desk *d, const struct chord *c, unsigned fields)
{
    struct draft_target targets[CHORD_TARGETS];
    for (size_t i = 0; i < c->n_targets; i++)
        targets[i] = (struct draft_target){c->targets[i].section, c->targets[i].performer};
    change(d, drafts_now(d)->typing,
           &(struct draft_change){
               .fields = fields, .targets = targets, .n_targets = c->n_targets, .fault = c->fault},
           "corrected");
}

static void to_whom(struct desk *d, const struct chord *c)
{
    change_typed(d, c, DRAFT_WHO);
}

static void to_chord(struct desk *d, const struct chord *c)
{
    change_typed(d, c, DRAFT_WHO | DRAFT_FAULT);
}

static void to_fault(struct desk *d, const struct chord *c)
{
    change_typed(d, c, DRAFT_FAULT);
}

bool drafts_key(struct desk *d, const char *key)
{
    if (!key_is_letter(key))
        return false;
    const struct stored_draft *x = in_hand(d);
    if (x) {
        drafts_typing(d, x->id);
        chord_answer_whom(d, key, to_chord, to_whom);
    }
    return true;
}

static void fault(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    struct target whom[CHORD_TARGETS];
    size_t n = 0;
    (void)arg;
    if (!x)
        return;
    for (; n < x->d.n_targets && n < CHORD_TARGETS; n++)
        whom[n] = (struct target){x->d.targets[n].section, x->d.targets[n].performer};
    drafts_typing(d, x->id);
    chord_answer_fault(d, whom, n, to_fault);
}

static void severity(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    char what[40];
    if (!x)
        return;
    if (arg[0] < '0' + SEVERITY_LEAST || arg[0] > '0' + SEVERITY_MOST || arg[1]) {
        desk_trouble(d, "severity is 1, 2 or 3");
        return;
    }
    snprintf(what, sizeof what, "severity %s", arg);
    change(d, x->id, &(struct draft_change){.fields = DRAFT_SEVERITY, .severity = arg[0] - '0'},
           what);
}

static void praise(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    (void)arg;
    if (x)
        change(d, x->id, &(struct draft_change){.fields = DRAFT_PRAISE, .praise = !x->d.praise},
               x->d.praise ? "a fault again" : "praise");
}

static void cause(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    (void)arg;
    if (!x)
        return;
    const bool define = x->d.cause != CAUSE_DEFINE;
    change(d, x->id,
           &(struct draft_change){.fields = DRAFT_CAUSE,
                                  .cause = define ? CAUSE_DEFINE : CAUSE_EXECUTE},
           define ? "staff must define it" : "performers must do it");
}

/* --- parts ----------------------------------------------------------------------------------- */

/* Where the clip stands still within the talk, there it is divided. */
static void split(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    size_t parts;
    struct err e;
    (void)arg;
    if (!x)
        return;
    const int64_t id = x->id;
    if (!app_draft_split(d->app, id, d->play.playing ? -1 : d->play.at_us, &parts, &e)) {
        failed(d, &e);
        return;
    }
    desk_wrote(d);
    if (drafts_again(d, id))
        desk_say(d, "split in %zu (%s takes it back)", parts, undo_key(d));
}

static void join(struct desk *d, const char *arg)
{
    const struct stored_draft *x = in_hand(d);
    struct buf both = {0};
    struct err e;
    (void)arg;
    if (!x)
        return;
    const int64_t id = x->id;
    if (app_draft_join(d->app, id, &both, &e)) {
        desk_wrote(d);
        if (drafts_again(d, id))
            desk_say(d, "joined: %s (%s takes it back)", both.p, undo_key(d));
    } else {
        failed(d, &e);
    }
    buf_free(&both);
}

static void play(struct desk *d, const char *arg)
{
    (void)arg;
    if (in_hand(d))
        drafts_play(d);
}

void command_draft(struct desk *d, const char *arg)
{
    static const struct {
        const char *word;
        void (*run)(struct desk *d, const char *arg);
    } words[] = {{"accept", accept}, {"drop", drop},   {"split", split},
                 {"join", join},     {"fault", fault}, {"severity", severity},
                 {"praise", praise}, {"cause", cause}, {"play", play}};
    const size_t n = strcspn(arg, " ");
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        if (n == strlen(words[i].word) && strncmp(arg, words[i].word, n) == 0) {
            if (words[i].run != play)
                hold_drop(d); /* a chord about the same draft */
            words[i].run(d, arg + n + strspn(arg + n, " "));
            return;
        }
    desk_trouble(d, "write: draft accept, drop, split, join, fault, severity 2, praise, cause or "
                    "play");
}
