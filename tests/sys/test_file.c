#include <errno.h>
#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/files.h"
#include "sys/file.h"

enum { LIMIT = 1 << 20 };

static void check_error(const struct err *e, enum err_code code, const char *part)
{
    if (e->code != code || !strstr(e->text, part))
        fail_msg("error %d '%s', not %d with '%s'", e->code, e->text, code, part);
}

static void a_file_is_read_whole_up_to_the_limit(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    char bytes[5000];
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (char)(i * 7);
    const char *path = write_bytes(dir, "data", bytes, sizeof bytes);
    struct buf b = {0};
    struct err e = {0};
    assert_true(file_read(path, sizeof bytes, &b, &e));
    assert_int_equal(b.n, sizeof bytes);
    assert_memory_equal(b.p, bytes, sizeof bytes);
    buf_clear(&b);
    assert_false(file_read(path, sizeof bytes - 1, &b, &e));
    check_error(&e, ERR_INPUT, "larger than 4999 bytes");
    check_error(&e, ERR_INPUT, path);
    buf_clear(&b);
    assert_true(file_read(write_file(dir, "empty", ""), LIMIT, &b, &e));
    assert_int_equal(b.n, 0);
    buf_free(&b);
}

static void what_is_no_readable_file_is_named_for_what_it_is(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *pipe_path = path_in(dir, "pipe");
    assert_int_equal(mkfifo(pipe_path, 0600), 0);
    assert_int_equal(symlink("nowhere", path_in(dir, "dangling")), 0);
    const struct {
        const char *path, *part;
    } rows[] = {
        {path_in(dir, "missing.csv"), "there is no such file"},
        {path_in(dir, "dangling"), "there is no such file"},
        {dir, "is a directory"},
        {pipe_path, "is a pipe"},
        {"/dev/zero", "is a device"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buf b = {0};
        struct err e = {0};
        assert_false(file_read(rows[i].path, LIMIT, &b, &e));
        check_error(&e, ERR_INPUT, rows[i].part);
        check_error(&e, ERR_INPUT, rows[i].path);
        assert_false(file_is_regular(rows[i].path, &e));
        buf_free(&b);
    }
    assert_false(file_exists(path_in(dir, "missing.csv")));
    assert_true(file_exists(dir));
}

static void a_write_replaces_all_and_leaves_nothing_beside(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *path = path_in(dir, "list.csv");
    struct err e = {0};
    assert_true(file_write(path, "one\n", 4, &e));
    assert_file_is(path, "one\n");
    assert_true(file_write(path, "2\n", 2, &e));
    assert_file_is(path, "2\n");
    assert_true(file_write(path, "", 0, &e));
    assert_file_is(path, "");
    assert_int_equal(count_entries(dir), 1);
}

static mode_t mode_of(const char *path)
{
    struct stat st;
    assert_int_equal(stat(path, &st), 0);
    return st.st_mode & 0777;
}

static void a_write_keeps_the_mode_and_a_new_file_obeys_the_umask(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    const char *old = write_file(dir, "private", "x"), *fresh = path_in(dir, "fresh");
    struct err e = {0};
    chmod(old, 0600);
    mode_t mask = umask(027);
    bool ok = file_write(old, "y", 1, &e) && file_write(fresh, "y", 1, &e);
    umask(mask);
    assert_true(ok);
    assert_int_equal(mode_of(old), 0600);
    assert_int_equal(mode_of(fresh), 0640);
}

static void a_link_stays_a_link(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *real = write_file(dir, "real/keys", "old"),
               *link_path = path_in(dir, "keys");
    struct err e = {0};
    assert_int_equal(symlink("real/keys", link_path), 0);
    assert_true(file_write(link_path, "new", 3, &e));
    assert_file_is(real, "new");
    struct stat st;
    assert_int_equal(lstat(link_path, &st), 0);
    assert_true(S_ISLNK(st.st_mode));
    assert_int_equal(count_entries(path_in(dir, "real")), 1);
}

static void a_name_as_long_as_names_may_be_can_be_written(void **state)
{
    (void)state;
    char name[256];
    memset(name, 'n', 255); /* NAME_MAX of the usual file systems */
    name[255] = '\0';
    const char *path = path_in(temp_dir(), name);
    struct err e = {0};
    assert_true(file_write(path, "x", 1, &e));
    assert_file_is(path, "x");
}

static void devices_are_written_straight(void **state)
{
    (void)state;
    struct err e = {0};
    assert_true(file_write("/dev/null", "x", 1, &e));
    assert_false(file_write("/dev/full", "x", 1, &e)); /* full(4): every write gives ENOSPC */
    check_error(&e, ERR_FAILED, strerror(ENOSPC));
    check_error(&e, ERR_FAILED, "/dev/full");
    assert_false(file_write(temp_dir(), "x", 1, &e));
    check_error(&e, ERR_INPUT, "is a directory");
    assert_false(file_write("/nowhere/at/all", "x", 1, &e));
    check_error(&e, ERR_FAILED, strerror(ENOENT));
}

/* Runs f(path) in a child, so that what it does to the process stays there; 0 when it held. */
static int in_child(int (*f)(const char *path), const char *path)
{
    fflush(NULL);
    pid_t pid = fork();
    if (pid == 0)
        _exit(f(path));
    int status = 0;
    waitpid(pid, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : 100 + WTERMSIG(status);
}

static int write_past_the_file_limit(const char *path)
{
    static const char bytes[5000];
    const struct rlimit limit = {.rlim_cur = 1000, .rlim_max = 1000};
    struct err e = {0};
    signal(SIGXFSZ, SIG_IGN);
    if (setrlimit(RLIMIT_FSIZE, &limit) != 0)
        return 1;
    if (file_write(path, bytes, sizeof bytes, &e))
        return 2;
    return strstr(e.text, strerror(EFBIG)) && strstr(e.text, path) ? 0 : 3;
}

static void a_write_that_runs_full_leaves_the_old_file(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *path = write_file(dir, "list.csv", "old\n");
    assert_int_equal(in_child(write_past_the_file_limit, path), 0);
    assert_file_is(path, "old\n");
    assert_int_equal(count_entries(dir), 1);
    const char *fresh = path_in(dir, "fresh.csv");
    assert_int_equal(in_child(write_past_the_file_limit, fresh), 0);
    assert_false(file_exists(fresh));
    assert_int_equal(count_entries(dir), 1);
}

/* As a user without rights: root may write anywhere. */
static int write_without_rights(const char *path)
{
    enum { NOBODY = 65534 };
    struct err e = {0};
    if (getuid() == 0 && setuid(NOBODY) != 0)
        return 1;
    if (file_write(path, "new\n", 4, &e))
        return 2;
    return strstr(e.text, strerror(EACCES)) && strstr(e.text, path) ? 0 : 3;
}

static void a_folder_or_file_that_may_not_be_written_is_left_alone(void **state)
{
    (void)state;
    const char *dir = temp_dir(), *inside = write_file(dir, "closed/list.csv", "old\n"),
               *locked = write_file(dir, "open/list.csv", "old\n");
    chmod(dir, 0755);
    chmod(inside, 0666);
    chmod(path_in(dir, "closed"), 0555);
    chmod(path_in(dir, "open"), 0777);
    chmod(locked, 0444);
    assert_int_equal(in_child(write_without_rights, inside), 0);
    assert_int_equal(in_child(write_without_rights, path_in(dir, "closed/fresh")), 0);
    assert_int_equal(in_child(write_without_rights, locked), 0);
    assert_file_is(inside, "old\n");
    assert_file_is(locked, "old\n");
    assert_int_equal(count_entries(path_in(dir, "closed")), 1);
    assert_int_equal(count_entries(path_in(dir, "open")), 1);
}

static void paths_become_absolute_also_before_the_file_exists(void **state)
{
    (void)state;
    const char *dir = temp_dir();
    struct err e = {0};
    write_file(dir, "sub/there", "x");
    assert_int_equal(symlink("sub", path_in(dir, "link")), 0);
    const struct {
        const char *path, *absolute;
    } rows[] = {
        {path_in(dir, "link/there"), path_in(dir, "sub/there")},
        {path_in(dir, "link/../link/new.show"), path_in(dir, "sub/new.show")},
        {"/new.show", "/new.show"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char *absolute = file_absolute(rows[i].path, &e);
        assert_string_equal(absolute, rows[i].absolute);
        free(absolute);
    }
    assert_null(file_absolute(path_in(dir, "no/where"), &e));
    check_error(&e, ERR_INPUT, "does not exist");
}

static void the_settings_folder_follows_the_base_directory_specification(void **state)
{
    (void)state;
    /* XDG Base Directory Specification: unset or empty means $HOME/.config; relative is ignored. */
    static const struct {
        const char *xdg, *home, *path;
    } rows[] = {
        {"/x/cfg", "/home/pat", "/x/cfg/boxcall/keys"},
        {NULL, "/home/pat", "/home/pat/.config/boxcall/keys"},
        {"", "/home/pat", "/home/pat/.config/boxcall/keys"},
        {"cfg", "/home/pat", "/home/pat/.config/boxcall/keys"},
        {NULL, NULL, NULL},
        {NULL, "", NULL},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        rows[i].xdg ? setenv("XDG_CONFIG_HOME", rows[i].xdg, 1) : unsetenv("XDG_CONFIG_HOME");
        rows[i].home ? setenv("HOME", rows[i].home, 1) : unsetenv("HOME");
        char *path = file_config_path("keys");
        if (rows[i].path)
            assert_string_equal(path, rows[i].path);
        else
            assert_null(path);
        free(path);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_file_is_read_whole_up_to_the_limit),
        cmocka_unit_test(what_is_no_readable_file_is_named_for_what_it_is),
        cmocka_unit_test(a_write_replaces_all_and_leaves_nothing_beside),
        cmocka_unit_test(a_write_keeps_the_mode_and_a_new_file_obeys_the_umask),
        cmocka_unit_test(a_link_stays_a_link),
        cmocka_unit_test(a_name_as_long_as_names_may_be_can_be_written),
        cmocka_unit_test(devices_are_written_straight),
        cmocka_unit_test(a_write_that_runs_full_leaves_the_old_file),
        cmocka_unit_test(a_folder_or_file_that_may_not_be_written_is_left_alone),
        cmocka_unit_test(paths_become_absolute_also_before_the_file_exists),
        cmocka_unit_test(the_settings_folder_follows_the_base_directory_specification),
    };
    return cmocka_run_group_tests_name("files", tests, NULL, NULL);
}
