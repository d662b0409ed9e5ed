/* References: the NWS chart and equation page (NOAA Weather Prediction Center, 'The Heat Index
 * Equation'; chart as printed by NWS Tulsa); figures with decimals were computed from that equation
 * outside the project (Python). */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "plan/heat.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

enum { CHART_COLUMNS = 13 };

/* Rows of the printed chart from 80 to 110 °F by 2, columns 40 to 100 % by 5; 0 = not printed. */
static const int chart[16][CHART_COLUMNS] = {
    {80, 80, 81, 81, 82, 82, 83, 84, 84, 85, 86, 86, 87},
    {81, 82, 83, 84, 84, 85, 86, 88, 89, 90, 91, 93, 95},
    {83, 84, 85, 86, 88, 89, 90, 92, 94, 96, 98, 100, 103},
    {85, 87, 88, 89, 91, 93, 95, 97, 100, 102, 105, 108, 112},
    {88, 89, 91, 93, 95, 98, 100, 103, 106, 110, 113, 117, 121},
    {91, 93, 95, 97, 100, 103, 106, 109, 113, 117, 122, 127, 132},
    {94, 96, 99, 101, 105, 108, 112, 116, 121, 126, 131},
    {97, 100, 103, 106, 110, 114, 119, 124, 129, 135},
    {101, 104, 108, 112, 116, 121, 126, 132},
    {105, 109, 113, 117, 123, 128, 134},
    {109, 114, 118, 124, 129, 136},
    {114, 119, 124, 130, 137},
    {119, 124, 131, 137},
    {124, 130, 137},
    {130, 137},
    {136},
};

/* The chart is the rounded polynomial in 134 of its 135 cells; the other is 90 °F at 45 %, printed
 * as 93 where the polynomial gives 92.493. */
static void the_printed_chart_is_the_rounded_polynomial(void **state)
{
    (void)state;
    int cells = 0, differ = 0;
    for (int row = 0; row < 16; row++) {
        for (int column = 0; column < CHART_COLUMNS && chart[row][column]; column++, cells++) {
            const double t = 80 + 2 * row, r = 40 + 5 * column;
            const double got = heat_index_regression(t, r);
            if (lround(got) == chart[row][column])
                continue;
            differ++;
            assert_true(t == 90 && r == 45 && fabs(got - 92.493) < 0.001);
        }
    }
    assert_int_equal(cells, 135);
    assert_int_equal(differ, 1);
}

/* The algorithm with its adjustments, away from the edge at 80 °F where readings differ. */
static void the_algorithm_gives_the_equation_page_s_numbers(void **state)
{
    (void)state;
    static const struct {
        double t, r, index;
    } rows[] = {
        {80, 90, 86.341892},  {82, 100, 96.039321},   {85, 10, 81.399863},   {86, 90, 105.394365},
        {88, 60, 95.148798},  {90, 70, 105.922021},   {92, 65, 108.263182},  {95, 10, 89.449587},
        {96, 50, 107.637283}, {96, 65, 121.031629},   {100, 5, 92.503959},   {100, 40, 109.255562},
        {104, 12, 99.073689}, {86.5, 95, 110.552935}, {110, 40, 135.656987},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_true(fabs(heat_index(rows[i].t, rows[i].r) - rows[i].index) < 1e-6);
}

/* The simple values 69.05, 75.02, 79.26 and 79.58, each averaged with T: our reading of the page.
 */
static void below_eighty_the_simple_form_is_averaged_with_the_temperature(void **state)
{
    (void)state;
    static const struct {
        double t, r, simple;
    } rows[] = {{70, 50, 69.05}, {75, 60, 75.02}, {78, 80, 79.26}, {80, 40, 79.58}};
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_true(fabs(heat_index(rows[i].t, rows[i].r) - (rows[i].simple + rows[i].t) / 2) <
                    1e-9);
}

static void heat_index_is_unknown_for_impossible_weather(void **state)
{
    (void)state;
    assert_true(isnan(heat_index(90, -1)));
    assert_true(isnan(heat_index(90, 101)));
    assert_true(isnan(heat_index(NAN, 50)));
    assert_true(isnan(heat_index(90, NAN)));
}

static void categories_begin_where_the_named_page_says(void **state)
{
    (void)state;
    static const struct {
        double index;
        const char *name;
    } rows[] = {
        {79.9, ""},
        {80, "caution"},
        {89.9, "caution"},
        {90, "extreme caution"},
        {102.9, "extreme caution"},
        {103, "danger"},
        {124.9, "danger"},
        {125, "extreme danger"},
        {NAN, ""},
    };
    for (size_t i = 0; i < COUNT(rows); i++)
        assert_string_equal(heat_category(rows[i].index), rows[i].name);
    assert_non_null(strstr(HEAT_CATEGORY_SOURCE, "80/90/103/125"));
}

static void a_caution_never_says_that_conditions_are_safe(void **state)
{
    (void)state;
    for (double t = 40; t <= 120; t += 4) {
        for (double r = 0; r <= 100; r += 10) {
            struct buf text = {0};
            heat_caution(t, r, &text);
            assert_null(strstr(buf_text(&text), "safe"));
            assert_non_null(strstr(buf_text(&text), "athletic trainer"));
            assert_non_null(strstr(buf_text(&text), "measured on site"));
            buf_free(&text);
        }
    }
    struct buf text = {0};
    heat_caution(94, NAN, &text);
    assert_non_null(strstr(buf_text(&text), "unknown"));
    assert_non_null(strstr(buf_text(&text), "athletic trainer"));
    buf_free(&text);
}

/* 94 °F at 70 % is printed as 119 in the chart; 103..125 is 'danger' on the page named. */
static void a_caution_names_index_category_and_page(void **state)
{
    (void)state;
    struct buf text = {0};
    heat_caution(94, 70, &text);
    assert_non_null(strstr(buf_text(&text), "119 °F: danger"));
    assert_non_null(strstr(buf_text(&text), HEAT_CATEGORY_SOURCE));
    buf_free(&text);
}

/* The chart's last row is 110 °F and its largest figure 137 (NWS Tulsa; table above). The equation
 * goes on: 150 °F at 100 % would be 802. */
static void a_caution_says_when_the_chart_does_not_reach_so_far(void **state)
{
    (void)state;
    static const struct {
        double t, r;
        const char *says, *never;
    } rows[] = {
        {150, 100, "Heat index: 150 °F at 100 % is beyond the NWS chart", "802"},
        {112, 10, "is beyond the NWS chart", "about"},
        {104, 60, "is beyond the NWS chart", "about"}, /* 104 °F: 137 at 55 %, no more behind it */
        {104, 55, "about 137 °F", "outside the NWS chart"},
        {110, 40, "about 136 °F", "outside the NWS chart"},
        {75, 60, "outside the NWS chart (80 to 110 °F, 40 to 100 %", "beyond"},
        {95, 10, "outside the NWS chart", "beyond"},
        {94, 70, "about 119 °F", "outside the NWS chart"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct buf text = {0};
        heat_caution(rows[i].t, rows[i].r, &text);
        if (!strstr(buf_text(&text), rows[i].says) || strstr(buf_text(&text), rows[i].never))
            fail_msg("%g °F, %g %%: %s", rows[i].t, rows[i].r, buf_text(&text));
        buf_free(&text);
    }
    struct buf text = {0};
    heat_caution(150, 100, &text);
    assert_non_null(strstr(buf_text(&text), "extreme danger, or a wrong reading"));
    buf_free(&text);
}

static void temperatures_are_read_with_their_unit(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        double f;
    } rows[] = {
        {"94F", 94},         {"94f", 94},     {" 94 F ", 94},  {"94°F", 94},  {"34C", 93.2},
        {"34.5 °C", 94.1},   {"-10C", 14},    {"+30c", 86},    {"-40C", -40}, {"0C", 32},
        {"100.25F", 100.25}, {"29,5C", 85.1}, {"94,5F", 94.5},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        double f = 0;
        struct err e = {0};
        assert_true(heat_parse_temp(rows[i].text, &f, &e));
        assert_true(fabs(f - rows[i].f) < 1e-9);
    }
}

static void temperatures_without_unit_or_sense_are_refused(void **state)
{
    (void)state;
    const char *bad[] = {"94",   "",       "F",      "warm",   "94K",
                         "94FF", "94 F 3", "200F",   "80C",    "nanF",
                         "infC", "0x20F",  "9.4.1F", "-80F",   "1e2F",
                         "94 °", "- 9F",   "°F",     "9,4,1F", "999999999999999F"};
    for (size_t i = 0; i < COUNT(bad); i++) {
        double f = -1;
        struct err e = {0};
        assert_false(heat_parse_temp(bad[i], &f, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, "temperature"));
        assert_true(f == -1);
    }
    double f;
    struct err e = {0};
    heat_parse_temp("34", &f, &e);
    assert_string_equal(e.text, "temperature '34': no unit; write 34F or 34C");
}

static void humidity_is_a_percentage(void **state)
{
    (void)state;
    double r;
    struct err e = {0};
    assert_true(heat_parse_humidity("60", &r, &e) && r == 60);
    assert_true(heat_parse_humidity(" 60.5 % ", &r, &e) && r == 60.5);
    assert_true(heat_parse_humidity("0%", &r, &e) && r == 0);
    const char *bad[] = {"", "%", "101", "-1", "60%%", "nan", "60F", "half"};
    for (size_t i = 0; i < COUNT(bad); i++)
        assert_false(heat_parse_humidity(bad[i], &r, &e));
}

static void the_default_rhythm_owns_up_to_having_no_source(void **state)
{
    (void)state;
    const struct heat_breaks got = heat_breaks_default();
    assert_int_equal(got.work_most_s, 20 * 60);
    assert_int_equal(got.break_s, 3 * 60);
    assert_non_null(strstr(got.source, "common practice, no source"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_printed_chart_is_the_rounded_polynomial),
        cmocka_unit_test(the_algorithm_gives_the_equation_page_s_numbers),
        cmocka_unit_test(below_eighty_the_simple_form_is_averaged_with_the_temperature),
        cmocka_unit_test(heat_index_is_unknown_for_impossible_weather),
        cmocka_unit_test(categories_begin_where_the_named_page_says),
        cmocka_unit_test(a_caution_never_says_that_conditions_are_safe),
        cmocka_unit_test(a_caution_names_index_category_and_page),
        cmocka_unit_test(a_caution_says_when_the_chart_does_not_reach_so_far),
        cmocka_unit_test(temperatures_are_read_with_their_unit),
        cmocka_unit_test(temperatures_without_unit_or_sense_are_refused),
        cmocka_unit_test(humidity_is_a_percentage),
        cmocka_unit_test(the_default_rhythm_owns_up_to_having_no_source),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
