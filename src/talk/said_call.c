#include "talk/said_call.h"

#include <stdlib.h>
#include <string.h>

/* --- the way through the net ------------------------------------------------------------------- */

struct walk {
    const struct grammar *g;
    const struct said_words *words;
    const struct grammar_arc **way; /* what was passed so far */
    size_t n, most;
};

static const struct grammar_arc *arcs_from(const struct grammar *g, int state)
{
    size_t low = 0, high = g->n_arcs;
    while (low < high) {
        const size_t mid = (low + high) / 2;
        if (g->arcs[mid].from < state)
            low = mid + 1;
        else
            high = mid;
    }
    return g->arcs + low;
}

/* In which order arcs are tried: longer phrases before what they begin with, so that 'twenty two' is no
 * 'twenty', 'two' and 'horns up late' no 'horns up'; silent ones last. */
static int turn_of(const struct grammar_arc *a)
{
    return a->word < 0 ? 2 : a->says != SAID_NOTHING;
}

/* No circle of the net is all silent, so that this ends. */
static bool walk(struct walk *w, int state, size_t at)
{
    if (state == w->g->end && at == w->words->n)
        return true;
    if (w->n == w->most)
        return false;
    const struct grammar_arc *end = w->g->arcs + w->g->n_arcs;
    for (int turn = 0; turn < 3; turn++)
        for (const struct grammar_arc *a = arcs_from(w->g, state); a < end && a->from == state;
             a++) {
            const bool silent = a->word < 0;
            if (turn_of(a) != turn)
                continue;
            if (!silent &&
                (at == w->words->n || strcmp(w->g->words[a->word].is, w->words->at[at]) != 0))
                continue;
            w->way[w->n++] = a;
            if (walk(w, a->to, at + !silent))
                return true;
            w->n--;
        }
    return false;
}

/* --- what it means ------------------------------------------------------------------------------- */

struct meaning {
    const struct show *show;
    struct said_call *out;
    int section; /* -1: none is open */
    bool who;    /* numbers were said of it */
    int last;    /* the number said last, 0: none */
    bool through;
};

static bool add_target(struct said_call *c, int section, int performer)
{
    for (size_t i = 0; i < c->n_targets; i++)
        if (c->targets[i].section == section && c->targets[i].performer == performer)
            return true;
    if (c->n_targets == SAID_MOST)
        return false;
    c->targets[c->n_targets++] = (struct draft_target){section, performer};
    return true;
}

static bool add_numbered(struct meaning *m, int number)
{
    int who;
    return show_performers_numbered(m->show, m->section, number, &who, 1) != 1 ||
           add_target(m->out, m->section, who);
}

static bool close_section(struct meaning *m)
{
    const bool whole = m->section >= 0 && !m->who;
    return !whole || add_target(m->out, m->section, -1);
}

static bool take_number(struct meaning *m, int number)
{
    bool ok = true;
    if (m->through && number <= m->last)
        return false;
    for (int i = m->through ? m->last + 1 : number; i <= number; i++)
        ok &= add_numbered(m, i);
    m->who = true;
    m->last = number;
    m->through = false;
    return ok;
}

static bool take(struct meaning *m, const struct grammar_arc *a)
{
    bool ok = true;
    switch (a->says) {
    case SAID_SECTION:
        ok = close_section(m);
        m->section = a->value;
        m->who = m->through = false;
        m->last = 0;
        break;
    case SAID_NUMBER:
        return take_number(m, a->value);
    case SAID_THROUGH:
        m->through = true;
        break;
    case SAID_PRAISE:
        m->out->praise = true;
        break;
    case SAID_SEVERITY:
        m->out->severity = a->value;
        break;
    case SAID_FAULT:
        m->out->fault = a->value;
        return close_section(m);
    case SAID_NOTHING:
        break;
    }
    return ok;
}

bool said_call_read(const struct grammar *g, const struct show *show,
                    const struct said_words *words, struct said_call *out)
{
    *out = (struct said_call){.fault = -1, .severity = 1};
    struct walk w = {.g = g, .words = words, .most = 4 * words->n + 16};
    w.way = xcalloc(w.most, sizeof(const struct grammar_arc *));
    struct meaning m = {.show = show, .out = out, .section = -1};
    bool ok = words->n > 0 && walk(&w, g->start, 0);
    for (size_t i = 0; ok && i < w.n; i++)
        ok = take(&m, w.way[i]);
    free(w.way);
    return ok;
}
