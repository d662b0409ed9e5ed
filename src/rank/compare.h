/* Did it get better? One fault of one section in two choices of clips: how many marks in how many
 * watched minutes, and whether the difference is more than noise.
 *
 * What is compared
 *   - Only sets that both played, over the stretches in which they were watched, reviewer by
 *     reviewer: a set in which one pair of eyes watched one side, and the same pair the other, is a
 *     stratum with its marks and minutes (rank/stat_strata.h). Where nobody watched both, minutes
 *     of all reviewers are added up, and ratios up to COMPARE_EYES are no difference.
 *   - Where no clip of either side is tied to sets, time alone is compared. Where one side is, and
 *     the other is not, nothing is.
 *   - Marks of one fault and section that a reviewer makes within COMPARE_SIGHT_US of the first are
 *     one sighting. Sightings are tested. Where they still scatter more than Poisson counts between
 *     sets (stat_dispersion() over all lines) the test allows for that.
 *   - False discoveries are held at COMPARE_LEVEL over all lines (Benjamini & Hochberg 1995). */
#ifndef RANK_COMPARE_H
#define RANK_COMPARE_H

#include "rank/list.h"
#include "rank/report.h"
#include "rank/stat_strata.h"

#define COMPARE_LEVEL 0.05
#define COMPARE_POWER 0.8
/* Two reviewers may see 30 % less and 30 % more than usual; our assumption, no source. */
#define COMPARE_EYES (1.3 / 0.7)
enum { COMPARE_SIGHT_US = 3000000 }; /* our assumption, no source */

enum verdict {
    VERDICT_FIXED, /* was there, is not there, and enough was watched to say so */
    VERDICT_FEWER, /* fewer a minute, beyond noise */
    VERDICT_SAME,  /* no difference that could not be noise */
    VERDICT_MORE,  /* more a minute, beyond noise */
    VERDICT_NEW,   /* was not there, is there now, beyond noise */
    VERDICT_FIRST, /* was not there, is there now; not shown to be more than chance */
    VERDICT_UNSEEN, /* was there, was not seen now, but too few marks or too little watched to call it fixed */
    VERDICT_UNSURE, /* nothing of it can be compared: no rate, no verdict */
};
const char *verdict_name(enum verdict v);

struct change {
    int fault;
    int from_marks, to_marks;     /* clean ones too */
    int from_counted, to_counted; /* of them, those that can be compared */
    int from_seen, to_seen;       /* sightings among those */
    bool tested;
    struct stat_two_rates rates; /* of the counted marks, to over from, as if each came by itself */
    double p; /* of the sightings, adjusted over the whole comparison: the verdict's */
    enum verdict verdict;
};

struct compared {
    int section, performer; /* performer >= 0: theirs alone */
    struct change *changes;
    size_t n;
};

struct comparison_side {
    const struct report_clip *clips;
    size_t n_clips;
    double watched_min, length_min;
    double compared_min; /* of all reviewers that are compared, added up */
    int left_out;        /* marks that are not compared */
};

enum compare_basis {
    COMPARE_SETS,    /* sets that both played */
    COMPARE_TIME,    /* nothing is tied on either side */
    COMPARE_ONE_TIED /* nothing: one side alone is tied */
};

struct comparison {
    const struct show *show;
    const char *title;
    const char *for_whom; /* "" for every section */
    struct comparison_side from, to;
    struct compared *parts;
    size_t n_parts;
    enum compare_basis basis;
    bool other_eyes; /* nobody watched both */
    double dispersion;
    size_t n_tested;
    double halving;           /* rank_halving(), filled by the caller who wants it */
    const bool *set_compared; /* by position, with COMPARE_SETS */
};

/* --- what comes in --------------------------------------------------------------------------- */

enum compare_side { COMPARE_FROM, COMPARE_TO };

/* So much of a set was watched by somebody on a side; set -1: of what is in no set. Several rows of
 * the same add up. */
struct compare_watched {
    enum compare_side side;
    int reviewer, set;
    double minutes;
};

struct compare_mark {
    enum compare_side side;
    int reviewer, set; /* -1: in no set */
    int part, fault;   /* part: position in comparison.parts */
    size_t clip;
    int64_t at_us;
};

struct compare_data {
    const struct compare_watched *watched;
    struct compare_mark *marks; /* put in order by rank_compare() */
    size_t n_watched, n_marks, n_reviewers, n_sets;
};

/* Fills the changes of c->parts (every fault with marks, by show position) and what c says of the
 * comparison as a whole. Memory is the arena's. */
void rank_compare(const struct compare_data *data, struct arena *a, struct comparison *c);

/* Marks of one fault before from which on its halving would be seen in COMPARE_POWER of all cases,
 * when it alone changes among so many lines (rank/stat_power.h); NaN without minutes that are
 * compared, INFINITY when never. */
double rank_halving(const struct comparison *c);

#endif
