/* The steps between onsets and beats, on a time axis bent so that the expected tempo is one beat
 * per unit: u. */
#ifndef COUNT_BEATS_INNER_H
#define COUNT_BEATS_INNER_H

#include "count/beats.h"

/* Clip time <-> u, straight between knots, running on beyond the outer ones. */
struct warp {
    double *t, *u; /* us and beats, both rising */
    size_t n;      /* >= 2 */
    bool guessed;  /* no tempo was expected */
};
struct warp warp_make(struct arena *a, const struct beat_prior *p, int64_t from_us, int64_t to_us);
double warp_u(const struct warp *w, double t);
double warp_t(const struct warp *w, double u);

/* Onsets on that axis, weight 1 for a usual strong one. */
struct hits {
    double *u, *weight;
    size_t n;
};

double beats_expected_bpm(const struct beat_prior *p, double t);

/* How much likelier a beat is at each look than none (log odds, capped); heap memory. */
double *beats_evidence(const struct beat_sound *s);

/* That evidence, or a part of it. */
struct looks {
    const double *ob;
    size_t n;
};

/* What gaps between beats a path may have, in looks. */
struct path_tempo {
    double *gap; /* expected at every look; NULL: usual_gap everywhere */
    double usual_gap;
    double least_gap, most_gap; /* least >= 2 */
    double width, weight; /* cost of a log ratio x to the expected: weight (x / width)^2 / 2 */
    double each;          /* what a beat must be worth: else half the tempo is the better path */
};
/* The best path through all looks; out has room for n. Returns how many beats, in looks, rising. */
size_t beats_free_path(struct looks looks, const struct path_tempo *tempo, double *out);

/* The same beats the other way round. */
void beats_reverse(double *look, size_t n);

/* The counts from a tie on, in looks: from each to the next, and the hold between them (0). */
struct count_line {
    double *gap, *hold;
    size_t n; /* >= 1; behind the last its gap goes on */
};
/* The best path that follows the counts from a look on, which a beat lies near (or exactly on).
 * As above. */
size_t beats_follow(struct looks looks, double from, bool exactly, const struct count_line *line,
                    double *out);
/* The path that follows the map's ties through all of the sound, in looks; 0 when it has no tie, or
 * no set with a tempo. out has room for s->n_rises. */
size_t beats_drill_path(const double *ob, const struct beat_sound *s, const struct map *m,
                        double *out);

/* A beat on its way: where the curve through its neighbours puts it. */
struct fine {
    double u, slope; /* beats of u per beat */
    double weight;   /* of the onset on it, 0 when there is none */
    double off;      /* beats from there to the onset within reach; NAN when there is none */
    bool heard;
};
void beats_refine(const struct hits *h, const double *u, size_t n, struct fine *out);
/* Beats and the halves between them fit twice the tempo as well. When every other beat is clearly
 * the weaker, takes these out of look; returns how many stay. */
size_t beats_thin_out(const struct fine *f, double *look, size_t n);

#define BEATS_SLOWEST_BPM 60.0 /* that is looked for without a written tempo */

struct finder {
    struct arena *a;
    const struct beat_sound *sound;
    const struct warp *w;
    const struct hits *hits;
    const double *ob; /* evidence at every look */
    bool tied;        /* a tie says what is the beat */
    struct beats *out;
    size_t cap, cap_runs;
};
double beats_time(const struct finder *fd, double look);
/* Makes the runs of a path. */
void beats_add_path(struct finder *fd, const double *look, size_t n);

#endif
