/* Where everybody should be between two sets. */
#include <math.h>
#include <string.h>

#include "field/ghost.h"
#include "lib/cases.h"

static struct set sets[] = {
    {.label = "1", .counts = 16}, {.label = "2", .counts = 8}, {.label = "3", .counts = 0}};
static struct performer people[] = {{.label = "T1"}, {.label = "T2"}};
static struct dot dots[] = {{0, 0, 0, 28}, {0, 1, -4, 28}, {0, 2, -4, 30}, {1, 1, 8, 12}};
static const struct show show = {
    .performers = people, .n_performers = 2, .sets = sets, .n_sets = 3, .dots = dots, .n_dots = 4};

static const struct row {
    const char *name;
    int performer, set;
    double count;
    double x, y; /* NAN: not known */
} rows[] = {
    /* A published column on reading drill: from the 50 to 4 outside it in 8 counts the midset, after
     * four counts, is 2 outside. */
    {"halfway after four counts of eight", 0, 1, 5, -2, 28},
    {"the beginning of the move", 0, 1, 1, 0, 28},
    {"a quarter of a count", 0, 1, 1.25, -0.125, 28},
    {"its end", 0, 1, 9, -4, 28},
    {"the hold after it", 0, 1, 12, -4, 28},
    {"before it", 0, 1, -3, 0, 28},
    {"a set without counts is its end", 0, 2, 1, -4, 30},
    {"the first set has no way there", 0, 0, 5, NAN, NAN},
    {"but an end", 0, 0, 17, 0, 28},
    {"no dot to come from", 1, 1, 5, NAN, NAN},
    {"a dot to stand on", 1, 1, 9, 8, 12},
    {"no dot at all", 1, 2, 9, NAN, NAN},
    {"nobody", 2, 1, 5, NAN, NAN},
    {"no set", 0, 3, 5, NAN, NAN},
    {"no count", 0, 1, NAN, NAN, NAN},
};

static void stands_there(void **state)
{
    const struct row *r = *state;
    struct arena a = {0};
    const struct ghosts g = ghosts_of(&show, &a);
    struct dot_place at = {77, 77};
    const bool known = ghost_at(&g, r->performer, (struct set_count){r->set, r->count}, &at);
    assert_int_equal(known, !isnan(r->x));
    assert_true(known ? fabs(at.x - r->x) < 1e-12 && fabs(at.y - r->y) < 1e-12
                      : at.x == 77 && at.y == 77);
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, rows, stands_there);
    return cases_run(&all, "where everybody should be");
}
