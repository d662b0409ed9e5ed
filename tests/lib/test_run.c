#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/run.h"

static void a_run_gives_both_outputs_and_the_exit_code(void **state)
{
    (void)state;
    struct run r = run("sh", "-c", "echo data; echo talk >&2; exit 3", NULL);
    assert_exit(r, 3);
    assert_string_equal(r.out, "data\n");
    assert_string_equal(r.err, "talk\n");
    assert_contains(r.said, "sh -c echo data");
}

static void a_run_ended_by_a_signal_says_which(void **state)
{
    (void)state;
    struct run r = run("sh", "-c", "kill -TERM $$", NULL);
    assert_exit(r, -SIGTERM);
}

static void standard_input_is_given_and_closed(void **state)
{
    (void)state;
    struct run r = run_in("1,2\n3,4\n", "wc", "-l", NULL);
    assert_quiet(r);
    assert_int_equal(atoi(r.out), 2);
    r = run("cat", NULL);
    assert_quiet(r);
    assert_int_equal(r.out_n, 0);
    /* More than a pipe holds, to a program that does not read it. */
    size_t n = 1 << 20;
    char *much = arena_alloc(test_arena(), n);
    const struct run_setup setup = {.in = much, .in_n = n};
    r = run_with(&setup, "true", NULL);
    assert_quiet(r);
    r = run_with(&setup, "wc", "-c", NULL);
    assert_int_equal(atoi(r.out), 1 << 20);
}

static void large_outputs_on_both_sides_do_not_block(void **state)
{
    (void)state;
    struct run r =
        run("sh", "-c", "head -c 300000 /dev/zero; head -c 300000 /dev/zero >&2; echo end", NULL);
    assert_exit(r, 0);
    assert_int_equal(r.out_n, 300004);
    assert_int_equal(r.err_n, 300000);
}

static void a_full_disk_and_a_file_limit_can_be_had(void **state)
{
    (void)state;
    const struct run_setup full = {.out_to = "/dev/full"};
    struct run r = run_with(&full, "echo", "x", NULL);
    assert_int_not_equal(r.status, 0);
    const char *dir = temp_dir();
    const struct run_setup little = {.dir = dir, .file_limit = 1024};
    r = run_with(&little, "sh", "-c", "trap '' XFSZ; head -c 5000 /dev/zero > big", NULL);
    assert_int_not_equal(r.status, 0);
    size_t n;
    read_file(path_in(dir, "big"), &n);
    assert_int_equal(n, 1024);
}

static void the_surroundings_hold_nothing_of_the_machine(void **state)
{
    (void)state;
    setenv("NO_COLOR", "1", 1);
    setenv("COLUMNS", "33", 1);
    const char *home = temp_dir();
    const char *const extra[] = {"EXTRA=yes", "TZ=Europe/Berlin", NULL};
    const struct run_setup setup = {.home = home, .env = extra};
    struct run r = run_with(&setup, "env", NULL);
    assert_contains(r.out, "EXTRA=yes\n");
    assert_contains(r.out, "TZ=Europe/Berlin\n");
    assert_contains(r.out, arena_printf(test_arena(), "HOME=%s\n", home));
    assert_contains(r.out, arena_printf(test_arena(), "XDG_CONFIG_HOME=%s/.config\n", home));
    assert_lacks(r.out, "NO_COLOR");
    assert_lacks(r.out, "COLUMNS");
    assert_lacks(r.out, "TZ=UTC");
}

static void folders_are_fresh_and_files_compare(void **state)
{
    (void)state;
    const char *a = temp_dir(), *b = temp_dir();
    assert_string_not_equal(a, b);
    assert_int_equal(count_entries(a), 0);
    const char *x = write_file(a, "deep/er/x.csv", "one\ntwo\n");
    assert_file_is(x, "one\ntwo\n");
    assert_same_file(x, write_file(b, "y", "one\ntwo\n"));
    assert_int_equal(count_entries(b), 1);
}

/* The check itself must be able to fail: each of these runs in a child and has to end badly. */
static int failing(int which)
{
    struct run r = {.status = 1, .out = "text", .err = "bad", .err_n = 3, .said = "x"};
    const char *dir = temp_dir();
    if (which == 0)
        assert_exit(r, 0);
    if (which == 1)
        assert_contains(r.out, "absent");
    if (which == 2)
        assert_lacks(r.out, "ex");
    if (which == 3)
        assert_file_is(write_file(dir, "f", "a\nb\n"), "a\nc\n");
    if (which == 4)
        assert_same_file(write_file(dir, "f", "a\n"), write_file(dir, "g", "a"));
    return 0;
}

static void each_check_can_fail(void **state)
{
    (void)state;
    static const char *const fragments[] = {"ended with 1, not 0", "no 'absent' in",
                                            "should be no 'ex'", "at byte 2, line 2", "differ"};
    for (int which = 0; which < 5; which++) {
        struct run r = run("/proc/self/exe", arena_printf(test_arena(), "%d", which), NULL);
        assert_int_not_equal(r.status, 0);
        assert_contains(r.err, fragments[which]);
    }
    struct run none = run("/proc/self/exe", "99", NULL);
    assert_exit(none, 0);
}

int main(int argc, char **argv)
{
    if (argc > 1)
        return failing(atoi(argv[1]));
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_run_gives_both_outputs_and_the_exit_code),
        cmocka_unit_test(a_run_ended_by_a_signal_says_which),
        cmocka_unit_test(standard_input_is_given_and_closed),
        cmocka_unit_test(large_outputs_on_both_sides_do_not_block),
        cmocka_unit_test(a_full_disk_and_a_file_limit_can_be_had),
        cmocka_unit_test(the_surroundings_hold_nothing_of_the_machine),
        cmocka_unit_test(folders_are_fresh_and_files_compare),
        cmocka_unit_test(each_check_can_fail),
    };
    return cmocka_run_group_tests_name("running programs", tests, NULL, NULL);
}
