/* The way behind a leader. */
#include <math.h>
#include <string.h>

#include "chance.h"
#include "field/ghost.h"
#include "lib/cases.h"

enum { MOST = 4 };

/* Worked by hand. A file of three in a rank, two steps apart, turns to the back: T1 goes 8 back, T2
 * and T3 come around the corner that T1 left. */
static const struct example {
    const char *name;
    struct dot_place from[MOST], to[MOST]; /* the leader first */
    size_t n;
    double part;
    struct dot_place at[MOST];
} examples[] = {
    {"at the beginning",
     {{0, 28}, {-2, 28}, {-4, 28}},
     {{0, 36}, {0, 34}, {0, 32}},
     3,
     0,
     {{0, 28}, {-2, 28}, {-4, 28}}},
    {"after a quarter the second is at the corner",
     {{0, 28}, {-2, 28}, {-4, 28}},
     {{0, 36}, {0, 34}, {0, 32}},
     3,
     0.25,
     {{0, 30}, {0, 28}, {-2, 28}}},
    {"halfway",
     {{0, 28}, {-2, 28}, {-4, 28}},
     {{0, 36}, {0, 34}, {0, 32}},
     3,
     0.5,
     {{0, 32}, {0, 30}, {0, 28}}},
    {"at the end",
     {{0, 28}, {-2, 28}, {-4, 28}},
     {{0, 36}, {0, 34}, {0, 32}},
     3,
     1,
     {{0, 36}, {0, 34}, {0, 32}}},
    /* T2's dot lies 3 beside the trail, nearest to its place (0, 30): 2 + 2 + 3 = 7 steps, of which
     * half lead 1.5 past the corner; 6 of 7 lead 2 towards the dot. */
    {"a dot beside the trail, before it is left",
     {{0, 28}, {-2, 28}},
     {{0, 36}, {3, 30}},
     2,
     0.5,
     {{0, 32}, {0, 29.5}}},
    {"a dot beside the trail, after it was left",
     {{0, 28}, {-2, 28}},
     {{0, 36}, {3, 30}},
     2,
     6.0 / 7,
     {{0, 28 + 48.0 / 7}, {2, 30}}},
    /* A square turns by a side: T1 closes it. */
    {"a square turns",
     {{0, 8}, {8, 8}, {8, 0}, {0, 0}},
     {{0, 0}, {0, 8}, {8, 8}, {8, 0}},
     4,
     0.75,
     {{0, 2}, {2, 8}, {8, 6}, {6, 0}}},
    /* Its last place is the trail's first and last: T4 stays, since T1 walks 8 steps and not 32. */
    {"who stands where the leader ends stays",
     {{0, 8}, {8, 8}, {8, 0}, {0, 0}},
     {{0, 0}, {0, 8}, {8, 8}, {0, 0}},
     4,
     0.5,
     {{0, 4}, {4, 8}, {8, 4}, {0, 0}}},
    {"nobody moves", {{0, 8}, {8, 8}}, {{0, 8}, {8, 8}}, 2, 0.5, {{0, 8}, {8, 8}}},
    {"two on one place", {{0, 8}, {0, 8}}, {{4, 8}, {2, 8}}, 2, 0.5, {{2, 8}, {1, 8}}},
    {"one who leads nobody", {{0, 8}}, {{4, 8}}, 1, 0.5, {{2, 8}}},
};

static void leads_there(void **state)
{
    const struct example *x = *state;
    struct arena a = {0};
    const struct way *w = ways_of(&a, &(struct file_walk){x->from, x->to, x->n});
    for (size_t i = 0; i < x->n; i++) {
        const struct dot_place at = way_at(&w[i], x->part);
        if (hypot(at.x - x->at[i].x, at.y - x->at[i].y) > 1e-9)
            fail_msg("number %zu at %g, %g", i + 1, at.x, at.y);
    }
    arena_free(&a);
}

/* --- any file --------------------------------------------------------------------------------- */

static double off(struct dot_place a, struct dot_place b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

static void walks_evenly(const struct way *w, struct dot_place from, struct dot_place to)
{
    enum { PIECES = 200 };
    struct dot_place before = way_at(w, 0);
    double walked = 0;
    assert_true(off(before, from) < 1e-9);
    for (int k = 1; k <= PIECES; k++) {
        const struct dot_place now = way_at(w, (double)k / PIECES);
        assert_true(off(before, now) <= way_length(w) / PIECES + 1e-9);
        walked += off(before, now);
        before = now;
    }
    assert_true(off(before, to) < 1e-9);
    /* Chords are shorter than the way, by less than a piece at each of its corners. */
    assert_true(walked <= way_length(w) + 1e-9);
    assert_true(walked > way_length(w) * (1 - 40.0 / PIECES) - 1e-9);
}

static void any_file_leaves_its_dots_walks_evenly_and_comes_to_its_dots(void **state)
{
    (void)state;
    enum { PEOPLE = 30 };
    for (int run = 0; run < 200; run++) {
        struct arena a = {0};
        struct dot_place from[PEOPLE], to[PEOPLE];
        const size_t n = 1 + (size_t)run % PEOPLE;
        for (size_t i = 0; i < n; i++) {
            from[i] = (struct dot_place){round(between(-80, 80)), round(between(0, 84))};
            to[i] = (struct dot_place){round(between(-80, 80)), round(between(0, 84))};
        }
        const struct way *w = ways_of(&a, &(struct file_walk){from, to, n});
        for (size_t i = 0; i < n; i++)
            walks_evenly(&w[i], from[i], to[i]);
        arena_free(&a);
    }
}

/* --- as sets say it --------------------------------------------------------------------------- */

static struct set sets[] = {
    {.label = "1", .counts = 8},
    {.label = "2", .counts = 8, .path = "hold 2; halt 2; follow T1-T3"},
    {.label = "3", .counts = 8, .path = "wander"},
    {.label = "4", .counts = 8, .path = "follow U7 T3 T2 T1"},
};
static struct performer people[] = {
    {.label = "T1"}, {.label = "T2"}, {.label = "T3"}, {.label = "T4"}};
static struct dot dots[] = {{0, 0, 0, 28}, {1, 0, -2, 28}, {2, 0, -4, 28}, {3, 0, 40, 0},
                            {0, 1, 0, 36}, {1, 1, 0, 34},  {2, 1, 0, 32},  {3, 1, 48, 0},
                            {0, 2, 0, 36}, {1, 2, 0, 34},  {2, 2, 0, 28},  {0, 3, 0, 34},
                            {1, 3, 0, 28}, {2, 3, 0, 20}};

static const struct row {
    const char *name;
    int performer, set;
    double count;
    double x, y; /* NAN: not known */
} rows[] = {
    {"who is held stands on the count before the move", 2, 1, 3, -4, 28},
    {"halfway between hold and halt", 2, 1, 5, 0, 28},
    {"the leader too", 0, 1, 5, 0, 32},
    {"who does not follow goes straight, held and halted as well", 3, 1, 5, 44, 0},
    {"who is halted is there", 2, 1, 7, 0, 32},
    {"and stays", 2, 1, 8, 0, 32},
    {"a path that cannot be read is straight", 2, 2, 5, 0, 30},
    /* U7 is nobody: T3 leads from 28 to 20; T2, at 34, walks to 28 and T1, at 36, to 34. */
    {"the first who is there leads", 2, 3, 5, 0, 24},
    {"and the others come behind", 0, 3, 5, 0, 35},
    {"who has no dot there is not known", 3, 3, 5, NAN, NAN},
};

static const struct show show = {.performers = people,
                                 .n_performers = 4,
                                 .sets = sets,
                                 .n_sets = 4,
                                 .dots = dots,
                                 .n_dots = sizeof dots / sizeof *dots};

static void stands_there(void **state)
{
    const struct row *r = *state;
    struct arena a = {0};
    const struct ghosts g = ghosts_of(&show, &a);
    struct dot_place at = {77, 77};
    const bool known = ghost_at(&g, r->performer, (struct set_count){r->set, r->count}, &at);
    assert_int_equal(known, !isnan(r->x));
    assert_true(!known || (fabs(at.x - r->x) < 1e-9 && fabs(at.y - r->y) < 1e-9));
    arena_free(&a);
}

/* --- what it asks of them --------------------------------------------------------------------- */

static const struct pace_row {
    const char *name;
    int performer, set;
    double steps, inches, counts, to_five; /* steps NAN: not known */
} paces[] = {
    /* Eight steps across are five yards; four counts of the eight are walked in. */
    {"eight across in four counts are 4-to-5", 3, 1, 8, 180, 4, 4},
    /* 2 + 2 + 4 steps, the last 4 in depth between the hashes: 4 * 640/28 in (a third of 160 ft is
     * 640 in, 28 steps: check-values of the trade's paper). */
    {"along the trail, in depth with longer steps", 2, 1, 8, 4 * 22.5 + 4 * 640.0 / 28, 4,
     180 * 4 / (4 * 22.5 + 4 * 640.0 / 28)},
    {"who stays has no step", 0, 2, 0, 0, 8, 0},
    {"no dot to come from", 0, 0, NAN, 0, 0, 0},
    {"no dot to go to", 3, 2, NAN, 0, 0, 0},
};

static void asks_for_that_step(void **state)
{
    const struct pace_row *r = *state;
    struct arena a = {0};
    struct show on_grass = show;
    on_grass.grid = *grid_named("high-school");
    const struct ghosts g = ghosts_of(&on_grass, &a);
    struct ghost_pace p;
    const bool known = ghost_pace(&g, r->performer, r->set, &p);
    assert_int_equal(known, !isnan(r->steps));
    if (known) {
        assert_true(fabs(p.steps - r->steps) < 1e-9);
        assert_true(fabs(p.inches - r->inches) < 1e-9);
        assert_true(fabs(p.counts - r->counts) < 1e-9);
        assert_true(fabs(pace_to_five(&p) - r->to_five) < 1e-9);
        assert_int_equal(p.follows, r->set == 1 && r->performer < 3);
    }
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, examples, leads_there);
    case_test(&all, any_file_leaves_its_dots_walks_evenly_and_comes_to_its_dots);
    cases_of(&all, rows, stands_there);
    cases_of(&all, paces, asks_for_that_step);
    return cases_run(&all, "the way to a dot");
}
