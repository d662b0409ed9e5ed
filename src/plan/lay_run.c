/* What is left over. */
#include "plan/lay.h"

enum { RUNS_MOST = 2 };

static double play_of(const struct plan_input *in, int set)
{
    return in->sets[set].play_s >= 0 ? in->sets[set].play_s : 0;
}

static bool known(const struct plan_input *in, int set)
{
    return set < (int)in->n_sets && in->sets[set].play_s >= 0;
}

/* The last set of the part from `first` on that is played in so many seconds; below `first` when not
 * even that set is. */
static int part_until(const struct plan_input *in, int first, double seconds)
{
    int last = first;
    for (; known(in, last) && play_of(in, last) <= seconds; last++)
        seconds -= play_of(in, last);
    return last - 1;
}

static struct plan_work run_of(const struct plan_input *in, int first, int last, double seconds)
{
    struct plan_work w = {.first_set = first, .last_set = last, .setup_s = in->rules.setup_s};
    double play = 0;
    for (int s = first; s <= last; s++)
        play += play_of(in, s);
    w.rep_s = (int)(play + in->rules.reset_s + 0.5);
    w.reps = seconds >= RUNS_MOST * w.rep_s ? RUNS_MOST : 1;
    w.seconds = w.setup_s + w.reps * w.rep_s;
    plan_lay_sets(in, &w);
    return w;
}

/* Nobody runs a show all evening: what is left behind that is for whatever needs it. */
static const char *name_of(struct layer *l, const struct plan_work *w, double seconds)
{
    const struct plan_set *sets = l->in->sets;
    const bool whole = w->first_set == 0 && w->last_set == (int)l->in->n_sets - 1;
    const char *what = whole ? "the show"
                       : w->first_set == w->last_set
                           ? arena_printf(l->a, "set %s", sets[w->first_set].label)
                           : arena_printf(l->a, "sets %s to %s", sets[w->first_set].label,
                                          sets[w->last_set].label);
    return arena_printf(l->a, "run of %s%s%s", what, w->reps > 1 ? ", twice" : "",
                        seconds >= (RUNS_MOST + 1) * w->rep_s ? "; then any part of it again" : "");
}

/* The whole show where it fits; else it goes on where the run before a break stopped. Returns where
 * this one does. */
static int lay_run(struct layer *l, int from, int to, int first)
{
    const struct plan_input *in = l->in;
    const double seconds = (to - from) * PLAN_MINUTE_S - in->rules.setup_s;
    const double play = seconds - in->rules.reset_s;
    int last = part_until(in, 0, play);
    if (last == (int)in->n_sets - 1)
        first = 0;
    else
        last = part_until(in, first, play);
    if (last < first && first > 0)
        last = part_until(in, first = 0, play);
    if (last < first || play <= 0)
        return first;
    struct plan_block *b = plan_lay_block(l, PLAN_RUN, from, to);
    b->list = arena_alloc(l->a, sizeof *b->list);
    b->list[b->n_list++] = run_of(in, first, last, seconds);
    b->list[0].start_s = b->start_s;
    b->name = name_of(l, &b->list[0], seconds);
    b->reps = b->list[0].reps;
    return last + 1 < (int)in->n_sets ? last + 1 : 0;
}

/* Minutes that a run may take here, so that the rhythm of breaks is kept, before a fixed item too. */
static int room_here(const struct track *t, const struct place *at)
{
    int room = t->free[at->t];
    struct place end = {at->t + room, at->w + room, 0};
    if (t->work == 0)
        return room;
    if (at->t + room < t->minutes && !plan_track_ends_well(t, &end))
        room -= t->pause;
    return room < t->work - at->w ? room : t->work - at->w;
}

void plan_lay_runs(struct layer *l)
{
    const struct track *t = l->track;
    struct place at = l->out->end;
    int set = 0;
    while (at.t < t->minutes && !l->in->rules.no_run) {
        const int room = room_here(t, &at);
        if (room >= l->in->rules.least) {
            set = lay_run(l, at.t, at.t + room, set);
            at.t += room;
            at.w += room;
        } else if (t->work > 0 && at.w > 0 && t->free[at.t] > t->pause) {
            at.t += t->pause; /* they rest */
            at.w = 0;
        } else if (!plan_track_pass(t, &at)) {
            break;
        }
    }
}
