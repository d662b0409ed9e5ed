#include "app/voice.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* With 0.2 less than 2 % of the other talk that it was tuned with is taken for a call; a little more, since
 * other talk is said in more ways than that. */
const double app_voice_sure = 0.25;

struct app_voice {
    const struct show *show;
    struct arena a;
    struct grammar grammar;
    struct speech *ear;
};

/* Another model than Debian's, for tests and for whoever has a better one. */
static const char *model(void)
{
    return getenv("BOXCALL_VOICE");
}

static bool make_grammar(struct arena *a, const struct show *show, struct grammar *out,
                         struct err *e)
{
    struct speech_dictionary *d;
    if (!speech_dictionary_open(&d, model(), e))
        return false;
    const struct sounds sounds = {speech_dictionary_find, d};
    grammar_of(a, show, &sounds, out);
    speech_dictionary_close(d);
    return true;
}

/* The two rooms do not know each other: what one says is handed to the other. */
static struct speech_net net_of(struct arena *a, const struct grammar *g)
{
    struct speech_word *words = arena_alloc(a, (g->n_words + 1) * sizeof *words);
    struct speech_arc *arcs = arena_alloc(a, (g->n_arcs + 1) * sizeof *arcs);
    for (size_t i = 0; i < g->n_words; i++)
        words[i] = (struct speech_word){g->words[i].is, g->words[i].sounds, g->words[i].n_sounds};
    for (size_t i = 0; i < g->n_arcs; i++)
        arcs[i] =
            (struct speech_arc){g->arcs[i].from, g->arcs[i].to, g->arcs[i].word, g->arcs[i].chance};
    return (struct speech_net){words, arcs, g->n_words, g->n_arcs, g->n_states, g->start, g->end};
}

static bool says_something(const struct grammar *g, struct err *e)
{
    bool section = false, fault = false;
    for (size_t i = 0; i < g->n_arcs; i++) {
        section |= g->arcs[i].says == SAID_SECTION;
        fault |= g->arcs[i].says == SAID_FAULT;
    }
    return (section && fault) ||
           err_set(e, ERR_INPUT, "the show has no %s that can be heard; see boxcall check SHOW",
                   section ? "fault" : "section");
}

bool app_voice_begin(struct app_voice **out, const struct show *show, struct err *e)
{
    struct app_voice *v = xcalloc(1, sizeof *v);
    v->show = show;
    if (make_grammar(&v->a, show, &v->grammar, e) && says_something(&v->grammar, e)) {
        *out = v;
        return true;
    }
    app_voice_close(v);
    return false;
}

bool app_voice_make_ear(struct app_voice *v, struct err *e)
{
    const struct speech_net net = net_of(&v->a, &v->grammar);
    return speech_open(&v->ear, &net, model(), e);
}

bool app_voice_open(struct app_voice **out, const struct show *show, struct err *e)
{
    struct app_voice *v;
    if (!app_voice_begin(&v, show, e))
        return false;
    if (app_voice_make_ear(v, e)) {
        *out = v;
        return true;
    }
    app_voice_close(v);
    return false;
}

static bool same_word(const struct grammar_word *x, const struct grammar_word *y)
{
    bool same = strcmp(x->is, y->is) == 0 && x->n_sounds == y->n_sounds;
    for (size_t i = 0; same && i < x->n_sounds; i++)
        same = strcmp(x->sounds[i], y->sounds[i]) == 0;
    return same;
}

static bool same_arc(const struct grammar_arc *x, const struct grammar_arc *y)
{
    return x->from == y->from && x->to == y->to && x->word == y->word &&
           fabs(x->chance - y->chance) < 1e-9;
}

/* An ear of one serves the other. */
static bool same_net(const struct grammar *x, const struct grammar *y)
{
    bool same = x->n_words == y->n_words && x->n_arcs == y->n_arcs && x->n_states == y->n_states &&
                x->start == y->start && x->end == y->end;
    for (size_t i = 0; same && i < x->n_words; i++)
        same = same_word(&x->words[i], &y->words[i]);
    for (size_t i = 0; same && i < x->n_arcs; i++)
        same = same_arc(&x->arcs[i], &y->arcs[i]);
    return same;
}

bool app_voice_again(struct app_voice *v, const struct show *show)
{
    struct arena a = {0};
    struct grammar g;
    struct err e;
    if (!make_grammar(&a, show, &g, &e) || !same_net(&g, &v->grammar)) {
        arena_free(&a);
        return false;
    }
    arena_free(&v->a);
    v->a = a;
    v->grammar = g;
    v->show = show;
    return true;
}

void app_voice_close(struct app_voice *v)
{
    if (!v)
        return;
    speech_close(v->ear);
    arena_free(&v->a);
    free(v);
}

struct speech *app_voice_ear(struct app_voice *v)
{
    return v->ear;
}

/* --- words as calls ---------------------------------------------------------------------------------- */

static const char *quote_of(struct arena *a, const struct speech_heard *words, size_t n)
{
    struct buf b = {0};
    for (size_t i = 0; i < n; i++)
        buf_printf(&b, "%s%s", i ? " " : "", words[i].is);
    const char *quote = arena_strdup(a, buf_text(&b));
    buf_free(&b);
    return quote;
}

bool app_voice_read(struct app_voice *v, struct arena *a, const struct speech_said *said,
                    struct heard_call *out)
{
    const char **words = arena_alloc(a, (said->n + 1) * sizeof *words);
    for (size_t i = 0; i < said->n; i++)
        words[i] = said->words[i].is;
    if (!said_call_read(&v->grammar, v->show, &(struct said_words){words, said->n}, &out->call))
        return false;
    out->from_us = said->words[0].from_us;
    out->to_us = said->words[said->n - 1].to_us;
    out->quote = quote_of(a, said->words, said->n);
    out->confidence = said->confidence;
    return true;
}

bool app_voice_file(struct app_voice *v, const struct spoken_want *want, struct arena *a,
                    struct heard_calls *out, struct err *e)
{
    struct spoken_list l;
    if (!spoken_hear(v->ear, want, a, &l, e))
        return false;
    struct heard_call *at = arena_alloc(a, (l.n + 1) * sizeof *at);
    *out = (struct heard_calls){.at = at, .stretches = l.stretches};
    for (size_t i = 0; i < l.n; i++) {
        const struct speech_said said = {
            .words = l.at[i].words, .n = l.at[i].n_words, .confidence = l.at[i].confidence};
        if (app_voice_read(v, a, &said, &at[out->n]))
            out->n++;
    }
    return true;
}

static struct draft draft_of(struct arena *a, const struct show *show, const struct heard_call *h,
                             const struct talk_clock *clock)
{
    const struct said_call *c = &h->call;
    struct draft_target *targets = arena_alloc(a, c->n_targets * sizeof *targets);
    for (size_t i = 0; i < c->n_targets; i++)
        targets[i] = c->targets[i];
    return (struct draft){
        .at_us =
            clock->offset_us + (int64_t)llround((double)h->from_us * clock->rate) - clock->lead_us,
        .end_us = clock->offset_us + (int64_t)llround((double)h->to_us * clock->rate),
        .said_us = h->from_us,
        .targets = targets,
        .n_targets = c->n_targets,
        .fault = c->fault,
        .praise = c->praise,
        .cause = show->faults[c->fault].cause,
        .severity = c->severity,
        .confidence = h->confidence,
        .quote = h->quote,
    };
}

struct draft_list app_voice_drafts(struct arena *a, const struct show *show,
                                   const struct heard_calls *calls, const struct talk_clock *clock)
{
    struct draft *at = arena_alloc(a, (calls->n + 1) * sizeof *at);
    struct draft_list out = {.at = at};
    for (size_t i = 0; i < calls->n; i++)
        if (calls->at[i].confidence >= app_voice_sure)
            at[out.n++] = draft_of(a, show, &calls->at[i], clock);
    return out;
}

/* --- what cannot be heard ---------------------------------------------------------------------------- */

void app_voice_unheard(const struct show *show, struct buf *talk)
{
    struct arena a = {0};
    struct grammar g;
    struct err none;
    if (make_grammar(&a, show, &g, &none))
        for (size_t i = 0; i < g.n_unheard; i++) {
            const struct grammar_unheard *u = &g.unheard[i];
            buf_printf(talk,
                       "note: '%s' of %s cannot be heard when it is spoken: no dictionary has "
                       "'%s'; its sounds go into the column say\n",
                       u->phrase, u->fault ? show->faults[u->at].name : show->sections[u->at].name,
                       u->word);
        }
    arena_free(&a);
}
