#include "score.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/arena.h"

static const double near_s = 0.07, near_part = 0.175, new_passage = 1.5;

/* --- hits ---------------------------------------------------------------------------------- */

/* Pairs from left to right, which takes as many as there can be. off (may be NULL): found minus
 * true of each. A nearer one is preferred when no later true beat could want the one before it. */
static size_t hits(struct times truth, struct times found, double tolerance_s, double *off)
{
    size_t n = 0, i = 0, j = 0;
    while (i < truth.n && j < found.n) {
        const double x = found.at[j] - truth.at[i];
        if (x < -tolerance_s) {
            j++;
            continue;
        }
        if (x > tolerance_s) {
            i++;
            continue;
        }
        const bool wanted =
            j + 1 < found.n && i + 1 < truth.n && found.at[j + 1] >= truth.at[i + 1] - tolerance_s;
        if (j + 1 < found.n && !wanted && fabs(found.at[j + 1] - truth.at[i]) < fabs(x)) {
            j++;
            continue;
        }
        if (off)
            off[n] = x;
        n++, i++, j++;
    }
    return n;
}

double score_f(struct times truth, struct times found, double tolerance_s)
{
    if (truth.n + found.n == 0)
        return 1;
    return 2 * (double)hits(truth, found, tolerance_s, NULL) / (double)(truth.n + found.n);
}

static int by_size(const void *a, const void *b)
{
    const double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

double score_bias_ms(struct times truth, struct times found, double tolerance_s)
{
    double *off = xcalloc(truth.n + 1, sizeof *off);
    const size_t n = hits(truth, found, tolerance_s, off);
    qsort(off, n, sizeof *off, by_size);
    const double middle = n == 0 ? NAN : n % 2 ? off[n / 2] : (off[n / 2 - 1] + off[n / 2]) / 2;
    free(off);
    return 1000 * middle;
}

/* --- continuity ---------------------------------------------------------------------------- */

/* Does a passage begin with this beat? */
static bool begins(struct times t, size_t i)
{
    return i == 0 || (i + 1 < t.n && t.at[i] - t.at[i - 1] > new_passage * (t.at[i + 1] - t.at[i]));
}

/* And does one end? */
static bool ends(struct times t, size_t i)
{
    return i + 1 == t.n || begins(t, i + 1);
}

static size_t nearest(struct times t, double at)
{
    size_t lo = 0, hi = t.n;
    while (lo < hi) {
        const size_t mid = lo + (hi - lo) / 2;
        if (t.at[mid] < at)
            lo = mid + 1;
        else
            hi = mid;
    }
    if (lo == t.n || (lo > 0 && at - t.at[lo - 1] <= t.at[lo] - at))
        lo--;
    return lo;
}

/* Where a passage begins only the interval after it says something. */
static double interval(struct times t, size_t i, bool forward)
{
    return (forward && i + 1 < t.n) || i == 0 ? t.at[i + 1] - t.at[i] : t.at[i] - t.at[i - 1];
}

static double continuity(struct times truth, struct times found)
{
    if (truth.n < 2 || found.n < 2)
        return 0;
    size_t right = 0;
    for (size_t m = 0; m < found.n; m++) {
        const size_t k = nearest(truth, found.at[m]);
        const bool forward = m == 0 || begins(truth, k);
        const double true_s = interval(truth, k, forward), found_s = interval(found, m, forward);
        const bool phase = fabs(found.at[m] - truth.at[k]) < near_part * true_s;
        const bool period = fabs(found_s - true_s) < near_part * true_s;
        right += phase && period; /* never two for one: they would stand too close for the period */
    }
    return (double)right / (double)(truth.n > found.n ? truth.n : found.n);
}

/* Every other beat of each passage. */
static size_t halve(struct times t, size_t first, double *out)
{
    size_t n = 0, in_passage = 0;
    for (size_t i = 0; i < t.n; i++) {
        in_passage = begins(t, i) ? 0 : in_passage + 1;
        if (in_passage % 2 == first)
            out[n++] = t.at[i];
    }
    return n;
}

/* What lies halfway between beats, with the beats or without; nothing in a stop. */
static size_t between(struct times t, bool beats, double *out)
{
    size_t n = 0;
    for (size_t i = 0; i < t.n; i++) {
        if (beats)
            out[n++] = t.at[i];
        if (!ends(t, i))
            out[n++] = (t.at[i] + t.at[i + 1]) / 2;
    }
    return n;
}

double score_continuity(struct times truth, struct times found, enum level level)
{
    double *at = xcalloc(2 * truth.n + 1, sizeof *at), best = 0;
    struct times as = {at, 0};
    switch (level) {
    case LEVEL_SAME:
        best = continuity(truth, found);
        break;
    case LEVEL_HALF:
        for (size_t first = 0; first < 2; first++) {
            as.n = halve(truth, first, at);
            best = fmax(best, continuity(as, found));
        }
        break;
    case LEVEL_DOUBLE:
    case LEVEL_OFF_BEAT:
        as.n = between(truth, level == LEVEL_DOUBLE, at);
        best = continuity(as, found);
        break;
    default:
        break;
    }
    free(at);
    return best;
}

struct beat_score score_beats(struct times truth, struct times found)
{
    struct beat_score s = {
        .f = score_f(truth, found, near_s),
        .cml_t = score_continuity(truth, found, LEVEL_SAME),
        .bias_ms = score_bias_ms(truth, found, near_s),
        .level = LEVEL_NONE,
    };
    for (enum level k = LEVEL_SAME; k < LEVEL_NONE; k++) {
        const double part = score_continuity(truth, found, k);
        if (part > s.aml_t && part >= 0.5)
            s.level = k;
        s.aml_t = fmax(s.aml_t, part);
    }
    return s;
}
