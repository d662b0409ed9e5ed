#include "score/ramp.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* --- one ramp -------------------------------------------------------------------------------- */

static const double half_ms = 0.0005;

/* Below this a ramp is steady to the last digit. */
static const double steady = 1e-9;

static double length_of(struct count_times t)
{
    return t.s[t.n] - t.s[0];
}

/* Seconds to a count of the ramp with log ratio r that lasts `length`. */
static double ramp_time(double length, double r, double part)
{
    return fabs(r) < steady ? length * part : length / r * log1p(expm1(r) * part);
}

/* Counts by which the ramp misses count i. */
static double miss(struct count_times t, double r, size_t i)
{
    const double due = t.s[i] - t.s[0], got = ramp_time(length_of(t), r, (double)i / (double)t.n);
    return fabs(got - due) * 2 / (t.s[i + 1] - t.s[i - 1]);
}

static double most_missed(struct count_times t, double r, size_t each)
{
    double most = 0;
    for (size_t i = 1; i < t.n; i += each)
        most = fmax(most, miss(t, r, i));
    return most;
}

/* Every count's time grows or shrinks steadily with r, so the worst miss has one valley. */
static double best_ratio(struct count_times t)
{
    enum { STEPS = 26, SAMPLES = 24 };
    static const double golden = 0.6180339887498949;
    const size_t each = t.n / SAMPLES + 1;
    double low = -1.4, high = 1.4; /* a quarter of the tempo, or four times */
    double a = high - golden * (high - low), b = low + golden * (high - low);
    double at_a = most_missed(t, a, each), at_b = most_missed(t, b, each);
    for (int i = 0; i < STEPS; i++) {
        if (at_a < at_b) {
            high = b, b = a, at_b = at_a;
            a = high - golden * (high - low);
            at_a = most_missed(t, a, each);
        } else {
            low = a, a = b, at_a = at_b;
            b = low + golden * (high - low);
            at_b = most_missed(t, b, each);
        }
    }
    return (low + high) / 2;
}

static struct ramp ramp_with(struct count_times t, double r)
{
    const double mean = 60.0 * (double)t.n / length_of(t);
    const double bpm = fabs(r) < steady ? mean : mean * r / expm1(r);
    return (struct ramp){bpm, bpm * exp(r), most_missed(t, r, 1)};
}

struct ramp ramp_over(struct count_times t)
{
    static const double even = 0.01; /* counts */
    const struct ramp flat = ramp_with(t, 0);
    return t.n < 2 || flat.off <= even ? flat : ramp_with(t, best_ratio(t));
}

/* The tempos that are written, which are what people look for, where they do as well. */
static bool ends_as_written(struct count_times t, struct ramp *out)
{
    static const double most_off = 0.03;
    const double bpm = 60 / (t.s[1] - t.s[0]), bpm_end = 60 / (t.s[t.n] - t.s[t.n - 1]);
    const double r = log(bpm_end / bpm);
    if (fabs(r) < steady)
        return false;
    const double length = 60 * (double)t.n * r / (bpm_end - bpm);
    double off = 0;
    for (size_t i = 1; i < t.n; i++)
        off = fmax(off, fabs(t.s[i] - t.s[0] - ramp_time(length, r, (double)i / (double)t.n)) * 2 /
                            (t.s[i + 1] - t.s[i - 1]));
    *out = (struct ramp){bpm, bpm_end, off};
    return off <= most_off && fabs(length - length_of(t)) <= half_ms;
}

static double seconds_of(double bpm, double bpm_end, size_t n)
{
    const double slope = bpm_end - bpm;
    return fabs(slope) < steady ? 60 * (double)n / bpm
                                : 60 * (double)n / slope * log(bpm_end / bpm);
}

struct ramp ramp_plain(struct count_times t)
{
    enum { DECIMALS = 4 };
    struct ramp exact = ramp_over(t), written;
    if (exact.bpm != exact.bpm_end && ends_as_written(t, &written))
        exact = written;
    struct ramp plain = exact;
    double one = 1;
    for (int i = 0; i <= DECIMALS; i++, one *= 10) {
        plain.bpm = round(exact.bpm * one) / one;
        plain.bpm_end = round(exact.bpm_end * one) / one;
        if (plain.bpm > 0 && plain.bpm_end > 0 &&
            fabs(seconds_of(plain.bpm, plain.bpm_end, t.n) - length_of(t)) <= half_ms)
            break;
    }
    return plain;
}

/* --- parts ----------------------------------------------------------------------------------- */

/* So many places where a part may end are looked at; those where the tempo changes most. */
enum { PLACES = 34, FEW = 4, COUNTS_A_PART = 4 };

struct search {
    struct count_times t;
    size_t at[PLACES]; /* counts; 0 first, t.n last */
    size_t n;
    double off[PLACES][PLACES]; /* of the ramp from one to the other; below 0: not known */
};

/* How much the tempo changes where a count begins. */
static double change(struct count_times t, size_t i)
{
    return fabs(log((t.s[i + 1] - t.s[i]) / (t.s[i] - t.s[i - 1])));
}

static void find_places(struct search *x)
{
    static const double none = 1e-3;
    size_t *at = x->at;
    x->n = 1;
    at[0] = 0;
    for (size_t i = 1; i < x->t.n; i++) {
        if (change(x->t, i) <= none)
            continue;
        if (x->n == PLACES - 1) { /* the least of those there are gives way, or this one does */
            size_t least = 1;
            for (size_t k = 2; k < x->n; k++)
                if (change(x->t, at[k]) < change(x->t, at[least]))
                    least = k;
            if (change(x->t, at[least]) >= change(x->t, i))
                continue;
            memmove(at + least, at + least + 1, (x->n - least - 1) * sizeof *at);
            x->n--;
        }
        at[x->n++] = i;
    }
    at[x->n++] = x->t.n;
}

static double part_off(struct search *x, size_t from, size_t to)
{
    double *off = &x->off[from][to];
    if (*off < 0)
        *off = ramp_over((struct count_times){x->t.s + x->at[from], x->at[to] - x->at[from]}).off;
    return *off;
}

/* The fewest parts within the tolerance, and among those the ones that miss least. Parts between
 * neighbouring places are taken as they are. */
static size_t fewest(struct search *x, double most_off, size_t *ends)
{
    size_t parts[PLACES] = {0}, before[PLACES] = {0};
    double cost[PLACES] = {0};
    for (size_t to = 1; to < x->n; to++) {
        parts[to] = PLACES;
        for (size_t from = to; from-- > 0;) {
            if (parts[from] + 1 > parts[to])
                continue;
            const double off = part_off(x, from, to);
            const double sum = cost[from] + off * off;
            if ((off > most_off && from + 1 < to) ||
                (parts[from] + 1 == parts[to] && sum >= cost[to]))
                continue;
            parts[to] = parts[from] + 1;
            cost[to] = sum;
            before[to] = from;
        }
    }
    const size_t n = parts[x->n - 1];
    for (size_t k = n, at = x->n - 1; k-- > 0; at = before[at])
        ends[k] = x->at[at];
    return n;
}

size_t ramp_parts(struct count_times t, size_t *ends, size_t most)
{
    static const double tolerances[] = {0.03, 0.1, 0.25, 0.5};
    struct search x = {.t = t};
    size_t found[PLACES], n = 1;
    found[0] = t.n;
    if (ramp_over(t).off > tolerances[0]) {
        find_places(&x);
        for (size_t i = 0; i < x.n; i++)
            for (size_t k = 0; k < x.n; k++)
                x.off[i][k] = -1;
        for (size_t i = 0; i < sizeof tolerances / sizeof *tolerances; i++) {
            n = fewest(&x, tolerances[i], found);
            if (n <= FEW || n * COUNTS_A_PART <= t.n)
                break;
        }
    }
    n = n < most ? n : most;
    memcpy(ends, found, n * sizeof *ends);
    ends[n - 1] = t.n;
    return n;
}
