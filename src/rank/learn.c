#include "rank/learn.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

enum { STEPS = 200, HALVINGS = 60 };

/* --- the likelihood --------------------------------------------------------------------------- */

static bool watched(const struct learn_seen *o)
{
    return o->before_min > 0 && o->after_min > 0 && o->reps > 0 && o->share > 0;
}

static bool tells(const struct learn_seen *o)
{
    return watched(o) && o->before + o->after > 0;
}

/* log(theta / (1 - theta)): as a logarithm it stays finite for however many reps. */
static double log_odds(const struct learn_seen *o, double p)
{
    return log(o->after_min / o->before_min) + o->reps * log1p(-p * o->share);
}

static double theta(const struct learn_seen *o, double p)
{
    return 1 / (1 + exp(-log_odds(o, p)));
}

static double likelihood(struct learn_history h, double p)
{
    double sum = 0;
    for (size_t i = 0; i < h.n; i++) {
        const struct learn_seen *o = &h.at[i];
        if (!tells(o))
            continue;
        const double odds = log_odds(o, p);
        sum += o->after * odds - ((double)o->before + o->after) * log1p(exp(odds));
    }
    return sum;
}

/* Its derivative. */
static double slope(struct learn_history h, double p)
{
    double sum = 0;
    for (size_t i = 0; i < h.n; i++) {
        const struct learn_seen *o = &h.at[i];
        if (tells(o))
            sum += o->reps * o->share / (1 - p * o->share) *
                   (((double)o->before + o->after) * theta(o, p) - o->after);
    }
    return sum;
}

static double step_at(int k)
{
    return LEARN_MOST * k / STEPS;
}

/* Where shares differ there may be more than one top, so the highest is looked for all over first. */
static double likeliest(struct learn_history h)
{
    int best = 0;
    double most = likelihood(h, 0);
    for (int k = 1; k <= STEPS; k++) {
        const double here = likelihood(h, step_at(k));
        best = here > most ? k : best;
        most = here > most ? here : most;
    }
    double low = step_at(best > 0 ? best - 1 : 0), high = step_at(best < STEPS ? best + 1 : STEPS);
    if (slope(h, low) <= 0)
        return low;
    if (slope(h, high) >= 0)
        return high;
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = (low + high) / 2;
        *(slope(h, middle) > 0 ? &low : &high) = middle;
    }
    return (low + high) / 2;
}

/* --- how far it can be believed ---------------------------------------------------------------- */

static double dispersion_at(struct learn_history h, double p, int lines)
{
    double x2 = 0;
    if (lines < LEARN_LINES_LEAST)
        return 1;
    for (size_t i = 0, end; i < h.n; i = end) {
        double off = 0, expected = 0;
        for (end = i; end < h.n && h.at[end].line == h.at[i].line; end++) {
            const struct learn_seen *o = &h.at[end];
            if (!tells(o))
                continue;
            const double n = (double)o->before + o->after, t = theta(o, p);
            off += o->after - n * t;
            expected += n * t * (1 - t);
        }
        if (expected > 0)
            x2 += off * off / expected;
    }
    return fmax(x2 / (lines - 1), 1);
}

/* The deviance up to which a p is in the interval. */
static double limit_of(double dispersion, int lines)
{
    const double upper = (1 + LEARN_LEVEL) / 2;
    if (lines < LEARN_LINES_LEAST)
        return gsl_cdf_chisq_Pinv(LEARN_LEVEL, 1);
    const double t = gsl_cdf_tdist_Pinv(upper, lines - 1);
    return t * t * dispersion;
}

/* From an end of what p can be towards the most likely one: the first p that is in the interval. */
static double edge(struct learn_history h, double end, double p, double limit)
{
    const double least = likelihood(h, p) - limit / 2;
    double out = end, in = p;
    if (likelihood(h, end) >= least)
        return end;
    for (int k = 1; k < STEPS; k++) {
        const double x = end + (p - end) * k / STEPS;
        if (likelihood(h, x) >= least) {
            in = x;
            break;
        }
        out = x;
    }
    for (int i = 0; i < HALVINGS; i++) {
        const double middle = (out + in) / 2;
        *(likelihood(h, middle) >= least ? &in : &out) = middle;
    }
    return out;
}

/* --- the whole -------------------------------------------------------------------------------- */

static void count(struct learn_history h, struct learned *out)
{
    for (size_t i = 0, end; i < h.n; i = end) {
        bool seen = false, told = false;
        for (end = i; end < h.n && h.at[end].line == h.at[i].line; end++) {
            const struct learn_seen *o = &h.at[end];
            seen |= watched(o);
            told |= tells(o);
            out->before += tells(o) ? o->before : 0;
            out->after += tells(o) ? o->after : 0;
        }
        out->lines++;
        *(told ? &out->used : seen ? &out->unmarked : &out->unwatched) += 1;
    }
}

struct learned learn_share(struct learn_history seen)
{
    struct learned out = {.p = NAN, .low = NAN, .high = NAN, .dispersion = 1};
    count(seen, &out);
    if (out.used == 0)
        return out;
    out.p = likeliest(seen);
    out.dispersion = dispersion_at(seen, out.p, out.used);
    const double limit = limit_of(out.dispersion, out.used);
    out.low = edge(seen, 0, out.p, limit);
    out.high = edge(seen, LEARN_MOST, out.p, limit);
    out.enough = out.used >= LEARN_LINES_LEAST && out.before >= LEARN_SEEN_LEAST &&
                 out.high - out.low < LEARN_WIDTH_MOST;
    return out;
}

/* --- words ------------------------------------------------------------------------------------ */

static const char *plural(int n)
{
    return n == 1 ? "" : "s";
}

/* "95 % 5 to 41 %; 7 lines, seen 64 times before and 40 after" */
static void rests_on(const struct learned *l, struct buf *out)
{
    buf_printf(out, "95 %% %.0f to %.0f %%; %d line%s, seen %d time%s before and %d after",
               100 * l->low, 100 * l->high, l->used, plural(l->used), l->before, plural(l->before),
               l->after);
}

void learn_sentence(const struct learned *l, bool apart, struct buf *out)
{
    const char *where = apart ? " in a sectional" : "";
    if (l->lines == 0) {
        buf_printf(out,
                   "No reps%s are ticked yet, so what a rep%s mends in this show is not known.",
                   where, where);
    } else if (l->enough) {
        buf_printf(out, "From this show's own rehearsals a rep%s mended %.0f %% of what was said (",
                   where, 100 * l->p);
        rests_on(l, out);
        buf_str(out, "); --learn history uses it. What is rehearsed is what was worst, so part of "
                     "that would have come without a rep.");
    } else if (l->used < LEARN_LINES_LEAST || l->before < LEARN_SEEN_LEAST) {
        buf_printf(out,
                   "Too little history yet of what a rep%s mends: %d of %d repped line%s can be "
                   "compared before and after, seen %d time%s before; it takes %d lines and %d "
                   "times.",
                   where, l->used, l->lines, plural(l->lines), l->before, plural(l->before),
                   LEARN_LINES_LEAST, LEARN_SEEN_LEAST);
    } else {
        buf_printf(out, "This show's history does not tell yet what a rep%s mends (", where);
        rests_on(l, out);
        buf_str(out, ").");
    }
}
