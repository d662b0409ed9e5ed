#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "lib/run.h"
#include "lib/term.h"

static const char *fixture; /* the little program, named by meson */

static struct term *start(void)
{
    struct term *t = term_start(NULL, fixture, NULL);
    term_wait_text(t, "fixture 24x80");
    term_wait_idle(t);
    return t;
}

static void keys_reach_the_program_by_their_names(void **state)
{
    (void)state;
    /* Right column: names that curses gives to the terminfo capabilities of xterm-256color. */
    static const struct {
        const char *key, *seen;
    } rows[] = {
        {"a", "U+0061"},
        {"é", "U+00E9"},
        {"中", "U+4E2D"},
        {"Left", "KEY_LEFT"},
        {"Up", "KEY_UP"},
        {"Shift-Left", "KEY_SLEFT"},
        {"PageUp", "KEY_PPAGE"},
        {"PageDown", "KEY_NPAGE"},
        {"Home", "KEY_HOME"},
        {"End", "KEY_END"},
        {"Delete", "KEY_DC"},
        {"Insert", "KEY_IC"},
        {"F1", "KEY_F(1)"},
        {"F2", "KEY_F(2)"},
        {"F5", "KEY_F(5)"},
        {"F12", "KEY_F(12)"},
        {"Backspace", "KEY_BACKSPACE"},
        {"Enter", "^M"},
        {"Tab", "^I"},
        {"Shift-Tab", "KEY_BTAB"},
        {"Ctrl-z", "^Z"},
        {"Ctrl+c", "^C"},
        {"Space", "U+0020"},
        {"Esc", "^["},
        {"-", "U+002D"},
        {"Ctrl-Right", "kRIT5"},
    };
    struct term *t = start();
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char line[64];
        term_keys(t, rows[i].key);
        snprintf(line, sizeof line, "count %zu", i + 1);
        term_wait_row(t, 2, line);
        snprintf(line, sizeof line, "key %s", rows[i].seen);
        assert_string_equal(term_row(t, 1), line);
    }
    term_close(t);
}

static void two_hundred_keys_each_settle_without_a_sleep(void **state)
{
    (void)state;
    struct term *t = start();
    for (int i = 1; i <= 200; i++) {
        char line[32];
        term_type(t, "x");
        term_wait_idle(t);
        snprintf(line, sizeof line, "count %d", i);
        assert_string_equal(term_row(t, 2), line);
    }
    term_close(t);
}

static void text_cells_and_colours_are_seen(void **state)
{
    (void)state;
    struct term *t = start();
    int row, col;
    assert_true(term_find(t, "reverse", &row, &col));
    assert_int_equal(row, 3);
    assert_true(term_cell(t, 3, 0).reverse);
    assert_false(term_cell(t, 3, 7).reverse);
    assert_true(term_cell(t, 3, 10).bold);
    struct term_cell c = term_cell(t, 3, 20);
    assert_string_equal(c.text, "c");
    assert_int_equal(c.fg, 3); /* ECMA-48: 33 is yellow, curses' COLOR_YELLOW is 3 */
    assert_int_equal(c.bg, 17);
    assert_int_equal(term_cell(t, 0, 0).fg, COLOR_NONE);
    assert_string_equal(term_row(t, 4), "Zo\u00eb \u4e2d\u6587 e\u0301 end");
    assert_int_equal(term_cell(t, 4, 4).width, 2);
    assert_true(term_find(t, "end", &row, &col));
    assert_int_equal(col, 11); /* 3 letters, space, 2 wide, space, 1, space */
    assert_string_equal(term_row(t, -1), "foot");
    term_cursor(t, &row, &col);
    assert_int_equal(row, 2);
    assert_int_equal(col, 6);
    term_close(t);
}

static void a_resize_reaches_the_program(void **state)
{
    (void)state;
    struct term *t = start();
    term_resize(t, 50, 132);
    term_wait_text(t, "fixture 50x132");
    term_wait_row(t, -1, "foot");
    term_resize(t, 10, 40);
    term_wait_text(t, "fixture 10x40");
    term_wait_row(t, -1, "foot");
    assert_int_equal(term_rows(t), 10);
    term_close(t);
}

static void clicks_and_the_wheel_reach_the_program(void **state)
{
    (void)state;
    struct term *t = start();
    assert_true(term_mode(t, 1006));
    term_press(t, 5, 30, 1);
    term_wait_row(t, 1, "mouse 5,30 2"); /* curses.h: BUTTON1_PRESSED is 2, RELEASED 1 */
    term_release(t, 5, 30, 1);
    term_wait_row(t, 1, "mouse 5,30 1");
    term_wheel(t, -1, 79, -1);
    term_wait_row(t, 1, "mouse 23,79 10000"); /* BUTTON4_PRESSED */
    term_close(t);
}

static void a_quit_leaves_the_terminal_as_it_was(void **state)
{
    (void)state;
    struct term *t = start();
    assert_true(term_alternate_screen(t));
    term_keys(t, "q");
    assert_int_equal(term_wait_exit(t), 7);
    assert_false(term_alternate_screen(t));
    term_assert_restored(t);
    term_close(t);
}

static void signals_reach_the_program(void **state)
{
    (void)state;
    static const struct {
        int sig, status;
    } rows[] = {{SIGTERM, 40 + SIGTERM}, {SIGHUP, 40 + SIGHUP}, {SIGKILL, -SIGKILL}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct term *t = start();
        term_signal(t, rows[i].sig);
        assert_int_equal(term_wait_exit(t), rows[i].status);
        if (rows[i].sig != SIGKILL)
            term_assert_restored(t);
        term_close(t);
    }
}

static void a_closed_window_hangs_the_program_up(void **state)
{
    (void)state;
    struct term *t = start();
    term_hangup(t);
    assert_int_equal(term_wait_exit(t), 40 + SIGHUP);
    term_close(t);
}

static bool answers_counted(void *t)
{
    return !term_has(t, "count 1\n");
}

static void control_strings_are_kept_off_the_screen(void **state)
{
    (void)state;
    const struct term_setup kitty = {.pictures = TERM_KITTY};
    struct term *t = term_start(&kitty, fixture, NULL);
    term_wait_idle(t);
    term_keys(t, "p");
    term_wait_string(t, 'P', "q#0");
    term_wait_string(t, '_', "i=8,a=q");
    assert_string_equal(term_string(t, '_', 0), "Gi=7,a=T,f=24;QUJD");
    assert_string_equal(term_string(t, ']', 0), "8;;file:///clip.mp4");
    assert_int_equal(term_strings(t, '_'), 2);
    assert_null(term_string(t, '_', 2));
    /* The answers come back as keys: two OK of 9 bytes, CSI 0 n, DA1. */
    term_wait_until(t, answers_counted, t, "the answers, counted as keys");
    assert_false(term_has(t, "QUJD"));
    assert_false(term_has(t, "clip.mp4"));
    term_close(t);
}

static void a_mute_terminal_answers_nothing(void **state)
{
    (void)state;
    const struct term_setup mute = {.pictures = TERM_KITTY, .mute = true};
    struct term *t = term_start(&mute, fixture, NULL);
    term_wait_idle(t);
    term_keys(t, "p");
    term_wait_string(t, '_', "i=8");
    term_wait_row(t, 2, "count 1");
    term_keys(t, "x");
    term_wait_row(t, 2, "count 2");
    term_close(t);
}

static void a_slow_reader_holds_the_program_up(void **state)
{
    (void)state;
    struct term *t = start();
    term_speed(t, TERM_FROZEN);
    term_keys(t, "f");
    size_t before, after;
    term_raw(t, &before);
    for (int i = 0; i < 50; i++)
        term_pump(t);
    term_raw(t, &after);
    assert_int_equal(before, after);
    term_speed(t, 400 * 1000);
    long long from = now_ms();
    term_wait_row(t, 2, "count 1");
    term_raw(t, &after);
    long long took = now_ms() - from;
    /* No faster than the speed set: that is all that can be said on a busy machine. */
    assert_true(after - before > 50 * 1000);
    assert_true((long long)(after - before) <= (took + 1) * 400);
    term_speed(t, TERM_FULL_SPEED);
    term_keys(t, "q");
    assert_int_equal(term_wait_exit(t), 7);
    term_close(t);
}

static void an_ended_program_ends_a_wait(void **state)
{
    (void)state;
    struct term *t = term_start(NULL, "sh", "-c", "echo no such thing; exit 5", NULL);
    assert_int_equal(term_wait_exit(t), 5);
    assert_string_equal(term_row(t, 0), "no such thing");
    term_close(t);
    t = term_start(NULL, "/nowhere/at/all", NULL);
    assert_int_equal(term_wait_exit(t), 127);
    term_wait_text(t, "cannot start it");
    term_close(t);
}

/* The last words of a program are never lost, however it ends right after them. */
static void the_last_bytes_before_the_end_are_seen(void **state)
{
    (void)state;
    for (int i = 0; i < 30; i++) {
        struct term *t = term_start(NULL, "sh", "-c", "printf 'one\\ntwo\\nlast word'", NULL);
        assert_int_equal(term_wait_exit(t), 0);
        assert_string_equal(term_row(t, 2), "last word");
        term_close(t);
    }
}

static void the_surroundings_are_always_the_same(void **state)
{
    (void)state;
    const char *const extra[] = {"COLORTERM=truecolor", "TERM=vt100", "TZ", NULL};
    const struct term_setup setup = {.rows = 40, .cols = 100, .env = extra};
    setenv("NO_COLOR", "1", 1);
    setenv("DISPLAY", ":77", 1);
    struct term *t = term_start(&setup, "env", NULL);
    term_wait_exit(t);
    assert_true(term_has(t, "TERM=vt100\n"));
    assert_true(term_has(t, "COLORTERM=truecolor\n"));
    assert_true(term_has(t, "LANG=C.UTF-8\n"));
    assert_false(term_has(t, "TZ="));
    assert_false(term_has(t, "NO_COLOR"));
    assert_false(term_has(t, "DISPLAY"));
    assert_false(term_has(t, "LINES="));
    term_close(t);
}

/* A second emulator, much used, must see the same text in the same bytes. */
static void tmux_shows_what_we_see(void **state)
{
    (void)state;
    if (!have_program("tmux"))
        skip();
    struct term *t = start();
    term_keys(t, "f");
    term_wait_row(t, 2, "count 1");
    term_keys(t, "Left F2 é");
    term_wait_row(t, 2, "count 4");
    term_wait_idle(t);
    size_t n;
    const char *raw = term_raw(t, &n), *dir = temp_dir();
    write_bytes(dir, "raw", raw, n);
    const struct term_setup setup = {.dir = dir, .home = dir};
    struct term *box = term_start(&setup, "tmux", "-S", path_in(dir, "socket"), "-f", "/dev/null",
                                  "-u", "set", "-g", "status", "off", ";", "new-session", "-x",
                                  "80", "-y", "24", "stty raw -echo; cat raw; read nothing", NULL);
    for (int row = 0; row < 24; row++)
        term_wait_row(box, row, arena_strdup(test_arena(), term_row(t, row)));
    assert_string_equal(term_screen(box), arena_strdup(test_arena(), term_screen(t)));
    run("tmux", "-S", path_in(dir, "socket"), "kill-server", NULL);
    term_wait_exit(box);
    term_close(box);
    term_close(t);
}

/* One way to fail each; run in a child, which must end badly and show what it saw. */
static int failing(const char *how)
{
    struct term *t =
        term_start(NULL, "sh", "-c", "stty -echo; printf 'seen words\\033[?25l'; exit 3", NULL);
    int status = term_wait_exit(t);
    if (strcmp(how, "text") == 0)
        term_wait_text(t, "other words");
    if (strcmp(how, "row") == 0)
        term_wait_row(t, -1, "seen words");
    if (strcmp(how, "gone") == 0)
        term_wait_gone(t, "seen");
    if (strcmp(how, "raw") == 0)
        term_wait_raw(t, "\033[?25h");
    if (strcmp(how, "string") == 0)
        term_wait_string(t, '_', "G");
    if (strcmp(how, "idle") == 0)
        term_wait_idle(t);
    if (strcmp(how, "restored") == 0)
        term_assert_restored(t);
    if (strcmp(how, "key") == 0)
        term_keys(t, "Left NoSuchKey");
    if (strcmp(how, "mouse") == 0)
        term_click(t, 0, 0, 1);
    if (strcmp(how, "no row") == 0)
        term_row(t, 24);
    term_close(t);
    return status == 3 ? 0 : 99;
}

static void each_check_can_fail_and_shows_the_screen(void **state)
{
    (void)state;
    static const struct {
        const char *how, *why;
    } rows[] = {
        {"text", "no 'other words' came on the screen"},
        {"row", "no 'seen words' came on row -1"},
        {"gone", "'seen' did not go from the screen"},
        {"raw", "were never written"},
        {"string", "no control string '_' with 'G' came"},
        {"idle", "did not go idle"},
        {"restored", "the line's settings are not as they were"},
        {"key", "there is no key 'NoSuchKey'"},
        {"mouse", "did not ask for the mouse"},
        {"no row", "there is no row 24"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct run r = run("/proc/self/exe", "", rows[i].how, NULL);
        assert_int_not_equal(r.status, 0);
        assert_contains(r.err, rows[i].why);
        assert_contains(r.err, "test_term.c:");
        assert_contains(r.err, "  0|seen words\n");
        assert_contains(r.err, "cursor at 0,10 hidden, ended with 3");
        assert_contains(r.err, "raw bytes: seen words\\e[?25l");
    }
    struct run none = run("/proc/self/exe", "", "nothing", NULL);
    assert_exit(none, 0);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(keys_reach_the_program_by_their_names),
        cmocka_unit_test(two_hundred_keys_each_settle_without_a_sleep),
        cmocka_unit_test(text_cells_and_colours_are_seen),
        cmocka_unit_test(a_resize_reaches_the_program),
        cmocka_unit_test(clicks_and_the_wheel_reach_the_program),
        cmocka_unit_test(a_quit_leaves_the_terminal_as_it_was),
        cmocka_unit_test(signals_reach_the_program),
        cmocka_unit_test(a_closed_window_hangs_the_program_up),
        cmocka_unit_test(control_strings_are_kept_off_the_screen),
        cmocka_unit_test(a_mute_terminal_answers_nothing),
        cmocka_unit_test(a_slow_reader_holds_the_program_up),
        cmocka_unit_test(an_ended_program_ends_a_wait),
        cmocka_unit_test(the_last_bytes_before_the_end_are_seen),
        cmocka_unit_test(the_surroundings_are_always_the_same),
        cmocka_unit_test(tmux_shows_what_we_see),
        cmocka_unit_test(each_check_can_fail_and_shows_the_screen),
    };
    if (argc > 2)
        return failing(argv[2]);
    fixture = argc > 1 ? argv[1] : "./fixture_tui";
    return cmocka_run_group_tests_name("the terminal harness", tests, NULL, NULL);
}
