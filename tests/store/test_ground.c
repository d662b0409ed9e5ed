/* The file under an open show: moved, replaced, written over, read only, of a strange shape; and
 * the whole copy. */
#include <signal.h>
#include <sqlite3.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <sys/vfs.h>
#include <sys/wait.h>
#include <unistd.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"
#include "sys/file.h"

static bool try_mark(struct season *s)
{
    struct mark m = mark_of(s, "T1", "late", 9000000);
    s->e = (struct err){0};
    return store_mark_add(s->store, &s->show, &m, &s->e);
}

static void assert_lost(struct season *s, const char *why)
{
    assert_false(store_holds(s->store, &s->e));
    assert_false(try_mark(s));
    assert_int_equal(s->e.code, ERR_FAILED);
    if (!strstr(s->e.text, why) || !strstr(s->e.text, ":copy FILE saves a copy"))
        fail_msg("%s", s->e.text);
}

/* --- the ground moves ------------------------------------------------------------------------ */

static const struct move_row {
    const char *name, *command, *why;
} moves_away[] = {
    {"deleted", "rm '%s'", "was deleted or renamed"},
    {"renamed", "mv '%s' '%s.moved'", "was deleted or renamed"},
    {"replaced by another file", "cp '%s.old' '%s.new' && mv '%s.new' '%s'",
     "was replaced by another file"},
    {"written over in place", "cp '%s.old' '%s'", "was written over by another program"},
    {"written over with what it was", "cat '%s.old' > '%s'", "was written over by another program"},
};

/* Every '%s' is the show's path. */
static void do_to(const char *command, const char *path)
{
    struct buf line = {0};
    for (const char *p = command; *p; p++)
        if (strncmp(p, "%s", 2) == 0) {
            buf_str(&line, path);
            p++;
        } else {
            buf_char(&line, *p);
        }
    assert_int_equal(system(line.p), 0);
    buf_free(&line);
}

static void nothing_is_acknowledged_any_more_and_a_copy_has_what_there_was(void **state)
{
    const struct move_row *row = *state;
    struct season s = season_new();
    season_close(&s);
    do_to("cp '%s' '%s.old'", s.path);
    season_open(&s);
    for (int i = 0; i < 30; i++)
        add_mark(&s, "T2", "late", i);
    season_close(&s);
    do_to("cp '%s' '%s.other'", s.path);
    season_open(&s);
    add_mark(&s, "T1", "late", 1000000);
    store_settle(s.store);
    add_mark(&s, "T1", "late", 2000000);
    assert_true(store_holds(s.store, &s.e));
    usleep(20000); /* a clock tick of the file system, or the change has no other time */
    do_to(row->command, s.path);
    assert_lost(&s, row->why);
    assert_lost(&s, row->why); /* and it stays so */
    const char *copy = arena_printf(test_arena(), "%s.copy", s.path);
    OK(&s, store_copy(s.store, copy, &s.e));
    struct season c = {.path = copy};
    season_open(&c);
    OK(&c, store_check(c.store, &c.e));
    OK(&c, store_holds(c.store, &c.e));
    add_mark(&c, "T1", "late", 2000000);
    season_close(&c);
    season_close(&s);
}

/* The copy that a person put back is theirs: neither leaving the review nor a look at it pours the
 * old log into it. */
static void a_copy_put_back_under_an_open_show_stays_what_it_is(void **state)
{
    (void)state;
    static const char *const ways[] = {"cp '%s.old' '%s'",
                                       "cp '%s.old' '%s.new' && mv '%s.new' '%s'"};
    for (size_t i = 0; i < 2; i++) {
        struct season s = season_new();
        size_t n, m;
        season_close(&s);
        do_to("cp '%s' '%s.old'", s.path);
        char *was = read_file(s.path, &n);
        season_open(&s);
        for (int k = 0; k < 40; k++)
            add_mark(&s, "T1;T2", "late", k * 1000000);
        store_settle(s.store); /* before it the file alone still is, byte for byte, the copy */
        for (int k = 0; k < 5; k++)
            add_mark(&s, "T1", "late", k * 1000000);
        usleep(20000);
        do_to(ways[i], s.path);
        season_close(&s); /* whether or not it was noticed before */
        char *now = read_file(s.path, &m);
        assert_true(n == m && memcmp(was, now, n) == 0);
        season_open(&s);
        assert_int_equal(marks_of(&s).n, 0);
        OK(&s, store_check(s.store, &s.e));
        add_mark(&s, "T1", "late", 1000000);
        season_close(&s);
    }
}

static void a_copy_elsewhere_finds_the_clips_beside_the_show(void **state)
{
    (void)state;
    struct season s = season_new(), c = {.path = path_in(temp_dir(), "copy.show")};
    char *folder = arena_strndup(test_arena(), s.path, strlen(s.path) - strlen("/larkspur.show"));
    struct clip clip = {.label = "beside",
                        .path = path_in(folder, "runs/a.mp4"),
                        .date = "2026-09-15",
                        .run = 1,
                        .sha256 = "x",
                        .head_tail = ""};
    OK(&s, store_clip_put(s.store, &clip, &s.e));
    OK(&s, store_copy(s.store, c.path, &s.e));
    OK(&s, store_copy(s.store, path_in(folder, "here.show"), &s.e));
    season_close(&s);
    season_open(&c);
    struct clip_list l;
    OK(&c, store_clips(c.store, test_arena(), &l, &c.e));
    assert_string_equal(clip_named(&l, "beside", &c.e)->path, clip.path);
    season_close(&c);
    c.path = path_in(folder, "here.show");
    season_open(&c);
    OK(&c, store_clips(c.store, test_arena(), &l, &c.e));
    assert_string_equal(clip_named(&l, "beside", &c.e)->link, "runs/a.mp4"); /* can be carried */
    season_close(&c);
}

static void a_file_that_was_only_touched_goes_on(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "T1", "late", 1000000);
    OK(&s, store_holds(s.store, &s.e));
    usleep(20000);
    do_to("touch '%s'; chmod 600 '%s'; cat '%s' > '%s.same'; cat '%s.same' > '%s'", s.path);
    OK(&s, store_holds(s.store, &s.e));
    add_mark(&s, "T1", "late", 2000000);
    assert_int_equal(marks_of(&s).n, 2);
    season_close(&s);
    season_open(&s);
    assert_int_equal(marks_of(&s).n, 2);
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
}

static void marks_of_the_log_are_in_the_copy_and_a_name_that_is_taken_is_refused(void **state)
{
    (void)state;
    struct season s = season_new(), c = {.path = path_in(temp_dir(), "copy.show")};
    for (int i = 0; i < 25; i++)
        add_mark(&s, "T1", "late", i * 1000000);
    OK(&s, store_copy(s.store, c.path, &s.e));
    season_open(&c);
    assert_int_equal(marks_of(&c).n, 25);
    season_close(&c);
    assert_false(store_copy(s.store, c.path, &s.e));
    assert_int_equal(s.e.code, ERR_INPUT);
    assert_non_null(strstr(s.e.text, "is there already; choose another name"));
    season_close(&s);
}

/* A child that writes and carries the log over again and again is a show program: no alarm. */
static void checkpoints_of_other_programs_are_no_alarm(void **state)
{
    (void)state;
    enum { CARRIED = 25 };
    struct season s = season_new();
    season_close(&s);
    pid_t pid = fork();
    if (pid == 0) {
        struct season other = {.path = s.path};
        if (!store_open(s.path, &other.store, &other.e) ||
            !store_show(other.store, &other.memory, &other.show, &other.e))
            _exit(1);
        struct target t = {.section = 0, .performer = -1};
        for (int i = 0;; i++) {
            struct mark m = {.clip = 1,
                             .at_us = i,
                             .end_us = -1,
                             .severity = 1,
                             .set = -1,
                             .note = "",
                             .targets = &t,
                             .n_targets = 1};
            if (!store_mark_add(other.store, &other.show, &m, &other.e))
                _exit(2);
            if (i % 3 == 0)
                store_settle(other.store);
            usleep(500); /* let the others have the lock */
        }
    }
    season_open(&s);
    int status, carried = 0;
    for (int64_t last = 0; carried < CARRIED;) {
        if (!store_holds(s.store, &s.e))
            fail_msg("after %d: %s", carried, s.e.text);
        assert_int_equal(waitpid(pid, &status, WNOHANG), 0);
        if (s.store->ground.mtime_ns == last)
            continue;
        last = s.store->ground.mtime_ns; /* the child has written into the file */
        if (carried++ % 5 == 0)
            if (!try_mark(&s))
                fail_msg("after %d: %s", carried, s.e.text);
    }
    kill(pid, SIGKILL);
    waitpid(pid, &status, 0);
    OK(&s, store_holds(s.store, &s.e));
    season_close(&s);
}

static void a_quiet_moment_makes_the_file_alone_whole(void **state)
{
    (void)state;
    struct season s = season_new(), c = {.path = path_in(temp_dir(), "copy.show")};
    add_mark(&s, "T1", "late", 1000000);
    store_settle(s.store);
    assert_int_equal(system(arena_printf(test_arena(), "cp '%s' '%s'", s.path, c.path)), 0);
    season_open(&c);
    assert_int_equal(marks_of(&c).n, 1);
    season_close(&c);
    OK(&s, store_holds(s.store, &s.e)); /* one's own checkpoint is no alarm either */
    add_mark(&s, "T1", "late", 2000000);
    season_close(&s);
}

/* --- a copy put back while an old log lies beside ----------------------------------------------
 */

static void a_log_that_belongs_to_another_copy_is_named(void **state)
{
    (void)state;
    struct season s = season_new();
    season_close(&s);
    do_to("cp '%s' '%s.old'", s.path);
    pid_t pid = fork();
    if (pid == 0) { /* dies with marks in the log */
        struct season other = {.path = s.path};
        if (!store_open(s.path, &other.store, &other.e) ||
            !store_show(other.store, &other.memory, &other.show, &other.e))
            _exit(1);
        struct target t = {.section = 0, .performer = -1};
        struct mark m = {.clip = 1,
                         .at_us = 1,
                         .end_us = -1,
                         .severity = 1,
                         .set = -1,
                         .note = "",
                         .targets = &t,
                         .n_targets = 1};
        for (int i = 0; i < 200; i++)
            store_mark_add(other.store, &other.show, &m, &other.e);
        kill(getpid(), SIGKILL);
    }
    waitpid(pid, NULL, 0);
    do_to("head -c 8192 '%s.old' > '%s.cut' && cat '%s.cut' > '%s' && truncate -s 200000 '%s'",
          s.path);
    size_t n, m;
    const char *log = arena_printf(test_arena(), "%s-wal", s.path);
    char *file = read_file(s.path, &n), *now;
    assert_false(store_open(s.path, &s.store, &s.e));
    now = read_file(s.path, &m);
    assert_true(n == m && memcmp(file, now, n) == 0); /* it was looked at, not written to */
    assert_int_equal(access(log, F_OK), 0);
    if (s.e.code != ERR_SHOW || !strstr(s.e.text, "-wal"))
        fail_msg("%s", s.e.text);
}

/* --- network folders ------------------------------------------------------------------------- */

/* Both stand in front of what the program asks: the system's own statfs, and the list of mounts. */
static long magic;
static const char *kind;

int statfs(const char *path, struct statfs *out)
{
    int rc = (int)syscall(SYS_statfs, path, out);
    if (rc == 0 && magic)
        out->f_type = magic;
    return rc;
}

bool file_system_kind(const char *path, char *out, size_t size)
{
    (void)path;
    snprintf(out, size, "%s", kind ? kind : "ext4");
    return true;
}

/* Magic numbers: statfs(2). */
static const struct network {
    const char *name;
    long magic;
    const char *kind, *said; /* said: NULL where the show opens */
} networks_seen[] = {
    {"NFS", 0x6969, "nfs4", "(NFS)"},
    {"SMB, as the client of today says", 0xFE534D42, "cifs", "(SMB)"},
    {"CIFS", 0xFF534D42, "cifs", "(CIFS)"},
    {"a folder of a virtual machine's host", 0x01021997, "9p", "(9P)"},
    {"a folder served by a program", 0x65735546, "fuse.sshfs", "(sshfs)"},
    {"a disk served by a program", 0x65735546, "fuseblk", NULL},
    {"a disk", 0xEF53, "ext4", NULL},
    {"memory", 0x01021994, "tmpfs", NULL},
};

static void a_network_folder_is_refused_with_the_way_out(void **state)
{
    const struct network *n = *state;
    struct season s = season_new();
    season_close(&s);
    size_t size, after;
    char *before = read_file(s.path, &size);
    magic = n->magic;
    kind = n->kind;
    bool opened = store_open(s.path, &s.store, &s.e);
    struct store *made = NULL;
    const char *fresh = path_in(temp_dir(), "new.show");
    struct err why = {0};
    bool created = store_create(fresh, "x", "college", &made, &why);
    magic = 0;
    kind = NULL;
    store_close(made);
    if (opened)
        store_close(s.store);
    assert_int_equal(opened, n->said == NULL);
    assert_int_equal(created, n->said == NULL);
    if (!n->said)
        return;
    assert_int_equal(s.e.code, ERR_SHOW);
    assert_non_null(strstr(s.e.text, n->said));
    assert_non_null(strstr(s.e.text, "copy it to a folder of this laptop, work there"));
    assert_int_equal(access(fresh, F_OK), -1);
    char *now = read_file(s.path, &after);
    assert_true(size == after && memcmp(before, now, size) == 0);
}

/* --- shapes ---------------------------------------------------------------------------------- */

static const struct shape_row {
    const char *name, *sql;
} shapes[] = {
    {"a view in place of a table",
     "ALTER TABLE place RENAME TO was; CREATE VIEW place AS WITH RECURSIVE x(i) AS (SELECT 1 "
     "UNION ALL SELECT i+1 FROM x) SELECT i AS clip_id, i AS at_us FROM x"},
    {"a view beside them", "CREATE VIEW more AS SELECT 1"},
    {"a trigger", "CREATE TRIGGER t AFTER INSERT ON mark BEGIN DELETE FROM mark; END"},
    {"a table of somebody else's", "CREATE TABLE theirs(x)"},
    {"a column more", "ALTER TABLE mark ADD COLUMN theirs"},
    {"an index less", "DROP INDEX mark_shown"},
    {"a table less", "DROP TABLE rep_fix"},
};

static void is_refused_by_name(void **state)
{
    const struct shape_row *row = *state;
    struct season s = season_new();
    season_close(&s);
    sqlite3 *db;
    char *why = NULL;
    assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
    if (sqlite3_exec(db, row->sql, NULL, NULL, &why) != SQLITE_OK)
        fail_msg("%s", why);
    sqlite3_close(db);
    assert_false(store_open(s.path, &s.store, &s.e));
    assert_int_equal(s.e.code, ERR_SHOW);
    assert_non_null(strstr(s.e.text, "is not a whole show file ("));
}

static void huge_row_numbers_cost_nothing_and_are_found(void **state)
{
    (void)state;
    struct season s = season_new();
    season_close(&s);
    sqlite3 *db;
    assert_int_equal(sqlite3_open(s.path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db,
                                  "UPDATE performer SET id=id+9000000000000000 WHERE label='T2'; "
                                  "UPDATE performer SET id=99999999 WHERE label='U1'",
                                  NULL, NULL, NULL),
                     SQLITE_OK);
    sqlite3_close(db);
    season_open(&s);
    int t2 = show_performer(&s.show, "T2");
    add_mark(&s, "T2;U1", "late", 1000000);
    assert_int_equal(marks_of(&s).at[0].targets[0].performer, t2);
    assert_int_equal(s.store->performer_at.n_far, 2);
    assert_true(s.store->performer_at.n < 1000);
    season_close(&s);
}

/* --- reading alone --------------------------------------------------------------------------- */

/* As somebody who may not write: root may, whatever the mode. */
static int as_nobody(const char *path, bool expect_log)
{
    pid_t pid = fork();
    if (pid == 0) {
        struct season s = {.path = path};
        if (geteuid() == 0 && (setgid(65534) != 0 || setuid(65534) != 0))
            _exit(9);
        if (!store_open(path, &s.store, &s.e)) {
            fprintf(stderr, "%s\n", s.e.text);
            _exit(expect_log && strstr(s.e.text, "newest marks stand in") ? 7 : 1);
        }
        if (!store_show(s.store, &s.memory, &s.show, &s.e) || !store_read_only(s.store))
            _exit(2);
        struct mark_list l;
        if (!store_marks(s.store, &s.memory, 1, &l, &s.e) || l.n != 1)
            _exit(3);
        struct mark m = mark_of(&s, "T1", "late", 1);
        if (store_mark_add(s.store, &s.show, &m, &s.e) || !strstr(s.e.text, "may not be written"))
            _exit(4);
        store_close(s.store);
        _exit(0);
    }
    int status;
    waitpid(pid, &status, 0);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static void a_show_that_may_not_be_written_is_read_and_nothing_is_left_beside_it(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "T1", "late", 1000000);
    season_close(&s);
    char *folder = arena_strdup(test_arena(), s.path);
    *strrchr(folder, '/') = '\0';
    assert_int_equal(chmod(s.path, 0444), 0); /* the file alone */
    assert_int_equal(chmod(folder, 0777), 0);
    assert_int_equal(as_nobody(s.path, false), 0);
    assert_int_equal(access(arena_printf(test_arena(), "%s-shm", s.path), F_OK), -1);
    assert_int_equal(chmod(s.path, 0666), 0); /* the folder alone */
    assert_int_equal(chmod(folder, 0555), 0);
    assert_int_equal(as_nobody(s.path, false), 0);
    assert_int_equal(chmod(folder, 0755), 0);
    season_open(&s); /* and it can be written again */
    add_mark(&s, "T1", "late", 2000000);
    season_close(&s);
}

/* Somebody who may only read has it open while its owner writes. */
static void a_reader_says_that_the_file_changed_and_leaves_the_owners_log_alone(void **state)
{
    (void)state;
    struct season s = season_new();
    season_close(&s);
    char *folder = arena_strdup(test_arena(), s.path);
    *strrchr(folder, '/') = '\0';
    if (geteuid() != 0)
        skip();
    assert_int_equal(chmod(s.path, 0444), 0);
    assert_int_equal(chmod(folder, 0777), 0);
    int opened[2], written[2], status;
    char byte = 0;
    assert_true(pipe(opened) == 0 && pipe(written) == 0);
    pid_t pid = fork();
    if (pid == 0) {
        if (setgid(65534) != 0 || setuid(65534) != 0 || !store_open(s.path, &s.store, &s.e) ||
            !store_holds(s.store, &s.e))
            _exit(1);
        if (write(opened[1], &byte, 1) != 1 || read(written[0], &byte, 1) != 1)
            _exit(2);
        if (store_holds(s.store, &s.e) || !strstr(s.e.text, "has changed since it was opened"))
            _exit(3);
        store_close(s.store);
        _exit(0);
    }
    assert_int_equal(read(opened[0], &byte, 1), 1);
    season_open(&s);
    add_mark(&s, "T1", "late", 1000000);
    store_settle(s.store);
    add_mark(&s, "T1", "late", 2000000);
    assert_int_equal(write(written[1], &byte, 1), 1);
    waitpid(pid, &status, 0);
    assert_int_equal(WIFEXITED(status) ? WEXITSTATUS(status) : -1, 0);
    assert_int_equal(access(arena_printf(test_arena(), "%s-wal", s.path), F_OK), 0);
    assert_int_equal(access(arena_printf(test_arena(), "%s-wal.lost", s.path), F_OK), -1);
    for (int i = 0; i < 2; i++) {
        close(opened[i]);
        close(written[i]);
    }
    season_close(&s);
    season_open(&s);
    assert_int_equal(marks_of(&s).n, 2);
    season_close(&s);
}

static void an_index_left_unwritable_is_mended(void **state)
{
    (void)state;
    struct season s = season_new();
    season_close(&s);
    const char *index = arena_printf(test_arena(), "%s-shm", s.path);
    char *folder = arena_strdup(test_arena(), s.path);
    *strrchr(folder, '/') = '\0';
    if (geteuid() != 0)
        skip();
    assert_int_equal(
        system(arena_printf(test_arena(), "truncate -s 32768 '%s'; chmod 444 '%s'", index, index)),
        0);
    assert_int_equal(system(arena_printf(test_arena(), "chown -R 65534:65534 '%s'", folder)), 0);
    pid_t pid = fork();
    if (pid == 0) {
        if (setgid(65534) != 0 || setuid(65534) != 0 || !store_open(s.path, &s.store, &s.e)) {
            fprintf(stderr, "%s\n", s.e.text);
            _exit(1);
        }
        bool ok = store_show(s.store, &s.memory, &s.show, &s.e) && try_mark(&s);
        store_close(s.store);
        _exit(ok ? 0 : 2);
    }
    int status;
    waitpid(pid, &status, 0);
    assert_int_equal(status, 0);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, moves_away, nothing_is_acknowledged_any_more_and_a_copy_has_what_there_was);
    case_test(&all, a_copy_put_back_under_an_open_show_stays_what_it_is);
    case_test(&all, a_copy_elsewhere_finds_the_clips_beside_the_show);
    case_test(&all, a_file_that_was_only_touched_goes_on);
    case_test(&all, marks_of_the_log_are_in_the_copy_and_a_name_that_is_taken_is_refused);
    case_test(&all, checkpoints_of_other_programs_are_no_alarm);
    case_test(&all, a_quiet_moment_makes_the_file_alone_whole);
    case_test(&all, a_log_that_belongs_to_another_copy_is_named);
    cases_of(&all, networks_seen, a_network_folder_is_refused_with_the_way_out);
    cases_of(&all, shapes, is_refused_by_name);
    case_test(&all, huge_row_numbers_cost_nothing_and_are_found);
    case_test(&all, a_show_that_may_not_be_written_is_read_and_nothing_is_left_beside_it);
    case_test(&all, a_reader_says_that_the_file_changed_and_leaves_the_owners_log_alone);
    case_test(&all, an_index_left_unwritable_is_mended);
    return cases_run(&all, "the file under a show");
}
