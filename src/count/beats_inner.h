/* The steps between onsets and beats, on a time axis bent so that the expected tempo is one beat
 * per unit: u. */
#ifndef COUNT_BEATS_INNER_H
#define COUNT_BEATS_INNER_H

#include "count/beats.h"

/* Clip time <-> u, straight between knots, running on beyond the outer ones. */
struct warp {
    double *t, *u;          /* us and beats, both rising */
    size_t n;               /* >= 2 */
    bool guessed;           /* no tempo was expected */
    double lowest, highest; /* how much slower or faster than expected may be: around 1 */
};
struct warp warp_make(struct arena *a, const struct beat_prior *p, int64_t from_us, int64_t to_us);
double warp_u(const struct warp *w, double t);
double warp_t(const struct warp *w, double u);

/* Onsets on that axis, weight 1 for a usual strong one. */
struct hits {
    double *u, *weight;
    size_t n;
};

/* The played tempo as a multiple of the expected one, along u in even steps. */
struct pulse {
    double from, step; /* u of the first value, and between values */
    double *ratio;
    double *sure; /* log odds against chance, about; > 4 is a beat */
    size_t n;
};
struct pulse pulse_find(struct arena *a, const struct hits *h, const struct warp *w);
double pulse_ratio(const struct pulse *p, double u);
double pulse_sure(const struct pulse *p, double u);

/* Beats from u = from to u = to along the pulse, by dynamic programming; heap memory. */
double *beats_chain(const struct hits *h, const struct pulse *p, double from, double to, size_t *n);

/* A beat on its way: where the curve through its neighbours puts it. */
struct fine {
    double u, slope; /* beats of u per beat */
    double weight;   /* of the onset on it, 0 when there is none */
    bool heard;
};
void beats_refine(const struct hits *h, const double *u, size_t n, struct fine *out);
/* Beats and the halves between them fit twice the tempo as well. When every other beat is clearly
 * the weaker, takes these out of u; returns how many stay. */
size_t beats_thin_out(const struct fine *f, double *u, size_t n);

#endif
