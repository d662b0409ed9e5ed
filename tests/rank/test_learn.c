/* What a rep mends: by hand, and in words. */
#include "rank/learn.h"

#include <math.h>

#include "lib/cases.h"

#define COUNT(a)      (sizeof(a) / sizeof *(a))
#define near_to(a, b) assert_true(fabs((a) - (b)) < 1e-6)
#define LEARN(...)                                                                                 \
    learn_share((struct learn_history){(const struct learn_seen[]){__VA_ARGS__},                   \
                                       COUNT(((const struct learn_seen[]){__VA_ARGS__}))})

/* --- by hand ---------------------------------------------------------------------------------- */

/* The example of the header. */
static void half_the_rate_after_one_rep_is_a_half(void **state)
{
    (void)state;
    const struct learned l = LEARN({0, 8, 2, 20, 10, 1, 1}, {1, 12, 3, 20, 10, 1, 1});
    near_to(l.p, 0.5);
    assert_int_equal(l.lines, 2);
    assert_int_equal(l.used, 2);
    assert_int_equal(l.before, 20);
    assert_int_equal(l.after, 5);
    near_to(l.dispersion, 1);
    assert_false(l.enough);
}

/* Four times as many, and at both ends the deviance of 20 of 100 is the 0.95 quantile of chi-square
 * with one degree of freedom (3.841459: any table). */
static void the_ends_have_the_deviance_of_the_table(void **state)
{
    (void)state;
    const struct learned l = LEARN({0, 32, 8, 20, 10, 1, 1}, {1, 48, 12, 20, 10, 1, 1});
    const double ends[] = {l.low, l.high};
    near_to(l.p, 0.5);
    assert_true(l.low > 0 && l.low < 0.5 && l.high > 0.5 && l.high < LEARN_MOST);
    for (size_t i = 0; i < COUNT(ends); i++) {
        const double t = (1 - ends[i]) / (2 + 1 - ends[i]);
        near_to(2 * (20 * log(0.2 / t) + 80 * log(0.8 / (1 - t))), 3.841459);
    }
}

/* Two reps in half of which it was said: 9/16 of the rate is left, (1 - p/2)^2 = 9/16, p = 1/2. */
static void a_fault_is_mended_only_where_it_was_said(void **state)
{
    (void)state;
    near_to(LEARN({0, 16, 9, 5, 5, 2, 0.5}).p, 0.5);
    near_to(LEARN({0, 16, 9, 5, 5, 2, 1}).p, 0.25);
    near_to(LEARN({0, 16, 9, 5, 5, 1, 1}).p, 7.0 / 16);
}

/* One line of 10, in as many minutes, none after: p is the most there is, 0.99, theta = 1/101 there.
 * D = -20 log(1 - theta) + 20 log(100/101) = 3.841459 at 1 - theta = 0.817075, f = 0.223877. */
static void all_gone_has_a_lower_end(void **state)
{
    (void)state;
    const struct learned l = LEARN({0, 10, 0, 8, 8, 1, 1});
    near_to(l.p, LEARN_MOST);
    near_to(l.high, LEARN_MOST);
    near_to(l.low, 1 - 0.223877);
}

/* 9 of 13 after, in as many minutes: nothing is mended, theta = 1/2; and at the upper end
 * 2 (13 log(1/2) - 9 log theta - 4 log(1 - theta)) = 3.841459. */
static void more_than_before_is_nothing_mended(void **state)
{
    (void)state;
    const struct learned l = LEARN({0, 4, 9, 8, 8, 1, 1});
    near_to(l.p, 0);
    near_to(l.low, 0);
    assert_true(l.high > 0.05 && l.high < 0.9);
    const double t = (1 - l.high) / (2 - l.high);
    near_to(2 * (13 * log(0.5) - 9 * log(t) - 4 * log(1 - t)), 3.841459);
}

/* n = 80, 60, 40; 60 of 180 after, so p = 1/2 and theta = 1/3. Residuals 40/3, 0, -40/3; expected
 * 160/9, 120/9, 80/9: X2 = 10 + 0 + 20, by two degrees of freedom 15. The limit is that times 4.302653
 * squared (t table, 2 degrees, 0.975). */
static void lines_that_scatter_widen_the_interval(void **state)
{
    (void)state;
    const struct learned l =
        LEARN({0, 40, 40, 6, 6, 1, 1}, {1, 40, 20, 6, 6, 1, 1}, {2, 40, 0, 6, 6, 1, 1});
    near_to(l.p, 0.5);
    near_to(l.dispersion, 15);
    const struct learned even =
        LEARN({0, 40, 20, 6, 6, 1, 1}, {1, 40, 20, 6, 6, 1, 1}, {2, 40, 20, 6, 6, 1, 1});
    near_to(even.dispersion, 1);
    const double t = (1 - even.high) / (2 - even.high);
    assert_true(fabs(2 * (60 * log(1 / 3.0 / t) + 120 * log(2 / 3.0 / (1 - t))) -
                     4.302653 * 4.302653) < 1e-5);
    assert_true(l.low < even.low && l.high > even.high);
}

/* What one set has more, the other set of the line has less: the line does not scatter. */
static void sets_of_a_line_are_added_up(void **state)
{
    (void)state;
    const struct learned l = LEARN({0, 40, 40, 6, 6, 1, 1}, {0, 40, 0, 6, 6, 1, 1},
                                   {1, 40, 20, 6, 6, 1, 1}, {2, 40, 20, 6, 6, 1, 1});
    assert_int_equal(l.lines, 3);
    near_to(l.dispersion, 1);
}

static void what_tells_nothing_is_left_out_and_counted(void **state)
{
    (void)state;
    const struct learned l =
        LEARN({0, 8, 2, 20, 10, 1, 1}, {0, 0, 0, 20, 10, 1, 1}, {0, 5, 0, 20, 0, 1, 1},
              {1, 9, 0, 20, 0, 1, 1}, {1, 0, 3, 0, 10, 1, 1}, {2, 0, 0, 20, 10, 1, 1},
              {3, 12, 3, 20, 10, 1, 1}, {4, 7, 7, 20, 20, 0, 1}, {5, 7, 7, 20, 20, 1, 0});
    near_to(l.p, 0.5);
    assert_int_equal(l.lines, 6);
    assert_int_equal(l.used, 2);
    assert_int_equal(l.unmarked, 1);
    assert_int_equal(l.unwatched, 3);
    assert_int_equal(l.before, 20);
    const struct learned none = learn_share((struct learn_history){0});
    assert_true(isnan(none.p) && isnan(none.low) && isnan(none.high));
    assert_true(none.lines == 0 && !none.enough);
}

/* None of 10 after in ten times the minutes, theta = 1/11 at the most there is: D = -20 log(1 - theta)
 * + 20 log(10/11) up to 4.302653^2 = 18.513 leaves 1 - theta = 0.36025, f = 0.17758. */
static void it_takes_lines_sightings_and_a_narrow_interval(void **state)
{
    (void)state;
    const struct learned l =
        LEARN({0, 4, 0, 10, 100, 1, 1}, {1, 3, 0, 10, 100, 1, 1}, {2, 3, 0, 10, 100, 1, 1});
    assert_true(fabs(l.low - (1 - 0.17758)) < 2e-5);
    assert_true(l.enough);
    const struct learned few =
        LEARN({0, 3, 0, 10, 100, 1, 1}, {1, 3, 0, 10, 100, 1, 1}, {2, 3, 0, 10, 100, 1, 1});
    assert_true(few.high - few.low < LEARN_WIDTH_MOST && !few.enough);
    const struct learned lines = LEARN({0, 40, 0, 10, 100, 1, 1}, {1, 30, 0, 10, 100, 1, 1});
    assert_true(lines.high - lines.low < LEARN_WIDTH_MOST && !lines.enough);
    const struct learned wide =
        LEARN({0, 4, 0, 10, 10, 1, 1}, {1, 3, 0, 10, 10, 1, 1}, {2, 3, 0, 10, 10, 1, 1});
    assert_true(wide.high - wide.low >= LEARN_WIDTH_MOST && !wide.enough);
}

/* --- words ---------------------------------------------------------------------------------------- */

static const struct said {
    const char *name;
    struct learned l;
    bool apart;
    const char *text;
} sentences[] = {
    {"enough",
     {.lines = 9,
      .used = 7,
      .before = 64,
      .after = 40,
      .p = 0.22,
      .low = 0.05,
      .high = 0.41,
      .enough = true},
     false,
     "From this show's own rehearsals a rep mended 22 % of what was said (95 % 5 to 41 %; 7 lines, "
     "seen 64 times before and 40 after); --learn history uses it. What is rehearsed is what was "
     "worst, so part of that would have come without a rep."},
    {"enough, apart",
     {.lines = 3,
      .used = 3,
      .before = 10,
      .after = 0,
      .p = 0.99,
      .low = 0.8,
      .high = 0.99,
      .enough = true},
     true,
     "From this show's own rehearsals a rep in a sectional mended 99 % of what was said (95 % 80 "
     "to "
     "99 %; 3 lines, seen 10 times before and 0 after); --learn history uses it. What is rehearsed "
     "is what was worst, so part of that would have come without a rep."},
    {"too wide",
     {.lines = 4, .used = 4, .before = 12, .after = 9, .p = 0.3, .low = 0.02, .high = 0.8},
     false,
     "This show's history does not tell yet what a rep mends (95 % 2 to 80 %; 4 lines, seen 12 "
     "times before and 9 after)."},
    {"few lines",
     {.lines = 5, .used = 2, .before = 30, .after = 3, .p = 0.3, .low = 0.2, .high = 0.4},
     false,
     "Too little history yet of what a rep mends: 2 of 5 repped lines can be compared before and "
     "after, seen 30 times before; it takes 3 lines and 10 times."},
    {"one line, seen once, apart",
     {.lines = 1, .used = 1, .before = 1, .p = 0.99, .low = 0, .high = 0.99},
     true,
     "Too little history yet of what a rep in a sectional mends: 1 of 1 repped line can be "
     "compared "
     "before and after, seen 1 time before; it takes 3 lines and 10 times."},
    {"nothing to compare",
     {.lines = 3, .unwatched = 3, .p = NAN, .low = NAN, .high = NAN},
     false,
     "Too little history yet of what a rep mends: 0 of 3 repped lines can be compared before and "
     "after, seen 0 times before; it takes 3 lines and 10 times."},
    {"no reps",
     {.p = NAN, .low = NAN, .high = NAN},
     false,
     "No reps are ticked yet, so what a rep mends in this show is not known."},
    {"no reps apart",
     {.p = NAN, .low = NAN, .high = NAN},
     true,
     "No reps in a sectional are ticked yet, so what a rep in a sectional mends in this show is "
     "not "
     "known."},
};

static void says(void **state)
{
    const struct said *s = *state;
    struct buf out = {0};
    learn_sentence(&s->l, s->apart, &out);
    assert_string_equal(buf_text(&out), s->text);
    buf_free(&out);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, half_the_rate_after_one_rep_is_a_half);
    case_test(&all, the_ends_have_the_deviance_of_the_table);
    case_test(&all, a_fault_is_mended_only_where_it_was_said);
    case_test(&all, all_gone_has_a_lower_end);
    case_test(&all, more_than_before_is_nothing_mended);
    case_test(&all, lines_that_scatter_widen_the_interval);
    case_test(&all, sets_of_a_line_are_added_up);
    case_test(&all, what_tells_nothing_is_left_out_and_counted);
    case_test(&all, it_takes_lines_sightings_and_a_narrow_interval);
    cases_of(&all, sentences, says);
    return cases_run(&all, "what a rep mends");
}
