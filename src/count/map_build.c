/* Lays the counts of the sets along the clip, one stretch of ties after the other. */
#include "count/map.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "count/map_inner.h"

enum { BPM_LEAST = 10, BPM_MOST = 400 };

/* A part of a set between two ties: some of its counts, or its hold. */
struct piece {
    int set;
    bool hold;
    double x0, x1;
    double bpm;     /* at x0; 0 while not known */
    double slope;   /* bpm per count */
    double seconds; /* written; NAN while not known */
};

struct builder {
    struct map *m;
    const struct map_anchor *anchors;
    struct map_options opt;
    double *known_s;   /* seconds of known length before set i */
    double *unknown_n; /* counts of unknown length before set i */
    struct piece *pieces;
    size_t n_pieces, cap_pieces;
    struct seg *segs;
    size_t n_segs, cap_segs;
    double floor_us, ceiling_us; /* the stretch at hand may lie between these */
    int stretch;
};

/* --- pieces -------------------------------------------------------------------------------- */

static void add_piece(struct builder *b, struct piece p)
{
    b->pieces = array_grow(b->pieces, b->n_pieces, &b->cap_pieces, sizeof *b->pieces);
    b->pieces[b->n_pieces++] = p;
}

static void add_counts(struct builder *b, int set, double x0, double x1)
{
    const struct move *m = &b->m->sets[set];
    const double bpm = tempo_bpm(m, x0), slope = tempo_slope(m);
    const double s = x0 == x1 ? 0 : bpm > 0 ? ramp_seconds(bpm, slope, x1 - x0) : NAN;
    add_piece(b, (struct piece){set, false, x0, x1, bpm, slope, s});
}

static void add_hold(struct builder *b, int set)
{
    const double hold = b->m->sets[set].hold_s;
    if (hold > 0)
        add_piece(b, (struct piece){set, true, 0, hold, 0, 0, hold});
}

/* The pieces of the drill from one place to another that is not before it. */
static void walk(struct builder *b, int set, double count, int to_set, double to_count)
{
    b->n_pieces = 0;
    for (; set < to_set; set++, count = 1) {
        add_counts(b, set, count, b->m->sets[set].counts + 1);
        add_hold(b, set);
    }
    add_counts(b, set, count, to_count);
}

static double seconds_of(const struct builder *b, size_t from, size_t to)
{
    double s = 0;
    for (size_t i = from; i < to; i++)
        s += b->pieces[i].seconds;
    return s;
}

/* --- segments ------------------------------------------------------------------------------ */

/* Cuts a segment down to what the stretch may cover; false when nothing is left of it. */
static bool cut(const struct builder *b, struct seg *s)
{
    if (s->to_us < b->floor_us || s->from_us > b->ceiling_us)
        return false;
    if (s->to_us > s->from_us && (s->to_us == b->floor_us || s->from_us == b->ceiling_us))
        return false;
    if (s->to_us > b->ceiling_us) {
        s->x1 = seg_x(s, (b->ceiling_us - s->from_us) * 1e-6);
        s->to_us = b->ceiling_us;
    }
    if (s->from_us < b->floor_us) {
        const double x = seg_x(s, (b->floor_us - s->from_us) * 1e-6);
        s->bpm += s->slope * (x - s->x0);
        s->x0 = x;
        s->from_us = b->floor_us;
    }
    return true;
}

static void add_seg(struct builder *b, const struct piece *p, double from_us, double to_us,
                    double ratio, bool tied)
{
    struct seg s = {
        .from_us = from_us,
        .to_us = to_us,
        .x0 = p->x0,
        .x1 = p->x1,
        .bpm = p->bpm,
        .slope = p->slope,
        .ratio = ratio,
        .set = p->set,
        .stretch = (uint16_t)b->stretch,
        .hold = p->hold,
        .tied = tied,
    };
    if (!cut(b, &s))
        return;
    b->segs = array_grow(b->segs, b->n_segs, &b->cap_segs, sizeof *b->segs);
    b->segs[b->n_segs++] = s;
}

/* Lays pieces from..to end to end from a time on, up to the first of unknown length, where the
 * place itself still gets its instant. Unless end_us is NAN they end there, to the last digit. */
static void lay(struct builder *b, size_t from, size_t to, double us, double end_us, double ratio,
                bool tied)
{
    size_t tail = to;
    while (!isnan(end_us) && tail > from && b->pieces[tail - 1].seconds == 0)
        tail--;
    for (size_t i = from; i < to; i++) {
        struct piece p = b->pieces[i];
        if (isnan(p.seconds)) {
            p.x1 = p.x0;
            add_seg(b, &p, us, us, ratio, tied);
            return;
        }
        const bool ends = i + 1 >= tail && !isnan(end_us);
        const double next = ends ? end_us : us + p.seconds * 1e6 / ratio;
        add_seg(b, &p, us, next, ratio, tied);
        us = next;
    }
}

/* A tie is found at its instant even when nothing around it could be placed. */
static void pin(struct builder *b, const struct map_anchor *p)
{
    const struct seg *z = b->n_segs ? &b->segs[b->n_segs - 1] : NULL;
    if (z && z->stretch == b->stretch && z->to_us == (double)p->us)
        return;
    b->n_pieces = 0;
    add_counts(b, p->set, p->count, p->count);
    add_seg(b, &b->pieces[0], (double)p->us, (double)p->us, 1, true);
}

/* --- legs ---------------------------------------------------------------------------------- */

/* The set that all counts of unknown length belong to; -1 none, -2 several. */
static int unknown_set(const struct builder *b)
{
    int set = -1;
    for (size_t i = 0; i < b->n_pieces; i++)
        if (isnan(b->pieces[i].seconds))
            set = set == -1 || set == b->pieces[i].set ? b->pieces[i].set : -2;
    return set;
}

/* Gives the one piece of unknown length the time that the others leave. */
static void solve(struct builder *b, double real_s, struct map_leg *leg)
{
    double known = 0;
    struct piece *open = NULL;
    for (size_t i = 0; i < b->n_pieces; i++) {
        if (isnan(b->pieces[i].seconds))
            open = &b->pieces[i];
        else
            known += b->pieces[i].seconds;
    }
    const double left = real_s - known, bpm = left > 0 ? 60 * (open->x1 - open->x0) / left : 0;
    if (bpm < BPM_LEAST || bpm > BPM_MOST) {
        leg->kind = left > 0 ? LEG_OPEN : LEG_TIGHT;
        return;
    }
    leg->kind = LEG_SOLVED;
    leg->bpm = bpm;
    open->bpm = bpm;
    open->slope = 0;
    open->seconds = left;
}

/* From both ties inwards as far as the tempo is known, the middle left open. */
static void lay_open(struct builder *b, double from_us, double to_us, struct map_leg *leg)
{
    size_t left = 0, right = b->n_pieces;
    while (!isnan(b->pieces[left].seconds))
        left++;
    while (!isnan(b->pieces[right - 1].seconds))
        right--;
    const double end_left = from_us + seconds_of(b, 0, left) * 1e6;
    const double begin_right = to_us - seconds_of(b, right, b->n_pieces) * 1e6;
    if (end_left > begin_right) {
        leg->kind = LEG_TIGHT;
        return;
    }
    lay(b, 0, left + 1, from_us, NAN, 1, true);
    lay(b, right, b->n_pieces, begin_right, to_us, 1, true);
}

static struct map_leg lay_leg(struct builder *b, int from)
{
    const struct map_anchor *p = &b->anchors[from], *q = p + 1;
    struct map_leg leg = {.stretch = b->stretch, .from = from, .to = from + 1, .ratio = 1};
    const double from_us = (double)p->us, to_us = (double)q->us;
    const double real_s = (to_us - from_us) * 1e-6;
    walk(b, p->set, p->count, q->set, q->count);
    const int unknown = unknown_set(b);
    if (unknown == -1)
        leg.ratio = seconds_of(b, 0, b->n_pieces) / real_s;
    else if (unknown >= 0)
        solve(b, real_s, &leg);
    else
        leg.kind = LEG_OPEN;
    if (leg.kind == LEG_FITTED || leg.kind == LEG_SOLVED)
        lay(b, 0, b->n_pieces, from_us, to_us, leg.ratio, true);
    else if (leg.kind == LEG_OPEN)
        lay_open(b, from_us, to_us, &leg);
    leg.off_tempo = fabs(leg.ratio - 1) > b->opt.off_tempo;
    return leg;
}

/* --- stretches ----------------------------------------------------------------------------- */

/* Walks back from the first tie; returns the first piece that can be laid and the time it starts
 * at (the tie's own when nothing can). */
static size_t walk_back(struct builder *b, const struct map_anchor *first, double *start_us)
{
    const int back = b->opt.reach_back < first->set ? b->opt.reach_back : first->set;
    const bool from_here = first->flags & ANCHOR_FROM;
    if (from_here)
        walk(b, first->set, first->count, first->set, first->count);
    else
        walk(b, first->set - back, 1, first->set, first->count);
    size_t i = b->n_pieces;
    *start_us = (double)first->us;
    while (i > 0 && !isnan(b->pieces[i - 1].seconds))
        *start_us -= b->pieces[--i].seconds * 1e6;
    return i;
}

static void lay_stretch(struct builder *b, const struct map_stretch *st)
{
    double start_us;
    const struct map_anchor *first = &b->anchors[st->first], *last = &b->anchors[st->last];
    const size_t i = walk_back(b, first, &start_us);
    lay(b, i, b->n_pieces, start_us, (double)first->us, 1, false);
    pin(b, first);
    for (int k = st->first; k < st->last; k++) {
        b->m->legs[b->m->n_legs++] = lay_leg(b, k);
        pin(b, &b->anchors[k + 1]);
    }
    if (last->flags & ANCHOR_HALT)
        return;
    const int end = (int)b->m->n_sets - 1;
    walk(b, last->set, last->count, end, b->m->sets[end].counts + 1);
    add_hold(b, end);
    lay(b, 0, b->n_pieces, (double)last->us, NAN, 1, false);
}

/* How much later in the drill q is than p: seconds of known length and counts of unknown. */
static void between(const struct builder *b, const struct map_anchor *p, const struct map_anchor *q,
                    double *known_s, double *unknown_n)
{
    const struct map_anchor *end[] = {p, q};
    double s[2], n[2];
    for (int i = 0; i < 2; i++) {
        const struct move *m = &b->m->sets[end[i]->set];
        const bool known = tempo_known(m);
        s[i] = b->known_s[end[i]->set] + (known ? tempo_seconds(m, end[i]->count) : 0);
        n[i] = b->unknown_n[end[i]->set] + (known ? 0 : end[i]->count - 1);
    }
    *known_s = s[1] - s[0];
    *unknown_n = n[1] - n[0];
    const bool same_set = p->set == q->set;
    if (same_set ? q->count <= p->count : q->set < p->set)
        *known_s = *unknown_n = 0;
}

/* Must tie q begin a new stretch after p? Sets e when q's own flags forbid what it must. */
static bool restarts(const struct builder *b, const struct map_anchor *p,
                     const struct map_anchor *q, bool *forward)
{
    double known_s, unknown_n;
    between(b, p, q, &known_s, &unknown_n);
    const double real_s = (double)(q->us - p->us) * 1e-6;
    *forward = known_s > 1e-9 || unknown_n > 0;
    if (!*forward || (q->flags & (ANCHOR_BREAK | ANCHOR_FROM)) || (p->flags & ANCHOR_HALT))
        return true;
    if ((q->flags & ANCHOR_JOIN) || fabs(known_s - real_s) <= b->opt.restart_slack_s)
        return false;
    const bool too_long = known_s > real_s * b->opt.restart_ratio;
    const bool too_short = unknown_n == 0 && known_s * b->opt.restart_ratio < real_s;
    return too_long || too_short;
}

static bool split(struct builder *b, size_t n, struct err *e)
{
    struct map *m = b->m;
    for (size_t i = 0; i < n; i++) {
        bool forward = true;
        const bool fresh = i == 0 || restarts(b, &b->anchors[i - 1], &b->anchors[i], &forward);
        if (i > 0 && fresh && (b->anchors[i].flags & ANCHOR_JOIN))
            return err_set(e, ERR_INPUT,
                           "tie %zu (set %s count %g): it cannot join the tie before it, %s; "
                           "let it begin a new stretch",
                           i + 1, m->sets[b->anchors[i].set].label, b->anchors[i].count,
                           forward ? "where the band halts" : "which is not earlier in the drill");
        if (fresh)
            m->stretches[m->n_stretches++].first = (int)i;
        m->stretches[m->n_stretches - 1].last = (int)i;
    }
    return true;
}

/* --- spans --------------------------------------------------------------------------------- */

static void make_spans(struct builder *b, struct arena *a)
{
    struct map *m = b->m;
    m->spans = arena_alloc(a, m->n_segs * sizeof *m->spans);
    for (size_t i = 0, j; i < m->n_segs; i = j) {
        const struct seg *s = &m->segs[i];
        double written = 0, real = 0;
        bool off = false;
        for (j = i; j < m->n_segs && m->segs[j].set == s->set && m->segs[j].stretch == s->stretch;
             j++) {
            const double us = m->segs[j].to_us - m->segs[j].from_us;
            real += us;
            written += us * m->segs[j].ratio;
            off = off || (us > 0 && fabs(m->segs[j].ratio - 1) > b->opt.off_tempo);
        }
        const struct seg *z = &m->segs[j - 1];
        m->spans[m->n_spans++] = (struct map_span){
            .stretch = s->stretch,
            .set = s->set,
            .from_us = (int64_t)ceil(s->from_us - 1e-3),
            .to_us = (int64_t)floor(z->to_us + 1e-3),
            .from_count = s->hold ? m->sets[s->set].counts + 1 : s->x0,
            .to_count = z->hold ? m->sets[z->set].counts + 1 : z->x1,
            .ratio = real > 0 ? written / real : s->ratio,
            .off_tempo = off,
        };
    }
}

/* --- the map ------------------------------------------------------------------------------- */

static struct map_options filled(const struct map_options *o)
{
    struct map_options f = o ? *o : (struct map_options){0};
    f.off_tempo = f.off_tempo > 0 ? f.off_tempo : 0.08;
    f.restart_ratio = f.restart_ratio > 1 ? f.restart_ratio : 1.5;
    f.restart_slack_s = f.restart_slack_s > 0 ? f.restart_slack_s : 2;
    f.reach_back = f.reach_back > 0 ? f.reach_back : 0;
    return f;
}

static void sums(struct builder *b, struct arena *a)
{
    struct map *m = b->m;
    m->before = arena_alloc(a, (m->n_sets + 1) * sizeof *m->before);
    b->known_s = xcalloc(m->n_sets + 1, sizeof *b->known_s);
    b->unknown_n = xcalloc(m->n_sets + 1, sizeof *b->unknown_n);
    for (size_t i = 0; i < m->n_sets; i++) {
        const struct move *s = &m->sets[i];
        const bool known = tempo_known(s);
        m->before[i + 1] = m->before[i] + s->counts;
        b->known_s[i + 1] = b->known_s[i] + (known ? tempo_length(s) : s->hold_s);
        b->unknown_n[i + 1] = b->unknown_n[i] + (known ? 0 : s->counts);
    }
}

/* Every stretch ends at the latest where the next one begins. */
static void lay_all(struct builder *b, struct arena *a)
{
    struct map *m = b->m;
    m->first_seg = arena_alloc(a, (m->n_stretches + 1) * sizeof *m->first_seg);
    const double end = b->opt.length_us > 0 ? (double)b->opt.length_us : HUGE_VAL;
    b->floor_us = 0;
    for (size_t i = 0; i < m->n_stretches; i++) {
        double next = end;
        if (i + 1 < m->n_stretches) {
            walk_back(b, &b->anchors[m->stretches[i + 1].first], &next);
            next = fmax(next, (double)b->anchors[m->stretches[i].last].us);
        }
        b->stretch = (int)i;
        b->ceiling_us = next;
        m->first_seg[i] = b->n_segs;
        lay_stretch(b, &m->stretches[i]);
        m->stretches[i].from_us = (int64_t)ceil(b->segs[m->first_seg[i]].from_us - 1e-3);
        m->stretches[i].to_us = (int64_t)floor(b->segs[b->n_segs - 1].to_us + 1e-3);
        b->floor_us = next;
    }
    m->first_seg[m->n_stretches] = b->n_segs;
}

static void keep_segs(struct builder *b, struct arena *a)
{
    struct map *m = b->m;
    m->n_segs = b->n_segs;
    m->segs = arena_alloc(a, b->n_segs * sizeof *m->segs);
    m->starts = arena_alloc(a, b->n_segs * sizeof *m->starts);
    for (size_t i = 0; i < b->n_segs; i++) {
        m->segs[i] = b->segs[i];
        m->starts[i] = b->segs[i].from_us;
    }
}

struct map *map_build(struct arena *a, struct moves sets, struct map_anchors anchors,
                      const struct map_options *options, struct err *e)
{
    if (!moves_check(sets, e))
        return NULL;
    struct map *m = arena_alloc(a, sizeof *m);
    struct builder b = {.m = m, .anchors = anchors.at, .opt = filled(options)};
    struct move *copy = arena_alloc(a, sets.n * sizeof *copy);
    if (sets.n)
        memcpy(copy, sets.at, sets.n * sizeof *copy);
    m->sets = copy;
    m->n_sets = sets.n;
    m->anchors = arena_alloc(a, (anchors.n + 1) * sizeof *m->anchors);
    m->n_anchors = anchors.n;
    if (anchors.n)
        memcpy(m->anchors, anchors.at, anchors.n * sizeof *m->anchors);
    if (!anchors_check(sets, anchors, b.opt.length_us, e))
        return NULL;
    m->stretches = arena_alloc(a, anchors.n * sizeof *m->stretches);
    m->legs = arena_alloc(a, anchors.n * sizeof *m->legs);
    sums(&b, a);
    const bool ok = split(&b, anchors.n, e);
    if (ok) {
        lay_all(&b, a);
        keep_segs(&b, a);
        make_spans(&b, a);
    }
    free(b.known_s);
    free(b.unknown_n);
    free(b.pieces);
    free(b.segs);
    return ok ? m : NULL;
}
