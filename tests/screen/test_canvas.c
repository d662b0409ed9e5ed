/* What is drawn where. */
#include <string.h>

#include "lib/cases.h"
#include "screen/draw.h"

static void text_that_is_cut_ends_in_a_mark_and_within_its_strip(void **state)
{
    (void)state;
    struct canvas c = {.utf8 = true};
    canvas_size(&c, 1, 10);
    assert_int_equal(canvas_text(&c, strip(0, 1, 4), ST_NORMAL, "abcde"), 5);
    static const char *const cells[] = {" ", "a", "b", "c", "~", " "};
    for (size_t i = 0; i < sizeof cells / sizeof *cells; i++)
        assert_string_equal(c.at[i].text, cells[i]);
    canvas_clear(&c);
    assert_int_equal(canvas_text(&c, strip(0, 1, 4), ST_NORMAL, "abcd"), 5);
    assert_string_equal(c.at[4].text, "d");
    canvas_free(&c);
}

static void the_chosen_line_of_a_list_stays_in_sight(void **state)
{
    (void)state;
    enum { ROOM = 5 };
    for (size_t line = 0; line < 12; line++) {
        const size_t first = list_first(line, ROOM);
        assert_int_equal(first, line < ROOM ? 0 : line - (ROOM - 1));
        assert_true(first <= line && line < first + ROOM);
    }
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, text_that_is_cut_ends_in_a_mark_and_within_its_strip);
    case_test(&all, the_chosen_line_of_a_list_stays_in_sight);
    return cases_run(&all, "what is drawn where");
}
