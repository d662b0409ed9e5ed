/* The disk fails at each write in turn, a program is killed at any moment, two write at once: what
 * was acknowledged stays, what was not is said to be lost. */
#include <errno.h>
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"

/* --- a failing disk --------------------------------------------------------------------------- */

static struct {
    int left; /* calls until the fault, 0: none comes */
    int error;
    bool came, stays;
} fault;

static bool fault_now(void)
{
    if (fault.came ? !fault.stays : fault.left == 0 || --fault.left > 0)
        return false;
    fault.came = true;
    errno = fault.error;
    return true;
}

static ssize_t failing_pwrite(int fd, const void *p, size_t n, off_t at)
{
    return fault_now() ? -1 : pwrite(fd, p, n, at);
}

static int failing_ftruncate(int fd, off_t n)
{
    return fault_now() ? -1 : ftruncate(fd, n);
}

static void replace_calls(bool replace)
{
    sqlite3_vfs *v = sqlite3_vfs_find("unix");
    static const char *const writes[] = {"pwrite", "pwrite64"};
    for (int i = 0; i < 2; i++)
        v->xSetSystemCall(v, writes[i],
                          replace ? (sqlite3_syscall_ptr)failing_pwrite : (sqlite3_syscall_ptr)0);
    v->xSetSystemCall(v, "ftruncate",
                      replace ? (sqlite3_syscall_ptr)failing_ftruncate : (sqlite3_syscall_ptr)0);
}

static const struct disk_row {
    const char *name;
    int error;
    bool stays;
    const char *said; /* what stands in the message */
} disks[] = {
    {"a disk that is full once", ENOSPC, false, "the disk is full; this was not saved"},
    {"a disk that stays full", ENOSPC, true, "the disk is full; this was not saved"},
    {"a file that may not grow", EFBIG, true, "the disk refused ("},
    {"a disk that is broken once", EIO, false, "the disk refused ("},
};

/* One mark with the nth write failing. True when the fault came. */
static bool mark_on_failing_disk(const struct disk_row *d, int n)
{
    struct season s = season_new();
    add_mark(&s, "T1", "late", 1000000);
    struct mark m = mark_of(&s, "T1;T2;U1", "slouch", 2000000);
    fault.left = n;
    fault.error = d->error;
    fault.stays = d->stays;
    fault.came = false;
    bool ok = store_mark_add(s.store, &s.show, &m, &s.e);
    bool came = fault.came;
    if (!ok) {
        assert_true(came);
        assert_int_equal(s.e.code, ERR_FAILED);
        if (!strstr(s.e.text, d->said))
            fail_msg("write %d: %s", n, s.e.text);
    }
    fault.left = 0;
    fault.came = false; /* room was made */
    assert_int_equal(marks_of(&s).n, 1 + ok);
    add_mark(&s, "U1", "late", 3000000);
    season_close(&s);
    season_open(&s);
    assert_int_equal(marks_of(&s).n, 2 + ok);
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
    return came;
}

static void loses_nothing_and_says_so(void **state)
{
    const struct disk_row *d = *state;
    int n = 1;
    season_close(&(struct season[]){season_new()}[0]); /* made while the disk is whole */
    replace_calls(true);
    while (mark_on_failing_disk(d, n))
        n++;
    replace_calls(false);
    assert_true(n > 3); /* or this test would prove nothing */
}

/* --- other programs -----------------------------------------------------------------------------
 */

/* A child that makes marks and tells each one that was acknowledged by a byte. */
static pid_t start_marker(const char *path, int marks, int tell)
{
    pid_t pid = fork();
    if (pid)
        return pid;
    struct season s = {.path = path};
    if (!store_open(path, &s.store, &s.e) || !store_show(s.store, &s.memory, &s.show, &s.e))
        _exit(1);
    for (int i = 0; i < marks; i++) {
        struct mark m = {.clip = 1, .at_us = i, .end_us = -1, .severity = 1, .set = -1, .note = ""};
        struct target t = {.section = 0, .performer = -1};
        m.targets = &t;
        m.n_targets = 1;
        if (!store_mark_add(s.store, &s.show, &m, &s.e) || write(tell, "x", 1) != 1)
            _exit(2);
    }
    store_close(s.store);
    _exit(0);
}

static size_t drain(int fd)
{
    char bytes[4096];
    size_t all = 0;
    for (ssize_t n; (n = read(fd, bytes, sizeof bytes)) > 0;)
        all += (size_t)n;
    return all;
}

static void a_program_killed_at_any_moment_loses_no_acknowledged_mark(void **state)
{
    (void)state;
    enum { ROUNDS = 40 };
    struct season s = season_new();
    season_close(&s);
    size_t acknowledged = 0, cut_short = 0;
    unsigned chance = 29;
    for (int round = 0; round < ROUNDS; round++) {
        int tell[2];
        char first[64];
        assert_int_equal(pipe(tell), 0);
        pid_t pid = start_marker(s.path, 1000, tell[1]);
        close(tell[1]);
        chance = chance * 1103515245u + 12345u;
        size_t heard = 0, wait_for = chance >> 16 & 3;
        while (heard < wait_for) { /* die after some marks and a moment more */
            ssize_t n = read(tell[0], first, 1);
            assert_int_equal(n, 1);
            heard++;
        }
        for (volatile unsigned spin = chance >> 12 & 0x1ffff; spin > 0; spin--)
            ;
        kill(pid, SIGKILL);
        acknowledged += heard + drain(tell[0]);
        close(tell[0]);
        int status;
        waitpid(pid, &status, 0);
        cut_short += WIFSIGNALED(status);
    }
    season_open(&s);
    size_t there = marks_of(&s).n;
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
    assert_int_equal(cut_short, ROUNDS);
    assert_true(acknowledged > 0);
    assert_in_range(there, acknowledged, acknowledged + ROUNDS);
}

static void two_programs_that_write_at_once_lose_nothing(void **state)
{
    (void)state;
    enum { EACH = 12 };
    struct season s = season_new();
    season_close(&s);
    int tell[2];
    assert_int_equal(pipe(tell), 0);
    pid_t a = start_marker(s.path, EACH, tell[1]), b = start_marker(s.path, EACH, tell[1]);
    close(tell[1]);
    assert_int_equal(drain(tell[0]), 2 * EACH);
    close(tell[0]);
    int status;
    assert_true(waitpid(a, &status, 0) == a && status == 0);
    assert_true(waitpid(b, &status, 0) == b && status == 0);
    season_open(&s);
    assert_int_equal(marks_of(&s).n, 2 * EACH);
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
}

static void a_program_that_holds_the_file_too_long_is_named(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    season_open(&other);
    sqlite3_busy_timeout(other.store->db, 50);
    OK(&s, step_open(s.store, "long", &s.e));
    struct mark m = mark_of(&other, "T1", "late", 1000000);
    assert_false(store_mark_add(other.store, &other.show, &m, &other.e));
    assert_int_equal(other.e.code, ERR_FAILED);
    assert_non_null(strstr(other.e.text, "another program is writing to it; nothing was saved"));
    OK(&s, step_close(s.store, true, &s.e));
    OK(&other, store_mark_add(other.store, &other.show, &m, &other.e));
    season_close(&other);
    season_close(&s);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, disks, loses_nothing_and_says_so);
    case_test(&all, a_program_killed_at_any_moment_loses_no_acknowledged_mark);
    case_test(&all, two_programs_that_write_at_once_lose_nothing);
    case_test(&all, a_program_that_holds_the_file_too_long_is_named);
    return cases_run(&all, "disks and other programs");
}
