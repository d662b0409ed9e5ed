/* From a score to the drill's sets.
 *
 * A set begins at every marker, or every so many measures. What is counted is the meter's beat:
 * its unit, in compound meters (6, 9, 12 ... over 8 or smaller) three units; or the beat that is
 * asked for. Counts run through the whole piece; a pickup of less than a count is left out, the last
 * count is held out to its end. A set begins on a count: a marker up to a quarter of one beside it
 * is moved there, which is said, and one farther off is refused.
 *
 * Tempos: each set takes as long as its music to half a millisecond. Where its tempo changes so
 * that no straight line over its counts tells where they are, it is parted at a count (ramp.h), and
 * the parts are called C, C+8 ... */
#ifndef SCORE_SETS_H
#define SCORE_SETS_H

#include "score/score.h"
#include "show/show.h"

enum count_beat { BEAT_OF_METER, BEAT_EIGHTH, BEAT_QUARTER, BEAT_DOTTED_QUARTER, BEAT_HALF };

/* "eighth" "quarter" "dotted-quarter" "half"; false for another word. */
bool count_beat_named(const char *name, enum count_beat *out);
/* The beat of a meter, in quarters. */
double count_beat_of(struct meter m, enum count_beat beat);

struct sets_wish {
    enum count_beat beat;
    int every;    /* measures; 0: at the markers when there are two or more, else 8 */
    bool markers; /* at the markers, however many */
};

/* What a set of the list is besides. */
struct set_place {
    double s, seconds;   /* from the beginning of count 1 of the first; how long it takes */
    const char *measure; /* that it begins in */
};

struct sets_made {
    struct set_list list;    /* hold 0, line 0; tempo_end equals tempo in a steady set */
    struct set_place *place; /* of each */
    const char **said;       /* what a person should look at, each a line */
    size_t n_said;
};

enum { SETS_MOST = 1000 };

/* False with ERR_INPUT, without the file's name: no marker, a marker or a boundary off the beat, a
 * set with more counts or another tempo than a table may hold, too many sets. */
bool score_sets(struct arena *a, const struct score *score, const struct sets_wish *wish,
                struct sets_made *out, struct err *e);

#endif
