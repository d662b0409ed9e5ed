#include "count/taps_error.h"

#include <math.h>
#include <stdlib.h>

#include <gsl/gsl_cdf.h>

#include "base/arena.h"

/* Steps a beat, in standard deviations of the scatter. */
static const double wander[TAP_WANDERS] = {0, 0.1, 0.2, 0.35, 0.6, 1, 1.7, 3, 6};
static const double usual_wander = 0.5; /* of the scatter, where three taps leave it open */

/* Sums of products of the columns 1, w and t. */
struct sums {
    double aa, aw, ww, at, wt, tt;
};

static void add(struct sums *s, double a, double w, double t)
{
    s->aa += a * a;
    s->aw += a * w;
    s->ww += w * w;
    s->at += a * t;
    s->wt += w * t;
    s->tt += t * t;
}

/* The columns as they would be if taps scattered independently, by the filter of a random walk seen
 * through noise (Kalman 1960), and the log determinant of what they scatter by. */
static double whiten(const struct tap_points *p, double wander_is, struct sums *out)
{
    const double q = wander_is * wander_is;
    double walk[3] = {0, 0, 0}, variance = q, logs = 0;
    *out = (struct sums){0};
    for (size_t i = 0; i < p->n; i++) {
        const double column[3] = {1, p->w[i] - p->w[0], p->t[i]};
        const double all = variance + 1, gain = variance / all, root = sqrt(all);
        double white[3];
        for (int k = 0; k < 3; k++) {
            white[k] = (column[k] - walk[k]) / root;
            walk[k] += gain * (column[k] - walk[k]);
        }
        add(out, white[0], white[1], white[2]);
        logs += log(all);
        variance *= 1 - gain;
        variance += i + 1 < p->n ? q * (p->beat[i + 1] - p->beat[i]) : 0;
    }
    return logs;
}

static double det(const struct sums *s)
{
    return s->aa * s->ww - s->aw * s->aw;
}

/* What is left of t when the best line is taken off. */
static double residual(const struct sums *s)
{
    const double slope = (s->aa * s->wt - s->aw * s->at) / det(s),
                 offset = (s->at - slope * s->aw) / s->aa;
    return fmax(s->tt - offset * s->at - slope * s->wt, 0);
}

/* X'MX of the columns 1 and w, M the covariance of a random walk of steps of 1. */
static struct sums walked(const struct tap_points *p)
{
    struct sums s = {0};
    double ones = 0, ws = 0;
    for (size_t i = p->n; i-- > 0;) {
        const double beats = i > 0 ? p->beat[i] - p->beat[i - 1] : 1;
        ones += 1;
        ws += p->w[i] - p->w[0];
        s.aa += beats * ones * ones;
        s.aw += beats * ones * ws;
        s.ww += beats * ws * ws;
    }
    return s;
}

/* Covariance of the line of least squares when taps scatter by sd and wander: (X'X)^-1 X'SX (X'X)^-1,
 * for w counted from 0 and not from the first tap's. */
static void sandwich(const struct tap_points *p, double sd, double wander_is, double cov[3])
{
    struct sums plain;
    whiten(p, 0, &plain);
    const struct sums walk = walked(p);
    const double q = wander_is * wander_is, d = det(&plain);
    const double m[3] = {plain.aa + q * walk.aa, plain.aw + q * walk.aw, plain.ww + q * walk.ww};
    const double a[2] = {plain.ww / d, -plain.aw / d}, b[2] = {-plain.aw / d, plain.aa / d};
    const double v = sd * sd, w0 = p->w[0];
    const double aa = v * (a[0] * a[0] * m[0] + 2 * a[0] * a[1] * m[1] + a[1] * a[1] * m[2]);
    const double ab =
        v * (a[0] * b[0] * m[0] + (a[0] * b[1] + a[1] * b[0]) * m[1] + a[1] * b[1] * m[2]);
    const double bb = v * (b[0] * b[0] * m[0] + 2 * b[0] * b[1] * m[1] + b[1] * b[1] * m[2]);
    cov[0] = aa - 2 * w0 * ab + w0 * w0 * bb;
    cov[1] = ab - w0 * bb;
    cov[2] = bb;
}

static void of_three(const struct tap_points *p, double scatter_us, struct tap_cov *out)
{
    struct sums plain;
    whiten(p, 0, &plain);
    *out = (struct tap_cov){.weight = {1}};
    sandwich(p, fmax(scatter_us, sqrt(residual(&plain))), usual_wander, out->cov[0]);
}

void tap_cov_of(const struct tap_points *p, double scatter_us, struct tap_cov *out)
{
    if (p->n < 4) {
        of_three(p, scatter_us, out);
        return;
    }
    double likely[TAP_WANDERS], most = -INFINITY, sum = 0;
    const double freedom = (double)p->n - 2;
    *out = (struct tap_cov){.freedom = (int)freedom};
    for (int i = 0; i < TAP_WANDERS; i++) {
        struct sums s;
        const double logs = whiten(p, wander[i], &s), rest = fmax(residual(&s), 1);
        likely[i] = -(logs + log(det(&s)) + freedom * log(rest)) / 2;
        most = fmax(most, likely[i]);
        sandwich(p, sqrt(rest / freedom), wander[i], out->cov[i]);
    }
    for (int i = 0; i < TAP_WANDERS; i++)
        sum += out->weight[i] = (1 + 2 * wander[i]) * exp(likely[i] - most);
    for (int i = 0; i < TAP_WANDERS; i++)
        out->weight[i] /= sum;
}

/* What of the mixture lies further than x from 0, above 5 %. */
static double beyond(const struct tap_cov *c, const double *variance, double x)
{
    double sum = -0.05;
    for (int i = 0; i < TAP_WANDERS; i++) {
        const double sd = sqrt(variance[i]);
        if (c->weight[i] < 1e-4 || sd <= 0)
            continue;
        sum += c->weight[i] * 2 *
               (c->freedom ? gsl_cdf_tdist_Q(x / sd, c->freedom) : gsl_cdf_ugaussian_Q(x / sd));
    }
    return sum;
}

/* The x beyond which on either side lie 5 % of distributions about 0 with these variances (regula
 * falsi, Illinois variant: Dowell & Jarratt 1971). */
static double five_per_cent(const struct tap_cov *c, const double *variance)
{
    double low = 0, high = 0, at_low = 0.95;
    const double most =
        c->freedom ? gsl_cdf_tdist_Qinv(0.025, c->freedom) : gsl_cdf_ugaussian_Qinv(0.025);
    for (int i = 0; i < TAP_WANDERS; i++)
        high = fmax(high, most * sqrt(variance[i]));
    if (high <= 0)
        return 0;
    double at_high = fmin(beyond(c, variance, high), -1e-12);
    for (int round = 0; round < 60 && high - low > 1e-6 * high; round++) {
        const double x = (low * at_high - high * at_low) / (at_high - at_low);
        const double at = beyond(c, variance, x);
        if (fabs(at) < 1e-9)
            return x;
        if (at > 0) {
            low = x;
            at_low = at;
            at_high /= 2;
        } else {
            high = x;
            at_high = at;
            at_low /= 2;
        }
    }
    return high;
}

double tap_cov_error(const struct tap_cov *c, double w)
{
    double variance[TAP_WANDERS];
    for (int i = 0; i < TAP_WANDERS; i++)
        variance[i] = fmax(c->cov[i][0] + 2 * w * c->cov[i][1] + w * w * c->cov[i][2], 0);
    return five_per_cent(c, variance);
}

double tap_cov_slope(const struct tap_cov *c)
{
    double variance[TAP_WANDERS];
    for (int i = 0; i < TAP_WANDERS; i++)
        variance[i] = fmax(c->cov[i][2], 0);
    return five_per_cent(c, variance);
}
