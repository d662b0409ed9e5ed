#include "plan/reps.h"

struct reps plan_reps(const struct line *line, const struct line_chunk *c, struct track *track)
{
    return (struct reps){c, plan_track_ends(track, c->lead_steps),
                         plan_track_ends(track, c->rep_steps), track->past, line->row_most};
}

void plan_next_rep(const struct reps *r, int rep, struct place *at, int *begins)
{
    const struct line_chunk *c = r->c;
    const int *ends = rep == 0 ? r->lead : r->ends;
    const int length = rep == 0 ? c->lead_steps : c->rep_steps;
    const int hard = c->hard && !(rep == 0 && c->walk_steps > 0);
    const bool rested = ends[at->t] - length != at->t;
    int row = c->hard && !rested ? at->row + hard : hard;
    if (row > r->row_most && !c->kept) {
        at->t = r->past[at->t];
        row = hard;
    }
    at->t = ends[at->t];
    at->row = row < r->row_most ? row : r->row_most;
    if (begins)
        *begins = at->t - length;
}
