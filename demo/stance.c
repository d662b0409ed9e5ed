#include <math.h>
#include <string.h>

#include "demo/stance.h"

static const double SCATTER_STEPS = 0.08, SCATTER_HORN_DEG = 2.5;
static const double FLAG_DEG[CUE_KINDS] = {
    [CUE_FLAG_LOW] = 100, [CUE_FLAG_UP] = 0, [CUE_FLAG_RIGHT] = 50, [CUE_FLAG_LEFT] = -50};

struct moment {
    double from_s, to_s; /* a cue as this performer does it: moving, then there */
    enum cue_kind kind;
};

struct member {
    const struct slip **slip;
    size_t n_slips;
    struct moment *moment;
    size_t n_moments;
    struct point *target; /* per set */
    double horn_deg;      /* their habit */
};

struct company {
    const struct drill *drill;
    const struct tempo *tempo;
    struct member *member;
};

/* splitmix64 (Steele, Lea, Flood 2014), constants from memory. */
static uint64_t mix(uint64_t z)
{
    z += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

double scatter_unit(uint64_t scatter, uint64_t a, uint64_t b)
{
    return (double)(mix(mix(mix(scatter) ^ a) ^ b) >> 11) * 0x1p-53;
}

/* About normal, never beyond 3: the sum of twelve uniform numbers, halved in range. */
static double scatter_normal(uint64_t scatter, uint64_t a, uint64_t b)
{
    double sum = -6;
    for (uint64_t i = 0; i < 12; i++)
        sum += scatter_unit(scatter + i, a, b);
    return fmax(-3, fmin(3, sum));
}

static struct point plus(struct point a, struct point b, double k)
{
    return (struct point){a.x + k * b.x, a.y + k * b.y};
}

static struct point minus(struct point a, struct point b)
{
    return plus(a, b, -1);
}

static struct point unit(struct point a)
{
    const double n = hypot(a.x, a.y);
    return n > 0 ? (struct point){a.x / n, a.y / n} : (struct point){0};
}

static double clamp01(double u)
{
    return fmax(0, fmin(1, u));
}

/* --- who stands where ---------------------------------------------------------------------- */

static size_t rank_of(const struct slip *s, size_t performer)
{
    size_t k = 0;
    while (k < s->n_who && (size_t)s->who[k] != performer)
        k++;
    return k;
}

/* How far a fault moves a performer off the dot. */
static struct point displacement(const struct drill *d, const struct slip *s, size_t performer)
{
    const struct point first = *drill_dot(d, (size_t)s->who[0], (size_t)s->set);
    const struct point last = *drill_dot(d, (size_t)s->who[s->n_who - 1], (size_t)s->set);
    const struct point along = unit(minus(last, first));
    const double middle = (double)(s->n_who - 1) / 2, k = (double)rank_of(s, performer) - middle;
    switch (s->effect) {
    case EFFECT_SPREAD:
        return plus((struct point){0}, along, s->amount * k);
    case EFFECT_BOW:
        return plus((struct point){0}, (struct point){-along.y, along.x},
                    s->amount * (1 - k * k / (middle * middle)));
    case EFFECT_DEPTH:
        return (struct point){0, s->amount};
    case EFFECT_ACROSS:
        return (struct point){s->amount, 0};
    default:
        return (struct point){0};
    }
}

static bool stands(const struct drill *d, size_t performer, int set)
{
    return set == 0 || memcmp(drill_dot(d, performer, (size_t)set),
                              drill_dot(d, performer, (size_t)set - 1), sizeof(struct point)) == 0;
}

static void set_targets(struct company *co, size_t p, uint64_t scatter)
{
    const struct drill *d = co->drill;
    struct member *m = &co->member[p];
    for (int i = 0; i < (int)d->n_sets; i++) {
        struct point *t = &m->target[i];
        if (i > 0 && stands(d, p, i)) {
            *t = m->target[i - 1];
        } else {
            *t = *drill_dot(d, p, (size_t)i);
            t->x += SCATTER_STEPS * scatter_normal(scatter, p, (uint64_t)i * 2);
            t->y += SCATTER_STEPS * scatter_normal(scatter, p, (uint64_t)i * 2 + 1);
        }
        for (size_t k = 0; k < m->n_slips; k++)
            if (m->slip[k]->set == i)
                *t = plus(*t, displacement(d, m->slip[k], p), 1);
    }
}

static const struct slip *slip_of(const struct member *m, int set, enum effect effect)
{
    for (size_t k = 0; k < m->n_slips; k++)
        if (m->slip[k]->set == set && m->slip[k]->effect == effect)
            return m->slip[k];
    return NULL;
}

/* The slip with that effect whose window is open. */
static const struct slip *slip_at(const struct company *co, const struct member *m,
                                  enum effect effect, double at_s, double *through)
{
    for (size_t k = 0; k < m->n_slips; k++) {
        const struct slip *s = m->slip[k];
        if (s->effect != effect)
            continue;
        const double from = tempo_at(co->tempo, s->set, s->c);
        const double to = tempo_at(co->tempo, s->set, s->until);
        if (at_s < from || at_s >= to)
            continue;
        *through = (at_s - from) / (to - from);
        return s;
    }
    return NULL;
}

/* --- cues ----------------------------------------------------------------------------------- */

static double lateness(const struct company *co, const struct member *m, size_t cue)
{
    const struct drill *d = co->drill;
    for (size_t k = 0; k < m->n_slips; k++) {
        const struct slip *s = m->slip[k];
        if (s->effect != EFFECT_CUE_LATE || s->set != d->cues[cue].set)
            continue;
        size_t first = 0; /* the fault is written just before the cue it spoils */
        while (d->cues[first].set != s->set || d->cues[first].c < s->c ||
               !drill_within(d, d->performers[s->who[0]].section, d->cues[first].section))
            if (++first == d->n_cues)
                break;
        if (first == cue)
            return s->amount;
    }
    return 0;
}

static void set_moments(struct arena *a, struct company *co, size_t p)
{
    const struct drill *d = co->drill;
    struct member *m = &co->member[p];
    m->moment = arena_alloc(a, d->n_cues * sizeof *m->moment);
    for (size_t i = 0; i < d->n_cues; i++) {
        const struct cue *q = &d->cues[i];
        if (!drill_within(d, d->performers[p].section, q->section))
            continue;
        const double late = lateness(co, m, i), takes = q->kind <= CUE_HORNS_DOWN ? 0.5 : 1;
        m->moment[m->n_moments++] =
            (struct moment){tempo_at(co->tempo, q->set, q->c + late - takes),
                            tempo_at(co->tempo, q->set, q->c + late), q->kind};
    }
}

/* The equipment's state, moved smoothly from one cue to the next. */
static double cue_value(const struct member *m, double at_s, double start,
                        double (*of)(enum cue_kind))
{
    double value = start;
    for (size_t i = 0; i < m->n_moments; i++) {
        const struct moment *q = &m->moment[i];
        const double u = clamp01((at_s - q->from_s) / (q->to_s - q->from_s));
        value += (of(q->kind) - value) * u * u * (3 - 2 * u);
    }
    return value;
}

static double horn_of(enum cue_kind kind)
{
    return kind == CUE_HORNS_UP;
}

static double flag_of(enum cue_kind kind)
{
    return FLAG_DEG[kind];
}

struct company *company_make(struct arena *a, const struct drill *d, const struct tempo *t,
                             uint64_t scatter)
{
    struct company *co = arena_alloc(a, sizeof *co);
    *co = (struct company){d, t, arena_alloc(a, d->n_performers * sizeof *co->member)};
    for (size_t p = 0; p < d->n_performers; p++) {
        struct member *m = &co->member[p];
        m->slip = arena_alloc(a, d->n_slips * sizeof *m->slip);
        m->target = arena_alloc(a, d->n_sets * sizeof *m->target);
        m->horn_deg = SCATTER_HORN_DEG * scatter_normal(scatter, p, 1000);
        for (size_t i = 0; i < d->n_slips; i++)
            if (rank_of(&d->slips[i], p) < d->slips[i].n_who)
                m->slip[m->n_slips++] = &d->slips[i];
        set_targets(co, p, scatter);
        set_moments(a, co, p);
    }
    return co;
}

/* --- motion --------------------------------------------------------------------------------- */

void company_span(const struct company *co, size_t performer, int set, double *leave,
                  double *arrive)
{
    const struct member *m = &co->member[performer];
    const struct slip *start = slip_of(m, set, EFFECT_START);
    const struct slip *end = slip_of(m, set, EFFECT_ARRIVE);
    *leave = start ? start->amount : 0;
    *arrive = co->drill->sets[set].counts + (end ? end->amount : 0);
}

struct point company_target(const struct company *co, size_t performer, int set)
{
    return co->member[performer].target[set > 0 ? set : 0];
}

static struct point on_the_way(const struct company *co, size_t p, int set, double c)
{
    const struct member *m = &co->member[p];
    const struct point from = company_target(co, p, set - 1), to = company_target(co, p, set);
    const struct slip *turn = slip_of(m, set, EFFECT_TURN);
    const struct slip *lag = slip_of(m, set, EFFECT_LAG);
    double leave, arrive;
    company_span(co, p, set, &leave, &arrive);
    if (turn && set > 1) {
        const int before = co->drill->sets[set - 1].counts;
        const struct point pace = minus(from, company_target(co, p, set - 2));
        const struct point gone = plus(from, pace, fmin(c, turn->amount) / before);
        const double u = clamp01((c - turn->amount) / (arrive - turn->amount));
        return plus(gone, minus(to, gone), u);
    }
    const double u = clamp01((c - leave) / (arrive - leave));
    struct point at = plus(from, minus(to, from), u);
    if (lag)
        at = plus(at, unit(minus(to, from)), -lag->amount * 27 / 4 * u * u * (1 - u));
    return at;
}

/* What a late arrival still lacks when the next set begins, and what an early start has gained. */
static struct point across_the_seam(const struct company *co, size_t p, int set, double c)
{
    const int counts = co->drill->sets[set].counts;
    struct point extra = {0};
    double leave, arrive;
    if (set > 0) {
        company_span(co, p, set - 1, &leave, &arrive);
        const int before = co->drill->sets[set - 1].counts;
        if (arrive > before && c < arrive - before)
            extra = plus(extra,
                         minus(on_the_way(co, p, set - 1, before), company_target(co, p, set - 1)),
                         1 - c / (arrive - before));
    }
    if (set + 1 < (int)co->drill->n_sets) {
        company_span(co, p, set + 1, &leave, &arrive);
        if (leave < 0 && c > counts + leave)
            extra = plus(extra, minus(company_target(co, p, set + 1), company_target(co, p, set)),
                         (c - counts - leave) / (arrive - leave));
    }
    return extra;
}

static struct point sidestep(const struct company *co, size_t p, int set, double at_s)
{
    const struct member *m = &co->member[p];
    const struct point way =
        unit(minus(company_target(co, p, set), company_target(co, p, set - 1)));
    double w;
    const struct slip *s = slip_at(co, m, EFFECT_BULGE, at_s, &w);
    if (s)
        return plus((struct point){0}, (struct point){-way.y, way.x},
                    s->amount * sin(M_PI * w) * sin(M_PI * w));
    s = slip_at(co, m, EFFECT_SHUFFLE, at_s, &w);
    if (s)
        return (struct point){s->amount * sin(M_PI * w) * sin(M_PI * w), 0};
    return (struct point){0};
}

struct point company_steps(const struct company *co, size_t performer, double at_s)
{
    const struct place at = tempo_place(co->tempo, at_s);
    const struct point p = plus(on_the_way(co, performer, at.set, at.c),
                                across_the_seam(co, performer, at.set, at.c), 1);
    return plus(p, sidestep(co, performer, at.set, at_s), 1);
}

static struct vec ground(struct point steps)
{
    return (struct vec){steps.x * FEET_PER_STEP, steps.y * FEET_PER_DEPTH_STEP, 0};
}

/* The planted foot stays on its spot while the body passes over it; the other swings through.
 * Left comes down as odd counts begin, that is when an even number has passed. */
static void set_feet(struct stance *s, struct vec step, double phase, double apart_ft)
{
    static const double HALF_HIP_FT = 0.33, HALF_HEELS_FT = 0.24, LIFT_FT = 0.75;
    const double stride = hypot(step.x, step.y), moving = clamp01(stride / 0.6);
    const double k = floor(phase), u = phase - k;
    const bool left_planted = ((long)k & 1) == 0;
    const double lift = LIFT_FT * moving * sin(M_PI * u);
    const double half = fmax(apart_ft / 2, HALF_HEELS_FT + (HALF_HIP_FT - HALF_HEELS_FT) * moving);
    struct vec *planted = left_planted ? &s->left : &s->right;
    struct vec *swinging = left_planted ? &s->right : &s->left;
    /* Facing the front, a performer's left is toward side 2. */
    const double side = left_planted ? half : -half;
    *planted =
        (struct vec){s->body.x + side + step.x * (0.5 - u), s->body.y + step.y * (0.5 - u), 0};
    *swinging =
        (struct vec){s->body.x - side + step.x * (u - 0.5), s->body.y + step.y * (u - 0.5), lift};
}

struct stance company_stance(const struct company *co, size_t performer, double at_s)
{
    static const double NEAR_S = 0.08;
    const struct member *m = &co->member[performer];
    const struct place at = tempo_place(co->tempo, at_s);
    const double bpm =
        set_tempo(&co->drill->sets[at.set], fmin(at.c, co->drill->sets[at.set].counts));
    struct stance s = {.steps = company_steps(co, performer, at_s)};
    const struct vec later = ground(company_steps(co, performer, at_s + NEAR_S));
    const struct vec earlier = ground(company_steps(co, performer, at_s - NEAR_S));
    const double per_count = 60 / bpm / (2 * NEAR_S);
    const struct vec step = {(later.x - earlier.x) * per_count, (later.y - earlier.y) * per_count,
                             0};
    double w;
    s.body = ground(s.steps);
    s.beat = tempo_counts(co->tempo, &at);
    const struct slip *phase = slip_at(co, m, EFFECT_STEP, at_s, &w);
    const struct slip *feet = slip_at(co, m, EFFECT_FEET, at_s, &w);
    set_feet(&s, step, s.beat - (phase ? phase->amount : 0),
             feet ? feet->amount * FEET_PER_STEP : 0);
    const struct slip *horn = slip_at(co, m, EFFECT_HORN_ANGLE, at_s, &w);
    s.horn_deg = m->horn_deg + (horn ? horn->amount * clamp01(8 * fmin(w, 1 - w)) : 0);
    s.horn = cue_value(m, at_s, 0, horn_of);
    const struct slip *pole = slip_at(co, m, EFFECT_FLAG_ANGLE, at_s, &w);
    s.flag_deg = cue_value(m, at_s, FLAG_DEG[CUE_FLAG_LOW], flag_of) + (pole ? pole->amount : 0);
    const struct slip *lean = slip_at(co, m, EFFECT_LEAN, at_s, &w);
    s.lean_deg = lean ? lean->amount * clamp01(8 * fmin(w, 1 - w)) : 0;
    s.dropped = slip_at(co, m, EFFECT_DROP, at_s, &w) != NULL;
    return s;
}
