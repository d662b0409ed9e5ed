/* The line a person types. */
#include <string.h>

#include "base/utf8.h"
#include "lib/cases.h"
#include "screen/line.h"

static struct prompt p;

static void begin(const char *text)
{
    prompt_begin(&p, 1, " note:", text);
}

static void type(const char *ascii)
{
    for (char key[2] = ""; *ascii; ascii++) {
        key[0] = *ascii;
        prompt_key(&p, *ascii == ' ' ? "Space" : key);
    }
}

static int end(void **state)
{
    (void)state;
    prompt_free(&p);
    p = (struct prompt){0};
    return 0;
}

static void a_long_text_is_kept_whole(void **state)
{
    (void)state;
    static char text[PROMPT_MOST + 1];
    begin("");
    for (size_t i = 0; i + 2 <= PROMPT_MOST; i += 2) {
        prompt_key(&p, "é");
        memcpy(text + i, "é", 2);
    }
    assert_int_equal(p.n, PROMPT_MOST);
    assert_string_equal(p.text, text);
    assert_false(p.full);
    assert_int_equal(prompt_key(&p, "Enter"), PROMPT_DONE);
    begin("");
    prompt_key(&p, "Up");
    assert_string_equal(p.text, text);
}

static void what_does_not_fit_is_refused_with_a_word_until_it_is_shortened(void **state)
{
    (void)state;
    struct canvas c = {.utf8 = true};
    static char text[PROMPT_MOST];
    memset(text, 'x', sizeof text - 1);
    begin(text);
    prompt_key(&p, "é"); /* two bytes where one is free */
    type("a");           /* would fit, but something before it is missing */
    assert_true(p.full);
    assert_int_equal(p.n, PROMPT_MOST - 1);
    assert_int_equal(prompt_key(&p, "Enter"), PROMPT_GOES_ON);
    canvas_size(&c, 2, 80);
    prompt_draw(&p, &c, 1);
    char row[81] = "";
    for (int i = 0; i < 30; i++)
        strcat(row, c.at[80 + i].text);
    assert_non_null(strstr(row, "full; shorten it"));
    prompt_key(&p, "Left");
    assert_true(p.full);
    prompt_key(&p, "Backspace");
    assert_false(p.full);
    type("ab");
    assert_int_equal(p.n, PROMPT_MOST);
    assert_int_equal(prompt_key(&p, "Enter"), PROMPT_DONE);
    canvas_free(&c);
}

static void a_text_that_was_longer_already_is_not_cut(void **state)
{
    (void)state;
    static char text[2 * PROMPT_MOST];
    memset(text, 'x', sizeof text - 1);
    begin(text);
    assert_int_equal(p.n, sizeof text - 1);
    prompt_key(&p, "Backspace");
    assert_int_equal(prompt_key(&p, "Enter"), PROMPT_DONE);
    assert_int_equal(strlen(p.text), sizeof text - 2);
}

static void it_is_drawn_on_any_screen(void **state)
{
    (void)state;
    static const char *const texts[] = {"", "a", "abcdefghij", "♪é中中中", "e\u0301e\u0301", "中"};
    for (size_t t = 0; t < sizeof texts / sizeof *texts; t++)
        for (int rows = 1; rows <= 6; rows++)
            for (int cols = 1; cols <= 12; cols++) {
                struct canvas c = {.utf8 = true};
                begin(texts[t]);
                canvas_size(&c, rows, cols);
                for (size_t back = 0; back <= strlen(texts[t]); back++) {
                    prompt_draw(&p, &c, rows - 1);
                    assert_in_range(c.cursor_col, 0, cols - 1);
                    assert_int_equal(c.cursor_row, rows - 1);
                    prompt_key(&p, "Left");
                }
                canvas_free(&c);
            }
}

static void the_cursor_stays_in_sight(void **state)
{
    (void)state;
    struct canvas c = {.utf8 = true};
    begin("abcdefghijklmnopqrstuvwxyz");
    canvas_size(&c, 1, 20);
    prompt_draw(&p, &c, 0);
    assert_string_equal(c.at[c.cursor_col - 1].text, "z");
    prompt_key(&p, "Home");
    prompt_draw(&p, &c, 0);
    assert_string_equal(c.at[c.cursor_col].text, "a");
    canvas_free(&c);
}

int main(void)
{
    const struct CMUnitTest all[] = {
        cmocka_unit_test_teardown(a_long_text_is_kept_whole, end),
        cmocka_unit_test_teardown(what_does_not_fit_is_refused_with_a_word_until_it_is_shortened,
                                  end),
        cmocka_unit_test_teardown(a_text_that_was_longer_already_is_not_cut, end),
        cmocka_unit_test_teardown(it_is_drawn_on_any_screen, end),
        cmocka_unit_test_teardown(the_cursor_stays_in_sight, end),
    };
    return cmocka_run_group_tests_name("a typed line", all, NULL, NULL);
}
