/* How far from their dots people stand, learnt from some of them. */
#include <math.h>

#include "field/chance.h"
#include "field/spread.h"
#include "field/who.h"
#include "lib/cases.h"

static void nobody_is_the_usual(void **state)
{
    (void)state;
    assert_true(spread_of(NULL, 0) == WHO_USUAL_SD_IN);
}

/* Reckoned by hand: sizes 1 2 3 4 6 9, so the median is 3.5 and the scale 3.5 * 1.4826 = 5.1891; with
 * eight of 11.25, sqrt((8 * 126.5625 + 3 * 26.92676) / 11) = 9.96941. */
static void a_few_move_it_a_little(void **state)
{
    (void)state;
    const struct field_place off[] = {{1, -2}, {-9, 3}, {4, 6}};
    assert_true(fabs(spread_of(off, 3) - 9.96941) < 1e-5);
}

static void many_say_it_alone(void **state)
{
    enum { MANY = 4000 };
    static struct field_place off[MANY];
    (void)state;
    for (int i = 0; i < MANY; i++)
        off[i] = (struct field_place){6 * normal(), 6 * normal()};
    assert_true(fabs(spread_of(off, MANY) - 6) < 0.2);
}

/* A mark on the wrong performer is yards off. */
static void one_who_is_far_off_hardly_matters(void **state)
{
    struct field_place off[21];
    (void)state;
    for (int i = 0; i < 20; i++)
        off[i] = (struct field_place){5 * normal(), 5 * normal()};
    const double without = spread_of(off, 20);
    off[20] = (struct field_place){500, -700};
    assert_true(fabs(spread_of(off, 21) - without) < 0.1 * without);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, nobody_is_the_usual);
    case_test(&all, a_few_move_it_a_little);
    case_test(&all, many_say_it_alone);
    case_test(&all, one_who_is_far_off_hardly_matters);
    return cases_run(&all, "how far from their dots people stand");
}
