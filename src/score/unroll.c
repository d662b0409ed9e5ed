#include "score/unroll.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* --- the order of the measures --------------------------------------------------------------- */

/* What stands about a measure besides the page's own words. */
struct spot {
    uint64_t ending; /* the volta it belongs to, 0: none */
    int passes;      /* of its group of voltas */
    bool after_jump; /* of that group */
    bool gone;       /* its jump was taken */
    bool left;       /* its way to the coda was taken */
};

struct flow {
    const struct page *page;
    struct spot *spots;
    size_t at;     /* the measure that is next */
    size_t start;  /* where the running repeat began */
    int pass;      /* through it, from 1 */
    bool jumped;   /* a da capo or dal segno was taken */
    bool follows;  /* the measure before was played or passed over just now: no jump between */
    bool finished; /* at a fine */
};

static int highest(uint64_t bits)
{
    int n = 0;
    while (bits >>= 1)
        n++;
    return n;
}

/* Voltas that stand side by side are a group: a repeat of as many passes as the highest number. One
 * that stands alone is left out the time after its last. */
static void number_group(const struct page *p, struct spot *spots, size_t from, size_t to)
{
    int most = 0, voltas = 0;
    bool after = false;
    for (size_t i = from; i < to; i++) {
        const int n = highest(spots[i].ending);
        most = n > most ? n : most;
        voltas += p->measures[i].ending != 0;
        after = after || (p->measures[i].backward && p->measures[i].after_jump);
    }
    for (size_t i = from; i < to; i++) {
        spots[i].passes = most + (voltas == 1);
        spots[i].after_jump = after;
    }
}

static void find_voltas(const struct page *p, struct spot *spots)
{
    uint64_t running = 0;
    size_t from = 0;
    for (size_t i = 0; i <= p->n_measures; i++) {
        if (i < p->n_measures && p->measures[i].ending)
            running = p->measures[i].ending;
        if (i == p->n_measures || !running) {
            number_group(p, spots, from, i);
            from = i + 1;
            continue;
        }
        spots[i].ending = running;
        if (p->measures[i].ending_stop)
            running = 0;
    }
}

/* Is the measure left out in this pass? */
static bool passed_over(const struct flow *f)
{
    const struct spot *s = &f->spots[f->at];
    if (!s->ending)
        return false;
    const int pass = f->jumped && !s->after_jump ? s->passes : f->pass;
    return pass > 63 || !(s->ending >> pass & 1);
}

static bool goes_back(const struct flow *f)
{
    const struct page_measure *m = &f->page->measures[f->at];
    const struct spot *s = &f->spots[f->at];
    if (!m->backward || (f->jumped && !m->after_jump))
        return false;
    return f->pass < (s->ending ? s->passes : m->times);
}

/* --- jumps ----------------------------------------------------------------------------------- */

static bool lost(const struct page *p, size_t at, const char *what, const char *name, struct err *e)
{
    return err_set(e, ERR_INPUT,
                   "%s: measure %s: it goes to %s '%s', which no measure is; mark that measure, or "
                   "take the jump out",
                   p->source, p->measures[at].number, what, name);
}

static bool find_segno(const struct page *p, size_t at, size_t *to, struct err *e)
{
    const char *name = p->measures[at].dalsegno;
    for (*to = 0; *to < p->n_measures; ++*to)
        if (p->measures[*to].segno && strcmp(p->measures[*to].segno, name) == 0)
            return true;
    return lost(p, at, "the segno", name, e);
}

static bool find_coda(const struct page *p, size_t at, size_t *to, struct err *e)
{
    const char *name = p->measures[at].tocoda;
    for (*to = 0; *to < p->n_measures; ++*to)
        if (p->measures[*to].coda && strcmp(p->measures[*to].coda, name) == 0)
            return true;
    return lost(p, at, "the coda", name, e);
}

static void go(struct flow *f, size_t to)
{
    f->at = f->start = to;
    f->pass = 1;
    f->follows = false;
}

/* At the end of a measure that was played, its repeat done with. */
static bool leave(struct flow *f, struct err *e)
{
    const struct page_measure *m = &f->page->measures[f->at];
    struct spot *s = &f->spots[f->at];
    size_t to = 0;
    if (f->jumped && m->fine) {
        f->finished = true;
    } else if (f->jumped && m->tocoda && !s->left) {
        s->left = true;
        if (!find_coda(f->page, f->at, &to, e))
            return false;
        go(f, to);
    } else if ((m->dacapo || m->dalsegno) && !s->gone) {
        s->gone = true;
        if (!m->dacapo && !find_segno(f->page, f->at, &to, e))
            return false;
        f->jumped = true;
        go(f, to);
    } else {
        f->at++;
        f->follows = true;
    }
    return true;
}

/* --- playing --------------------------------------------------------------------------------- */

static void enter(struct flow *f)
{
    const struct page_measure *m = &f->page->measures[f->at];
    const bool behind =
        f->follows && f->at > 0 && f->spots[f->at - 1].ending && !f->spots[f->at].ending;
    if ((m->forward && f->at != f->start) || behind) {
        f->start = f->at;
        f->pass = 1;
    }
}

/* Plays the next measure, or passes it over; *played tells its position, or SIZE_MAX. */
static bool step(struct flow *f, size_t *played, struct err *e)
{
    *played = SIZE_MAX;
    enter(f);
    if (passed_over(f)) {
        f->at++;
        f->follows = true;
        return true;
    }
    *played = f->at;
    if (goes_back(f)) {
        f->at = f->start;
        f->pass++;
        f->follows = false;
        return true;
    }
    if (f->page->measures[f->at].backward && !f->spots[f->at].ending) {
        f->start = f->at + 1;
        f->pass = 1;
    }
    return leave(f, e);
}

/* --- the music ------------------------------------------------------------------------------- */

struct playing {
    struct page *page;
    struct draft *draft;
    struct meter *meters; /* of each measure */
    double *tempos;       /* at its beginning; 0: not known */
    size_t *first;        /* of its events; one more than there are measures */
    double at;            /* quarters that were played */
    size_t events;        /* that were told */
};

static int by_place(const void *a, const void *b)
{
    const struct page_event *x = a, *y = b;
    if (x->measure != y->measure)
        return x->measure < y->measure ? -1 : 1;
    if (x->at != y->at)
        return x->at < y->at ? -1 : 1;
    return x->order < y->order ? -1 : 1;
}

/* Meter and tempo of each measure as the page has them, whatever is played before it. */
static void look_ahead(struct playing *k)
{
    const struct page *p = k->page;
    struct meter meter = {4, 4};
    double tempo = 0;
    size_t event = 0;
    for (size_t i = 0; i < p->n_measures; i++) {
        if (p->measures[i].meter.beats)
            meter = p->measures[i].meter;
        k->meters[i] = meter;
        k->tempos[i] = tempo;
        k->first[i] = event;
        for (; event < p->n_events && p->events[event].measure == i; event++)
            if (p->events[event].bpm > 0)
                tempo = p->events[event].bpm;
    }
    k->first[p->n_measures] = event;
}

/* Its notes say how long it is: a pickup, and a measure that a repeat parts, are shorter than the
 * meter. Tuplets in whole divisions may be a little off. */
static double length_of(const struct playing *k, size_t i)
{
    static const double rounding = 0.02;
    const double whole = meter_length(k->meters[i]), content = k->page->measures[i].content;
    return content <= 0 || fabs(content - whole) <= rounding ? whole : content;
}

static bool tell_events(struct playing *k, size_t i, double length, struct err *e)
{
    for (size_t n = k->first[i]; n < k->first[i + 1]; n++) {
        const struct page_event *x = &k->page->events[n];
        const double at = k->at + fmin(x->at, length);
        if (++k->events > SCORE_TEMPOS)
            return err_set(e, ERR_INPUT, "more than %d tempos and marks are played", SCORE_TEMPOS);
        if (!(x->bpm > 0 ? draft_tempo(k->draft, at, x->bpm, e)
                         : draft_marker(k->draft, at, x->text, e)))
            return false;
    }
    return true;
}

static bool tell(struct playing *k, size_t i, struct err *e)
{
    const struct page_measure *m = &k->page->measures[i];
    const double length = length_of(k, i);
    const struct score_measure played = {k->at, length, k->meters[i], m->number};
    if ((k->tempos[i] > 0 && !draft_tempo(k->draft, k->at, k->tempos[i], e)) ||
        !draft_measure(k->draft, played, e) || !tell_events(k, i, length, e))
        return err_in(e, "%s: measure %s", k->page->source, m->number);
    k->at += length;
    return true;
}

static bool fine_is_reached(const struct flow *f, struct err *e)
{
    const struct page *p = f->page;
    bool jump = false;
    for (size_t i = 0; i < p->n_measures; i++)
        jump = jump || f->spots[i].gone;
    for (size_t i = 0; i < p->n_measures && jump && !f->finished; i++)
        if (p->measures[i].fine && i + 1 < p->n_measures)
            return err_set(e, ERR_INPUT,
                           "%s: measure %s: the fine is never reached behind the jump; mend the "
                           "jumps, or take it out",
                           p->source, p->measures[i].number);
    return true;
}

bool page_unroll(struct page *p, struct draft *d, struct err *e)
{
    const size_t n = p->n_measures;
    struct arena mem = {0};
    struct playing k = {.page = p,
                        .draft = d,
                        .meters = arena_alloc(&mem, n * sizeof *k.meters),
                        .tempos = arena_alloc(&mem, n * sizeof *k.tempos),
                        .first = arena_alloc(&mem, (n + 1) * sizeof *k.first)};
    struct flow f = {.page = p, .spots = arena_alloc(&mem, n * sizeof *f.spots), .pass = 1};
    if (p->n_events)
        qsort(p->events, p->n_events, sizeof *p->events, by_place);
    look_ahead(&k);
    find_voltas(p, f.spots);
    bool ok = true;
    while (ok && f.at < n && !f.finished) {
        size_t played;
        ok = step(&f, &played, e) && (played == SIZE_MAX || tell(&k, played, e));
    }
    ok = ok && fine_is_reached(&f, e);
    arena_free(&mem);
    return ok;
}
