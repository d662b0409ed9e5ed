#include <limits.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "base/arena.h"
#include "base/buf.h"
#include "base/err.h"
#include "base/near.h"
#include "base/path.h"
#include "base/quantity.h"
#include "base/number.h"
#include "base/shell.h"
#include "base/utf8.h"

static void an_arena_gives_zeroed_aligned_memory_that_stays_apart(void **state)
{
    (void)state;
    struct arena a = {0};
    static const size_t sizes[] = {0, 1, 7, 8, 16, 17, 4096, 16 * 1024, 16 * 1024 + 1, 200000};
    enum { N = sizeof sizes / sizeof *sizes, ROUNDS = 50 };
    unsigned char *given[ROUNDS][N];
    for (int r = 0; r < ROUNDS; r++) {
        for (size_t i = 0; i < N; i++) {
            unsigned char *p = given[r][i] = arena_alloc(&a, sizes[i]);
            assert_int_equal((uintptr_t)p % _Alignof(max_align_t), 0);
            for (size_t k = 0; k < sizes[i]; k++)
                assert_int_equal(p[k], 0);
            memset(p, r + 1, sizes[i]);
        }
    }
    for (int r = 0; r < ROUNDS; r++)
        for (size_t i = 0; i < N; i++)
            for (size_t k = 0; k < sizes[i]; k += 97)
                assert_int_equal(given[r][i][k], r + 1);
    arena_free(&a);
    assert_null(a.blocks);
    arena_free(&a); /* a zeroed arena is accepted */
}

static void arena_strings_are_copies(void **state)
{
    (void)state;
    struct arena a = {0};
    char text[] = "tuba";
    char *copy = arena_strdup(&a, text);
    text[0] = 'X';
    assert_string_equal(copy, "tuba");
    assert_string_equal(arena_strdup(&a, NULL), "");
    assert_string_equal(arena_strndup(&a, "trumpets", 7), "trumpet");
    assert_string_equal(arena_strndup(&a, NULL, 0), "");
    assert_string_equal(arena_printf(&a, "%s:%d", "roster.csv", 14), "roster.csv:14");
    char *long_one = arena_printf(&a, "%040000d", 7);
    assert_int_equal(strlen(long_one), 40000);
    arena_free(&a);
}

static void an_array_grows_and_keeps_what_it_holds(void **state)
{
    (void)state;
    int *p = NULL;
    size_t cap = 0;
    for (int i = 0; i < 1000; i++) {
        p = array_grow(p, (size_t)i, &cap, sizeof *p);
        assert_true(cap > (size_t)i);
        p[i] = i * i;
    }
    for (int i = 0; i < 1000; i++)
        assert_int_equal(p[i], i * i);
    free(p);
}

static void a_buffer_holds_all_that_was_added_and_a_nul(void **state)
{
    (void)state;
    struct buf b = {0};
    assert_string_equal(buf_text(&b), "");
    buf_add(&b, NULL, 0);
    assert_string_equal(b.p, "");
    buf_str(&b, "set ");
    buf_printf(&b, "%d%c", 12, 'A');
    buf_char(&b, '!');
    assert_string_equal(buf_text(&b), "set 12A!");
    assert_int_equal(b.n, 8);
    buf_add(&b, "\0x", 2);
    assert_int_equal(b.n, 10);
    assert_memory_equal(b.p, "set 12A!\0x\0", 11);
    buf_clear(&b);
    assert_string_equal(buf_text(&b), "");
    for (int i = 0; i < 10000; i++)
        buf_printf(&b, "%04d", i);
    assert_int_equal(b.n, 40000);
    assert_memory_equal(b.p + 4 * 9876, "9876", 4);
    assert_int_equal(strlen(b.p), 40000);
    buf_free(&b);
    assert_null(b.p);
    buf_free(&b);
}

static void an_error_is_one_tame_line_with_its_place_before_it(void **state)
{
    (void)state;
    struct err e = {0};
    assert_false(err_set(&e, ERR_INPUT, "no section '%s'", "tru\x1b[2Jmp\nets\xff"));
    assert_int_equal(e.code, ERR_INPUT);
    assert_string_equal(e.text, "no section 'tru?[2Jmp?ets?'");
    assert_false(err_in(&e, "%s:%d", "ro\tster.csv", 14));
    assert_int_equal(e.code, ERR_INPUT);
    assert_string_equal(e.text, "ro?ster.csv:14: no section 'tru?[2Jmp?ets?'");
}

static void an_error_too_long_is_cut_into_valid_text(void **state)
{
    (void)state;
    char text[2000];
    for (size_t shift = 0; shift < 3; shift++) {
        memset(text, 'x', shift);
        for (size_t i = shift; i + 3 < sizeof text; i += 3)
            memcpy(text + i, "\u4e2d", 4);
        struct err e = {0};
        err_set(&e, ERR_FAILED, "%s", text);
        assert_int_equal(strlen(e.text), sizeof e.text - 1);
        assert_int_equal(utf8_check(e.text, strlen(e.text)), strlen(e.text));
        err_in(&e, "%s", text);
        err_in(&e, "place");
        assert_memory_equal(e.text, "place: ", 7);
        assert_int_equal(utf8_check(e.text, strlen(e.text)), strlen(e.text));
    }
}

static void distances_are_the_published_ones(void **state)
{
    (void)state;
    /* kitten/sitting 3 and Saturday/Sunday 3: the usual examples of Levenshtein's distance; CA/ABC
     * is 3 for optimal string alignment (and 2 without its restriction). From memory. */
    static const struct {
        const char *a, *b;
        int distance;
    } rows[] = {
        {"kitten", "sitting", 3},   {"Saturday", "Sunday", 3}, {"CA", "ABC", 3},    {"", "abc", 3},
        {"tubas", "tubas", 0},      {"tubas", "TUBAS", 0},     {"tuba", "tbua", 1}, {"", "", 0},
        {"trumpts", "trumpets", 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_int_equal(near_distance(rows[i].a, rows[i].b), rows[i].distance);
        assert_int_equal(near_distance(rows[i].b, rows[i].a), rows[i].distance);
    }
}

static void a_word_too_long_is_far_from_everything(void **state)
{
    (void)state;
    char sixty_three[64], sixty_four[65];
    memset(sixty_three, 'a', 63);
    memset(sixty_four, 'a', 64);
    sixty_three[63] = sixty_four[64] = '\0';
    assert_int_equal(near_distance(sixty_three, sixty_three), 0);
    assert_int_equal(near_distance(sixty_three, ""), 63);
    assert_int_equal(near_distance(sixty_four, sixty_four), 255);
}

static const char *nearest(const char *word)
{
    static const char *const words[] = {"trumpets", "trombones", "tubas", "mellophones", "drums"};
    struct near n = {.word = word};
    for (size_t i = 0; i < sizeof words / sizeof *words; i++)
        near_offer(&n, words[i]);
    return n.best;
}

static void a_slip_finds_its_word_and_nonsense_finds_none(void **state)
{
    (void)state;
    struct near alike = {.word = "set 3"};
    near_offer(&alike, "set 1");
    near_offer(&alike, "set 2"); /* as near, and not before it */
    assert_string_equal(alike.best, "set 1");
    assert_string_equal(nearest("trumpts"), "trumpets");
    assert_string_equal(nearest("tubsa"), "tubas");
    assert_string_equal(nearest("melophone"), "mellophones");
    assert_string_equal(nearest("TRUMPETS"), "trumpets");
    assert_null(nearest("flute"));
    assert_null(nearest("tub")); /* two edits away, one is allowed for so short a word */
    assert_null(nearest(""));
}

/* The shell itself is asked: printf %s of the word gives the word. */
static void a_shell_reads_a_word_back_as_it_was(void **state)
{
    (void)state;
    static const char *const words[] = {
        "larkspur.show",
        "/my shows/x.show",
        "it's.show",
        "'",
        "",
        "~",
        "=cat",
        "$HOME",
        "a`id`b",
        "a;b",
        "a&b",
        "a|b",
        "a>b",
        "*",
        "?",
        "[a]",
        "{a,b}",
        "a\\b",
        "#a",
        "!x",
        "(a)",
        "\"q\"",
        "two\nlines",
        "Gr\xc3\xbc\xc3\x9f"
        "e.show",
        "-x",
        "a=b",
        "100%",
        "tab\there",
    };
    for (size_t i = 0; i < sizeof words / sizeof *words; i++) {
        char line[700], back[100];
        snprintf(line, sizeof line, "printf %%s %s", shell_word(words[i]).text);
        FILE *f = popen(line, "r");
        assert_non_null(f);
        back[fread(back, 1, sizeof back - 1, f)] = '\0';
        assert_int_equal(pclose(f), 0);
        assert_string_equal(back, words[i]);
    }
    assert_string_equal(shell_word("/srv/a-1_b.show").text, "/srv/a-1_b.show");
    assert_string_equal(shell_word("my shows").text, "'my shows'");
}

static void a_long_word_for_a_shell_is_cut_whole(void **state)
{
    (void)state;
    char word[2000];
    for (size_t n = 300; n < 600; n++) {
        for (size_t i = 0; i < n; i++)
            word[i] = i % 3 == 0 ? '\'' : '\xc3' + (char)(i % 3 == 2) * ('\xa9' - '\xc3');
        word[n] = '\0';
        const struct shell_word w = shell_word(word);
        const size_t len = strlen(w.text);
        assert_true(len > 2 && len < sizeof w.text && w.text[len - 1] == '\'');
        assert_true(len < 550 || w.text[len - 2] == '\'' || (w.text[len - 2] & 0xC0) == 0x80);
    }
}

static void a_double_becomes_a_whole_number_within_its_bounds(void **state)
{
    (void)state;
    assert_int_equal(int_within(5.9, 0, 9), 5);
    assert_int_equal(int_within(-5.9, -9, 9), -5);
    assert_int_equal(int_within(1e300, 0, INT_MAX), INT_MAX);
    assert_int_equal(int_within(-1e300, INT_MIN, 9), INT_MIN);
    assert_int_equal(int_within(NAN, -3, 9), -3);
    assert_true(near_within(2.5, 0, 9) == 3 && near_within(-2.5, -9, 9) == -3);
    assert_true(near_within(9.2e18, INT64_MIN, INT64_MAX) == INT64_C(9200000000000000000));
    assert_true(near_within(9.3e18, INT64_MIN, INT64_MAX) == INT64_MAX);
    assert_true(near_within(-1e300, INT64_MIN, INT64_MAX) == INT64_MIN);
    assert_true(near_within(INFINITY, 0, 7) == 7 && near_within(NAN, 0, 7) == 0);
    assert_true(us_apart(INT64_MIN, INT64_MAX) == UINT64_MAX && us_apart(5, -2) == 7);
    assert_true(us_sum(INT64_MAX, 1) == INT64_MAX && us_sum(INT64_MIN, -1) == INT64_MIN &&
                us_sum(INT64_MIN, INT64_MAX) == -1 && us_sum(3, -5) == -2);
    assert_true(ms_of_us(1499) == 1 && ms_of_us(1500) == 2 && ms_of_us(-500) == 0 &&
                ms_of_us(-501) == -1 && ms_of_us(-1500) == -1);
    assert_true(ms_of_us(INT64_MAX) == INT64_MAX / 1000 + 1 &&
                ms_of_us(INT64_MIN) == INT64_MIN / 1000 - 1);
    assert_true(us_of_seconds(1.2345678) == 1234568 && us_of_seconds(-0.5) == -500000);
    assert_true(us_of_seconds(1e300) > INT64_C(3000000000000000) &&
                us_of_seconds(1e300) < INT64_MAX / 8 &&
                us_of_seconds(-INFINITY) == -us_of_seconds(INFINITY) && us_of_seconds(NAN) == 0);
}

static void a_quantity_is_a_plain_number_and_a_unit_that_is_known(void **state)
{
    (void)state;
    static const struct unit units[] = {
        {"m", 1, 0}, {"ft", 0.3048, 0}, {"F", 2, -32}, {NULL, 0, 0}};
    static const struct {
        const char *text;
        enum quantity read;
        double value;
    } rows[] = {
        {"60m", QUANTITY_READ, 60},
        {" 10 FT ", QUANTITY_READ, 3.048},
        {"-1.5 m", QUANTITY_READ, -1.5},
        {"20 \u00b0F", QUANTITY_READ, 8},
        {"20\u00b0f", QUANTITY_READ, 8},
        {"60", QUANTITY_NO_UNIT, 60},
        {"60 furlongs", QUANTITY_OTHER_UNIT, 60},
        {"60 m long", QUANTITY_OTHER_UNIT, 60},
        {"1e3m", QUANTITY_OTHER_UNIT, 1},
        {"0x10m", QUANTITY_OTHER_UNIT, 0},
        {"nan m", QUANTITY_NO_NUMBER, 0},
        {"1.2.3m", QUANTITY_NO_NUMBER, 0},
        {".m", QUANTITY_NO_NUMBER, 0},
        {"123456.789012m", QUANTITY_READ, 123456.789012},
        {"12345678901234m", QUANTITY_NO_NUMBER, 0},
        {"", QUANTITY_NO_NUMBER, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double out = 0;
        enum quantity read = quantity_read(rows[i].text, units, &out);
        if (read != rows[i].read || (read != QUANTITY_NO_NUMBER && out != rows[i].value))
            fail_msg("'%s' is read as %d, %g", rows[i].text, (int)read, out);
    }
}

/* Relative references as RFC 3986, section 5.2, resolves them against a file of the folder. */
static void a_path_is_named_from_a_folder(void **state)
{
    (void)state;
    static const struct {
        const char *folder, *path, *named;
    } rows[] = {
        {"/a/b", "/a/b/c.mp4", "c.mp4"},
        {"/a/b", "/a/bc/d.mp4", "../bc/d.mp4"},
        {"/a/bc", "/a/b/d.mp4", "../b/d.mp4"},
        {"/a/b/c", "/a/d.mp4", "../../d.mp4"},
        {"/", "/d.mp4", "d.mp4"},
        {"/a/", "/a/d.mp4", "d.mp4"},
        {"/a", "/b/c/d.mp4", "../b/c/d.mp4"},
        {"/a/b", "d.mp4", "d.mp4"},
    };
    struct arena a = {0};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_string_equal(path_from(&a, rows[i].folder, rows[i].path), rows[i].named);
    arena_free(&a);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_arena_gives_zeroed_aligned_memory_that_stays_apart),
        cmocka_unit_test(arena_strings_are_copies),
        cmocka_unit_test(an_array_grows_and_keeps_what_it_holds),
        cmocka_unit_test(a_buffer_holds_all_that_was_added_and_a_nul),
        cmocka_unit_test(an_error_is_one_tame_line_with_its_place_before_it),
        cmocka_unit_test(an_error_too_long_is_cut_into_valid_text),
        cmocka_unit_test(distances_are_the_published_ones),
        cmocka_unit_test(a_word_too_long_is_far_from_everything),
        cmocka_unit_test(a_slip_finds_its_word_and_nonsense_finds_none),
        cmocka_unit_test(a_path_is_named_from_a_folder),
        cmocka_unit_test(a_shell_reads_a_word_back_as_it_was),
        cmocka_unit_test(a_long_word_for_a_shell_is_cut_whole),
        cmocka_unit_test(a_double_becomes_a_whole_number_within_its_bounds),
        cmocka_unit_test(a_quantity_is_a_plain_number_and_a_unit_that_is_known),
    };
    return cmocka_run_group_tests_name("memory, text, errors, near words", tests, NULL, NULL);
}
