#include <errno.h>
#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/files.h"
#include "sys/faults.h"
#include "sys/file.h"

static const int errors[] = {ENOSPC, EIO, EDQUOT};
enum { ERRORS = sizeof errors / sizeof *errors, MOST_CALLS = 30 };

static size_t open_descriptors(void)
{
    return count_entries("/proc/self/fd");
}

static void a_fault_at_any_call_leaves_the_old_file_or_the_new_one(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *path = path_in(dir, "list.csv");
    for (int k = 0; k < ERRORS; k++) {
        int n = 1;
        for (bool fired = true; fired && n < MOST_CALLS; n++) {
            write_file(dir, "list.csv", "old\n");
            size_t before = open_descriptors();
            struct err e = {0};
            fault_at(n, errors[k]);
            bool ok = file_write(path, "new\n", 4, &e);
            fired = fault_end();
            bool late = strstr(e.text, "durable"); /* the rename was done */
            assert_file_is(path, ok || late ? "new\n" : "old\n");
            assert_int_equal(count_entries(dir), 1);
            assert_int_equal(open_descriptors(), before);
            /* The ninth, closing the directory, is the only one that may fail without harm. */
            if (fired && ok && n != 9)
                fail_msg("a failing %s (call %d) went unseen", fault_call(), n);
            if (!ok && (!strstr(e.text, path) || !strstr(e.text, strerror(errors[k]))))
                fail_msg("'%s' does not name the file and the cause", e.text);
            assert_true(fired || ok);
        }
        /* open, fchmod, write, fsync, close, rename, open, fsync, close, and one without */
        assert_int_equal(n, 11);
    }
}

static void a_fault_while_a_new_file_is_made_leaves_none(void **state)
{
    (void)state;
    for (int n = 1; n < MOST_CALLS; n++) {
        const char *dir = temp_dir(), *path = path_in(dir, "fresh.csv");
        struct err e = {0};
        fault_at(n, ENOSPC);
        bool ok = file_write(path, "new\n", 4, &e);
        bool fired = fault_end(), late = strstr(e.text, "durable");
        assert_int_equal(count_entries(dir), ok || late ? 1 : 0);
        if (!fired)
            return;
    }
    fail_msg("the faults did not end");
}

/* What a library wrote stands in `temp` then. */
static void a_fault_while_a_file_is_given_its_name_leaves_the_old_one_or_the_new_one(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *path = path_in(dir, "clip.mp4");
    int n = 1;
    for (bool fired = true; fired && n < MOST_CALLS; n++) {
        struct err e = {0};
        write_file(dir, "clip.mp4", "old\n");
        const size_t before = open_descriptors();
        fault_at(n, ENOSPC);
        char *temp = file_temp_beside(path, &e);
        bool ok = temp != NULL;
        if (ok) {
            const int fd = creat(temp, 0666);
            assert_int_equal(dprintf(fd, "new\n"), 4);
            close(fd);
            ok = file_place(temp, path, &e);
        }
        fired = fault_end();
        free(temp);
        const bool late = strstr(e.text, "durable");
        assert_file_is(path, ok || late ? "new\n" : "old\n");
        if (count_entries(dir) != 1)
            fail_msg("a failing %s (call %d) leaves a file", fault_call(), n);
        assert_int_equal(open_descriptors(), before);
        if (!ok)
            assert_non_null(strstr(e.text, path));
        assert_true(fired || ok);
    }
    assert_in_range(n, 8, MOST_CALLS - 1);
}

static void a_fault_while_reading_is_an_error(void **state)
{
    (void)state;
    const char *path = write_file(temp_dir(), "data", "bytes");
    for (int n = 1; n < MOST_CALLS; n++) {
        struct buf b = {0};
        struct err e = {0};
        fault_at(n, EIO);
        bool ok = file_read(path, 100, &b, &e);
        bool fired = fault_end();
        if (ok)
            assert_string_equal(buf_text(&b), "bytes");
        else
            assert_non_null(strstr(e.text, path));
        assert_true(ok == (!fired || strcmp(fault_call(), "close") == 0));
        buf_free(&b);
        if (!fired)
            return;
    }
    fail_msg("the faults did not end");
}

static void short_and_interrupted_calls_are_taken_up_again(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *path = path_in(dir, "list.csv");
    static const char text[] = "one byte at a time, and every other call interrupted\n";
    struct buf b = {0};
    struct err e = {0};
    fault_dribble(true);
    bool written = file_write(path, text, strlen(text), &e);
    bool read_back = file_read(path, 1000, &b, &e);
    fault_dribble(false);
    assert_true(written);
    assert_true(read_back);
    assert_string_equal(buf_text(&b), text);
    assert_file_is(path, text);
    buf_free(&b);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_fault_at_any_call_leaves_the_old_file_or_the_new_one),
        cmocka_unit_test(a_fault_while_a_new_file_is_made_leaves_none),
        cmocka_unit_test(a_fault_while_a_file_is_given_its_name_leaves_the_old_one_or_the_new_one),
        cmocka_unit_test(a_fault_while_reading_is_an_error),
        cmocka_unit_test(short_and_interrupted_calls_are_taken_up_again),
    };
    return cmocka_run_group_tests_name("files on a failing system", tests, NULL, NULL);
}
