/* What a mark measured, in words. */
#include <math.h>
#include <string.h>

#include "lib/cases.h"
#include "mark/measure.h"

static const struct {
    struct measure m;
    const char *said;
} sentences[] = {
    {{MEASURE_NONE, 3, 1, 2}, ""},
    {{MEASURE_INTERVAL, 1.4, 0.2, 2}, "interval 1.4 ± 0.2 of 2"},
    {{MEASURE_INTERVAL, 1.4, 0.2, NAN}, "interval 1.4 ± 0.2 steps"},
    {{MEASURE_DISTANCE, 12.31, 0.04, NAN}, "distance 12.31 ± 0.04 steps"},
    {{MEASURE_DISTANCE, 12.31, 0.04, 12.5}, "distance 12.31 ± 0.04 of 12.5"},
    {{MEASURE_LINE, 0.84, 0.1, NAN}, "off the line 0.8 ± 0.1 steps"},
    {{MEASURE_ARC, 1.26, 0.31, NAN}, "off the arc 1.3 ± 0.3 steps"},
    {{MEASURE_PLACE, 1.6, 0.26, NAN}, "out of place by 1.6 ± 0.3 steps"},
    {{MEASURE_STEP, 6.71, 0.2, 8}, "6.7 ± 0.2 to 5 (of 8 to 5)"},
    {{MEASURE_STEP, 6.71, NAN, 8}, "6.71 to 5 (of 8 to 5)"},
    {{MEASURE_STEP, 6.71, 0.2, NAN}, "6.7 ± 0.2 to 5"},
    {{MEASURE_SPEED, 5.234, 0.12, NAN}, "5.2 ± 0.1 feet a second"},
    {{MEASURE_SPEED, 5.234, 0.12, 6}, "5.2 ± 0.1 feet a second (of 6)"},
    {{MEASURE_ANGLE, 12.4, 2.1, NAN}, "angle 12 ± 2 degrees on the picture"},
    {{MEASURE_ANGLE, 12.4, 2.1, 0}, "angle 12 ± 2 degrees on the picture (of 0)"},
};

static void each_kind_has_its_sentence(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof sentences / sizeof *sentences; i++) {
        struct buf b = {0};
        measure_text(&sentences[i].m, &b);
        assert_string_equal(buf_text(&b), sentences[i].said);
        buf_free(&b);
    }
}

/* An error of one significant digit, with two decimals at most, and never as nought. */
static void an_error_warrants_so_many_decimals(void **state)
{
    static const struct {
        double value, error;
        const char *said;
    } all[] = {
        {37.4, 12.3, "distance 37 ± 12 steps"},
        {1.449, 0.96, "distance 1 ± 1 steps"},
        {1.449, 0.096, "distance 1.4 ± 0.1 steps"},
        {1.449, 0.094, "distance 1.45 ± 0.09 steps"},
        {1.449, 0.004, "distance 1.45 ± 0.01 steps"},
        {1.449, 0, "distance 1.45 steps"},
        {2, NAN, "distance 2 steps"},
        {20, NAN, "distance 20 steps"},
        {-0.01, 0.2, "distance 0.0 ± 0.2 steps"},
        {-0.5, 0.2, "distance -0.5 ± 0.2 steps"},
        {1e300, 1e-300, "distance 1e+300 ± 0.01 steps"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        struct buf b = {0};
        measure_text(&(struct measure){MEASURE_DISTANCE, all[i].value, all[i].error, NAN}, &b);
        assert_string_equal(buf_text(&b), all[i].said);
        buf_free(&b);
    }
}

static void a_kind_is_found_by_its_name(void **state)
{
    (void)state;
    for (int k = MEASURE_NONE; k < MEASURE_KINDS; k++) {
        enum measure_kind found = MEASURE_KINDS;
        assert_true(measure_named(measure_name((enum measure_kind)k), &found));
        assert_int_equal(found, k);
    }
    enum measure_kind kept = MEASURE_ARC;
    assert_false(measure_named("furlong", &kept));
    assert_int_equal(kept, MEASURE_ARC);
    assert_true(measure_named("Step Size", &kept));
    assert_int_equal(kept, MEASURE_STEP);
}

static void how_far_off_is_against_what_it_should_be(void **state)
{
    (void)state;
    assert_true(measure_off(&(struct measure){MEASURE_INTERVAL, 1.5, 0.2, 2}) == 0.5);
    assert_true(measure_off(&(struct measure){MEASURE_LINE, -0.75, 0.2, NAN}) == 0.75);
    assert_true(measure_off(&(struct measure){MEASURE_PLACE, 1.5, 0.2, 1}) == 0.5);
    assert_true(isnan(measure_off(&(struct measure){MEASURE_SPEED, 1.5, 0.2, NAN})));
    assert_true(isnan(measure_off(&(struct measure){MEASURE_NONE, 1.5, 0.2, 1})));
}

static void what_is_not_known_is_the_same_as_itself(void **state)
{
    const struct measure a = {MEASURE_LINE, 1, NAN, NAN}, b = {MEASURE_LINE, 1, 0.1, NAN},
                         none = {MEASURE_NONE, 1, 2, 3}, nothing = {MEASURE_NONE, NAN, NAN, NAN};
    (void)state;
    assert_true(measure_same(&a, &a));
    assert_false(measure_same(&a, &b));
    assert_false(measure_same(&a, &none));
    assert_true(measure_same(&none, &nothing));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_kind_has_its_sentence),
        cmocka_unit_test(an_error_warrants_so_many_decimals),
        cmocka_unit_test(a_kind_is_found_by_its_name),
        cmocka_unit_test(how_far_off_is_against_what_it_should_be),
        cmocka_unit_test(what_is_not_known_is_the_same_as_itself),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
