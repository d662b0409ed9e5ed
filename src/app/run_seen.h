/* What was seen of each run of the show, set by set: the minutes that somebody watched, and how often
 * a fault of a section was called.
 *
 * A run is what clips of one date and run number show; they go by the clock of the first of them that
 * is tied (app/one_run.h). What was watched from two places, or by two people, counts once, and marks
 * of one fault and section within COMPARE_SIGHT_US of the first are one sighting, whoever made them.
 * So two pairs of eyes may find more in the same minutes than one. What is not tied to a set has
 * neither minutes nor sightings here. */
#ifndef APP_RUN_SEEN_H
#define APP_RUN_SEEN_H

#include "app/app.h"

struct seen_run {
    const char *date;
    int64_t made_at; /* when its first clip came into the show, ms since 1970 UTC */
    double *minutes; /* watched, of each set */
};

struct sighting {
    int section, fault, set; /* a mark that names this section or somebody of it; no praise */
    size_t run;              /* position in runs */
    int64_t at_us;           /* on the run's clock */
};

struct runs_seen {
    struct seen_run *runs; /* by date, run */
    size_t n_runs;
    const struct sighting *at;
    size_t n;
};

/* Which sightings are wanted: of both. By position in the show. */
struct seen_wanted {
    const bool *sections, *faults;
};
/* Marks count whatever their state. All of it lives in mem. */
bool app_runs_seen(struct app *a, const struct seen_wanted *wanted, struct arena *mem,
                   struct runs_seen *out, struct err *e);
/* How often that fault of that section was seen in that set of that run; the time is not asked. */
int runs_seen_count(const struct runs_seen *r, const struct sighting *which);

#endif
