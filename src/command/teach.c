#include "command/teach.h"

#include <stdio.h>
#include <string.h>

#include "app/hear.h"
#include "app/teach.h"
#include "command/command.h"
#include "command/hold.h"
#include "command/reload.h"
#include "command/who.h"

/* A fault or a section, by its row. */
struct pupil {
    bool section;
    int64_t row;
};

struct proposal {
    struct pupil of;
    char words[TEACH_BYTES_MOST + 1];
    char taught[TEACH_BYTES_MOST + 1]; /* in answer to it; undo may take that back */
};

enum { PROPOSALS = 2 }; /* one for the fault, one for the section */

struct learning {
    struct arena memory; /* of the lexicon, which costs too much for every correction */
    const struct lexicon *lexicon;
    int64_t draft; /* that was put right last; 0 none */
    struct pupil last;
    struct proposal at[PROPOSALS];
    size_t n;
};

static void forget(struct learning *p)
{
    p->draft = 0;
    p->n = 0;
}

static void clip_left(struct desk *d, void *mine)
{
    (void)d;
    forget(mine);
}

static void before_read(struct desk *d, void *mine)
{
    struct learning *p = mine;
    (void)d;
    arena_free(&p->memory);
    p->lexicon = NULL;
}

static const struct part part = {.size = sizeof(struct learning),
                                 .clip_left = clip_left,
                                 .before_read = before_read,
                                 .end = before_read};

static struct learning *learning(const struct desk *d)
{
    return desk_part(d, &part);
}

/* --- proposed -------------------------------------------------------------------------------- */

static struct pupil pupil_of(const struct show *show, bool section, int of)
{
    return (struct pupil){section, section ? show->sections[of].id : show->faults[of].id};
}

/* Its position; -1 when it is not in use any more. */
static int place_of(const struct show *show, struct pupil of)
{
    struct target t;
    const struct who who = {of.row, 0};
    if (of.section)
        return who_find(show, &who, &t) ? t.section : -1;
    const int fault = fault_of_row(show, of.row);
    return fault < 0 || show->faults[fault].removed ? -1 : fault;
}

static const char *called(const struct show *show, struct pupil of)
{
    const int at = place_of(show, of);
    return at < 0 ? "" : of.section ? show->sections[at].words : show->faults[at].words;
}

static bool is_open(const struct show *show, const struct proposal *x)
{
    const size_t n = strlen(x->taught);
    if (!n)
        return true;
    for (const char *word = called(show, x->of); *word; word += *word == ';') {
        const size_t length = strcspn(word, ";");
        if (length == n && memcmp(word, x->taught, n) == 0)
            return false;
        word += length;
    }
    return true;
}

/* The first that nobody answered. */
static const struct proposal *proposed(const struct desk *d)
{
    const struct learning *p = learning(d);
    for (size_t i = 0; i < p->n; i++)
        if (is_open(&d->app->show, &p->at[i]))
            return &p->at[i];
    return NULL;
}

/* What was taught last stands last. */
static void answered(struct desk *d, struct pupil of)
{
    struct learning *p = learning(d);
    const char *words = called(&d->app->show, of), *last = strrchr(words, ';');
    for (size_t i = 0; i < p->n; i++)
        if (p->at[i].of.section == of.section)
            snprintf(p->at[i].taught, sizeof p->at[i].taught, "%s", last ? last + 1 : words);
}

static void put_proposal(const struct desk *d, const struct proposal *x, bool named,
                         struct buf *out)
{
    const struct show *show = &d->app->show;
    const int of = place_of(show, x->of);
    buf_printf(out, "; %s learns '%s'", keymap_key_of(&d->keys, "drafts", "teach"), x->words);
    if (named && of >= 0)
        buf_printf(out, " for %s", x->of.section ? show->sections[of].name : show->faults[of].name);
}

/* What did not change was not put right. */
static struct correction corrected(const struct stored_draft *now, unsigned fields)
{
    struct correction c = correction_of(now);
    if (!(fields & DRAFT_FAULT))
        c.fault = c.heard_fault;
    if (!(fields & DRAFT_WHO))
        c.n_now = 0;
    return c;
}

/* The fault, or the section where that alone was put right. */
static bool choose_pupil(const struct desk *d, const struct stored_draft *now, unsigned fields,
                         struct pupil *out)
{
    const struct show *show = &d->app->show;
    const bool fault = fields & DRAFT_FAULT && now->d.fault >= 0;
    if (fault)
        *out = pupil_of(show, false, now->d.fault);
    else if (fields & DRAFT_WHO && now->d.n_targets)
        *out = pupil_of(show, true, now->d.targets[0].section);
    else
        return false;
    return true;
}

static void propose(struct desk *d, const struct correction *c)
{
    struct learning *p = learning(d);
    struct arena mem = {0};
    struct lessons l;
    struct err e; /* a table of share/ that is wrong is said when something is heard */
    if (!p->lexicon)
        p->lexicon = app_lexicon(d->app, &p->memory, &e);
    if (!p->lexicon)
        return;
    teach_lessons(&mem, p->lexicon, &(struct corrections){c, 1}, &l);
    for (size_t i = 0; i < l.n && p->n < PROPOSALS; i++) {
        struct proposal *x = &p->at[p->n++];
        *x->taught = '\0';
        x->of = pupil_of(&d->app->show, l.at[i].section, l.at[i].of);
        snprintf(x->words, sizeof x->words, "%s", l.at[i].words);
    }
    arena_free(&mem);
}

void teach_propose(struct desk *d, const struct stored_draft *now, unsigned fields, struct buf *out)
{
    struct learning *p = learning(d);
    forget(p);
    if (!choose_pupil(d, now, fields, &p->last))
        return;
    p->draft = now->id;
    const struct correction c = corrected(now, fields);
    propose(d, &c);
    if (proposed(d))
        put_proposal(d, proposed(d), fields == (DRAFT_WHO | DRAFT_FAULT), out);
}

/* --- learnt ---------------------------------------------------------------------------------- */

/* Somebody may have put it right in another way since, or taken the correction back. */
static bool still_so(const struct desk *d, struct arena *mem, struct pupil of,
                     struct stored_draft *out)
{
    struct err e;
    const int place = place_of(&d->app->show, of);
    if (place < 0 || !store_draft_one(d->app->store, mem, learning(d)->draft, out, &e))
        return false;
    bool so = !of.section && out->d.fault == place && out->heard_fault != place;
    for (size_t i = 0; i < out->d.n_targets && of.section; i++)
        so |= out->d.targets[i].section == place;
    return so;
}

static void source_of(const struct desk *d, struct arena *mem, const struct stored_draft *x,
                      struct draft_source *out)
{
    struct draft_source_list l;
    struct err e;
    *out = (struct draft_source){.kind = "", .name = "", .path = "", .digest = ""};
    if (!store_draft_sources(d->app->store, mem, x->clip, &l, &e))
        return;
    for (size_t i = 0; i < l.n; i++)
        if (l.at[i].id == x->source)
            *out = l.at[i];
}

/* "2 heard another way, 1 more" */
static void put_heard(const struct drafts_report *r, struct buf *out)
{
    const struct {
        size_t n;
        const char *how;
    } parts[] = {{r->renewed, "heard another way"}, {r->added, "more"}, {r->gone, "less"}};
    const char *between = "";
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
        if (parts[i].n) {
            buf_printf(out, "%s%zu %s", between, parts[i].n, parts[i].how);
            between = ", ";
        }
    if (!*between)
        buf_str(out, "nothing that waits is heard another way");
}

/* "horn angle learns 'plumbing': 2 heard another way (Ctrl-z takes it back)" */
static void say_learnt(struct desk *d, const struct proposal *x, const struct draft_source *src,
                       const struct heard_again *again)
{
    const struct show *show = &d->app->show;
    const int of = place_of(show, x->of);
    struct buf text = {0};
    buf_printf(&text, "%s learns '%s'",
               of < 0          ? "?"
               : x->of.section ? show->sections[of].name
                               : show->faults[of].name,
               x->words);
    if (again->done) {
        buf_str(&text, ": ");
        put_heard(&again->report, &text);
    } else if (*src->name)
        buf_printf(&text, "; hear %s again to use it", src->name);
    buf_printf(&text, " (%s takes it back)", keymap_key_of(&d->keys, keys_anywhere.name, "undo"));
    if (proposed(d))
        put_proposal(d, proposed(d), true, &text);
    desk_say(d, "%s", text.p);
    buf_free(&text);
}

static void learn(struct desk *d, const struct proposal *x, const struct draft_source *src)
{
    struct heard_again again;
    struct err e;
    const struct teach t = {x->of.section, place_of(&d->app->show, x->of), x->words};
    if (!app_teach_hear(d->app, &t, src, &again, &e)) {
        desk_trouble(d, "%s%s", e.code == ERR_INPUT ? "" : "NOT SAVED: ", e.text);
        return;
    }
    desk_wrote(d);
    if (desk_reload(d, &e)) {
        answered(d, x->of);
        say_learnt(d, x, src, &again);
    } else {
        desk_trouble(d, "%s", e.text);
    }
}

void command_teach(struct desk *d, const char *arg)
{
    struct learning *p = learning(d);
    struct arena mem = {0};
    struct stored_draft draft;
    struct draft_source src;
    struct proposal x = {.of = p->last};
    hold_drop(d);
    if (*arg)
        snprintf(x.words, sizeof x.words, "%s", arg);
    else if (proposed(d))
        x = *proposed(d);
    if (!p->draft || !still_so(d, &mem, x.of, &draft)) {
        desk_trouble(d, "no draft was put right just now: there is nothing to learn from");
    } else if (!*arg && !proposed(d)) {
        desk_trouble(d, "no word is proposed; write teach WORDS for what was put right last");
    } else if (strlen(arg) >= sizeof x.words) {
        desk_trouble(d, "that is too long; at most %d letters can be taught", TEACH_BYTES_MOST);
    } else {
        source_of(d, &mem, &draft, &src);
        learn(d, &x, &src);
    }
    arena_free(&mem);
}
