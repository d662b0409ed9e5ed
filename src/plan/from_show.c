#include "plan/from_show.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "plan/paths.h"

/* --- sets ------------------------------------------------------------------------------------ */

enum { BACKWARD_IN = 90 }; /* four steps away from the box, more than across */

/* Where everybody stands at every set: at[performer * n_sets + set]. */
struct drill {
    const struct show *show;
    struct dot *at;
    bool *known;
};

static struct drill drill_of(const struct show *show, struct arena *mem)
{
    const size_t n = show->n_performers * (show->n_sets + 1);
    struct drill d = {show, arena_alloc(mem, n * sizeof *d.at),
                      arena_alloc(mem, n * sizeof *d.known)};
    for (size_t i = 0; i < show->n_dots; i++) {
        const size_t at =
            (size_t)show->dots[i].performer * show->n_sets + (size_t)show->dots[i].set;
        d.at[at] = show->dots[i];
        d.known[at] = true;
    }
    return d;
}

/* The paths of the move to set s (from 1) that are known; returns how many. */
static size_t paths_to(const struct drill *d, size_t s, struct path *out)
{
    const struct grid *grid = &d->show->grid;
    size_t n = 0;
    for (size_t p = 0; p < d->show->n_performers; p++) {
        const size_t at = p * d->show->n_sets + s;
        if (!d->known[at] || !d->known[at - 1] || d->show->performers[p].removed)
            continue;
        const struct dot *from = &d->at[at - 1], *to = &d->at[at];
        out[n++] = (struct path){from->x * GRID_ACROSS_IN, grid_depth_in(grid, from->y),
                                 to->x * GRID_ACROSS_IN, grid_depth_in(grid, to->y), (int)p};
    }
    return n;
}

static double step_of(const struct path *p, int counts)
{
    return hypot(p->x1 - p->x0, p->y1 - p->y0) / counts;
}

/* The longest step of the move and whether somebody goes backward. */
static void add_steps(const struct path *paths, size_t n, struct plan_set *set)
{
    for (size_t i = 0; i < n; i++) {
        const double dx = paths[i].x1 - paths[i].x0, dy = paths[i].y1 - paths[i].y0;
        const double step = step_of(&paths[i], set->counts);
        set->step_in = step > set->step_in ? step : set->step_in;
        set->backward |= dy > BACKWARD_IN && dy > fabs(dx);
    }
}

/* Count 1 is the beginning of the move. */
static void add_meeting(const struct show *show, struct path *paths, size_t n, struct plan_set *set,
                        struct arena *mem)
{
    struct meeting m;
    const size_t pairs = paths_meet(paths, n, &m);
    if (pairs == 0)
        return;
    set->walk = arena_printf(mem, "%s and %s come within %.0f in of each other near count %.0f",
                             show->performers[m.a].label, show->performers[m.b].label, m.inches,
                             1 + m.part * set->counts);
    if (pairs > 1)
        set->walk =
            arena_printf(mem, "%s (%zu pairs come within %g in)", set->walk, pairs, PATHS_NEAR_IN);
}

static void add_moves(const struct show *show, struct plan_set *sets, struct arena *mem)
{
    const struct drill d = drill_of(show, mem);
    struct path *paths = arena_alloc(mem, (show->n_performers + 1) * sizeof *paths);
    for (size_t s = 1; s < show->n_sets; s++) {
        if (sets[s].counts <= 0)
            continue;
        const size_t n = paths_to(&d, s, paths);
        add_steps(paths, n, &sets[s]);
        add_meeting(show, paths, n, &sets[s], mem);
    }
}

struct plan_set *plan_show_sets(const struct show *show, struct moves moves, struct arena *a)
{
    struct plan_set *out = arena_alloc(a, (show->n_sets + 1) * sizeof *out);
    for (size_t i = 0; i < show->n_sets; i++)
        out[i] = (struct plan_set){
            .label = arena_strdup(a, show->sets[i].label),
            .counts = show->sets[i].counts,
            .play_s = tempo_known(&moves.at[i]) ? tempo_length(&moves.at[i]) : NAN,
            .bpm_from = show->sets[i].tempo,
            .bpm_to = show->sets[i].tempo_end,
        };
    add_moves(show, out, a);
    return out;
}

static int longest_first(const void *a, const void *b)
{
    const struct plan_leap *x = a, *y = b;
    return (x->step_in < y->step_in) - (x->step_in > y->step_in);
}

size_t plan_show_leaps(const struct show *show, struct arena *a, const struct plan_leap **out)
{
    const struct drill d = drill_of(show, a);
    struct path *paths = arena_alloc(a, (show->n_performers + 1) * sizeof *paths);
    struct plan_leap *leaps = arena_alloc(a, (show->n_dots + 1) * sizeof *leaps);
    size_t found = 0;
    for (size_t s = 1; s < show->n_sets; s++) {
        const size_t n = show->sets[s].counts > 0 ? paths_to(&d, s, paths) : 0;
        for (size_t i = 0; i < n; i++) {
            const double step_in = step_of(&paths[i], show->sets[s].counts);
            if (step_in > PLAN_STEP_MOST_IN)
                leaps[found++] = (struct plan_leap){paths[i].who, (int)s, step_in};
        }
    }
    qsort(leaps, found, sizeof *leaps, longest_first);
    *out = leaps;
    return found;
}

bool plan_show_seconds(const char *text, struct moves moves, struct plan_set *sets, struct err *e)
{
    const char *colon = strrchr(text, ':');
    char *end = NULL;
    const double seconds = colon ? strtod(colon + 1, &end) : 0;
    if (!colon || end == colon + 1 || *end || !(seconds > 0 && seconds <= 3600))
        return err_set(e, ERR_USAGE, "plan: write --seconds SET:SECONDS, not '%s'", text);
    struct arena scratch = {0};
    const int set = move_find(moves, arena_strndup(&scratch, text, (size_t)(colon - text)), e);
    arena_free(&scratch);
    if (set >= 0)
        sets[set].play_s = seconds;
    return set >= 0;
}

static bool speaks_of_collision(const struct fault *f)
{
    return strcasestr(f->name, "collision") || strcasestr(f->words, "collision");
}

void plan_show_collision(const struct show *show, int fault, int set, struct plan_set *sets,
                         struct arena *mem)
{
    static const char marked[] = "is marked in it";
    if (set < 0 || !speaks_of_collision(&show->faults[fault]))
        return;
    const char *why = sets[set].walk;
    if (why && strstr(why, marked))
        return;
    sets[set].walk = arena_printf(mem, "%s%sa %s %s", why ? why : "", why ? "; " : "",
                                  show->faults[fault].name, marked);
}

/* --- groups ---------------------------------------------------------------------------------- */

static bool is_leaf(const struct show *show, size_t section)
{
    for (size_t i = 0; i < show->n_sections; i++)
        if (show->sections[i].up == (int)section)
            return false;
    return true;
}

static bool on_roster(const struct show *show, int section)
{
    for (size_t i = 0; i < show->n_performers; i++)
        if (show->performers[i].section == section && !show->performers[i].removed)
            return true;
    return false;
}

bool plan_show_groups(const struct show *show, const struct plan_attend *who, struct arena *a,
                      struct plan_groups *out, struct err *e)
{
    int *with = arena_alloc(a, (who->n_with + 1) * sizeof *with);
    for (size_t i = 0; i < who->n_with; i++)
        if (!section_named(show, who->with[i], &with[i], e))
            return false;
    *out = (struct plan_groups){
        .at = arena_alloc(a, (show->n_sections + 1) * sizeof *out->at),
        .of_section = arena_alloc(a, (show->n_sections + 1) * sizeof(int)),
    };
    for (size_t i = 0; i < show->n_sections; i++) {
        out->of_section[i] = PLAN_EVERYONE;
        if (!is_leaf(show, i) || (int)i == show->root)
            continue;
        bool attends = who->n_with == 0;
        for (size_t k = 0; k < who->n_with; k++)
            attends |= section_within(show, (int)i, with[k]);
        out->of_section[i] = (int)out->n;
        out->at[out->n++] = (struct plan_group){
            .name = arena_strdup(a, show->sections[i].name),
            .attends = attends,
            .apart = !who->together,
            .there = on_roster(show, (int)i),
            .up = show->sections[i].up == show->root ? -1 : show->sections[i].up,
        };
    }
    return true;
}

bool plan_show_attends(const struct show *show, const struct plan_groups *groups, int section)
{
    for (size_t i = 0; i < show->n_sections; i++)
        if (groups->of_section[i] >= 0 && groups->at[groups->of_section[i]].attends &&
            section_within(show, (int)i, section))
            return true;
    return false;
}
