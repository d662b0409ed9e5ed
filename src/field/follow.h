/* A camera followed from frame to frame: the box stands still, so only where it looks, its roll and
 * its zoom move. Each frame is held to the lines from where the two before it lead.
 *
 * A camera that loses the lines is said to be lost at once, and looks for them again around where it
 * was, ever further; one that is a line too far is found out by the numbers, which stand at every
 * other line. */
#ifndef FIELD_FOLLOW_H
#define FIELD_FOLLOW_H

#include "field/lock.h"

struct follow_ask {
    struct camera camera; /* of the first frame */
    const struct grid *grid;
    double sideline_width; /* inches; 0: none */
};

struct follow {
    struct follow_ask ask;
    struct paint_list paint;
    struct camera last;              /* that held */
    double speed[CAMERA_PARAMETERS]; /* a second, from the two before; 0 when there are none */
    int64_t last_us;
    bool begun, held;
    double share; /* of the expected paint that a held frame has, smoothed */
    int lost;     /* frames since */
    double unsure[CAMERA_PARAMETERS][CAMERA_PARAMETERS];
};

enum follow_state {
    FOLLOW_HELD,
    FOLLOW_LOST,   /* too few lines are where they should be */
    FOLLOW_SLIPPED /* the numbers are at the lines between: held a line too far */
};

struct follow_frame {
    enum follow_state state;
    struct lock_fit fit; /* HELD: the camera; else the last one that held */
};

void follow_begin(struct follow *f, const struct follow_ask *ask);
/* What is not known of where the camera stands, of its lens and of the crown (adjust.h): from now on
 * it is in each frame's error. Without it they are taken for known. */
void follow_unsure(struct follow *f, double cov[CAMERA_PARAMETERS][CAMERA_PARAMETERS]);
/* Frames in the order of their times (microseconds). */
void follow_frame(struct follow *f, const struct luma *picture, int64_t us,
                  struct follow_frame *out);
void follow_end(struct follow *f);

/* Do the numbers stand at the tens? Positive: more is painted beside the 10-yard lines than beside
 * those between; negative: the other way; 0: not seen. */
double numbers_at_tens(const struct luma *picture, const struct camera *c, const struct grid *g);

#endif
