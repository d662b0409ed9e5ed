/* Two reviews and a script on one show file: nobody loses what the other was told, and both screens
 * come to show what is in the file. */
#include <sys/wait.h>
#include <unistd.h>

#include <sqlite3.h>

#include "review/stage.h"

enum { ROUNDS = 12, BY_SCRIPT = 12 };

static struct stage a, b;
static struct call rows[CALLS_MOST];

/* Without pictures: the terminal's answers to them would lie in the queue of a review that waits
 * for the file, and look like keys that it had not taken (keys_taken). */
static void open_both(void)
{
    static const char *const env[] = {"BOXCALL_AUTHOR=Ben Rook", NULL};
    a = stage_new();
    a.options[0] = "--picture";
    a.options[1] = "none";
    b = a;
    b.home = temp_dir();
    stage_open(&a, NULL, NULL);
    stage_open(&b, &(struct term_setup){.env = env}, NULL);
}

static void quit_both(void)
{
    stage_quit(&a);
    stage_quit(&b);
    struct run check = run("boxcall", "check", a.show, NULL);
    assert_exit(check, 0);
}

static size_t by(const char *author, size_t n)
{
    size_t count = 0;
    for (size_t i = 0; i < n; i++)
        count += strcmp(rows[i].author, author) == 0;
    return count;
}

static struct call found(size_t n, const char *who, const char *fault)
{
    for (size_t i = 0; i < n; i++)
        if (strcmp(rows[i].who, who) == 0 && strcmp(rows[i].fault, fault) == 0)
            return rows[i];
    fail_msg("no mark %s, %s", who, fault);
    return rows[0];
}

/* Both screens, and the file, have so many. */
static void assert_all_have(size_t n)
{
    const char *marks = arena_printf(test_arena(), " %zu mark", n);
    assert_int_equal(stage_calls(&a, "run", rows), n);
    term_wait_row(a.t, 0, marks);
    term_wait_row(b.t, 0, marks);
}

static void chords_typed_at_once_are_all_kept_and_shown(void **state)
{
    (void)state;
    open_both();
    for (int i = 0; i < ROUNDS; i++) {
        int t = 1 + i % 8, m = 1 + i % 4;
        const char *mine = arena_printf(test_arena(), "t%dh", t);
        const char *theirs = arena_printf(test_arena(), "m%dp", m);
        term_send(a.t, mine, strlen(mine));
        term_send(b.t, theirs, strlen(theirs));
        term_wait_row(a.t, -1, arena_printf(test_arena(), "T%d, horn angle", t));
        term_wait_row(b.t, -1, arena_printf(test_arena(), "M%d, out of step", m));
        assert_all_have(2 * (size_t)i + 2);
    }
    assert_int_equal(by("Ana Quill", 2 * ROUNDS), ROUNDS);
    assert_int_equal(by("Ben Rook", 2 * ROUNDS), ROUNDS);
    quit_both();
}

/* A third program writes; both reviews have taken their keys and stand behind it. Whoever is let in
 * last works on old news. */
static sqlite3 *hold(void)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(a.show, &db), SQLITE_OK);
    sqlite3_busy_timeout(db, DEADLINE_MS);
    assert_int_equal(sqlite3_exec(db, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
    return db;
}

static bool keys_taken(void *user)
{
    return term_taken(user);
}

static void let_both_in(sqlite3 *db)
{
    term_wait_until(a.t, keys_taken, a.t, "every key taken");
    term_wait_until(b.t, keys_taken, b.t, "every key taken");
    assert_int_equal(sqlite3_exec(db, "COMMIT", NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

static void a_chord_typed_on_old_news_hides_no_mark(void **state)
{
    (void)state;
    open_both();
    for (int i = 0; i < ROUNDS; i++) {
        int t = 1 + i % 8, m = 1 + i % 4;
        sqlite3 *db = hold();
        term_send(a.t, arena_printf(test_arena(), "t%dh", t), 3);
        term_send(b.t, arena_printf(test_arena(), "m%dp", m), 3);
        let_both_in(db);
        term_wait_row(a.t, -1, arena_printf(test_arena(), "T%d, horn angle", t));
        term_wait_row(b.t, -1, arena_printf(test_arena(), "M%d, out of step", m));
        assert_all_have(2 * (size_t)i + 2);
    }
    quit_both();
}

/* --- a script meanwhile ---------------------------------------------------------------------- */

static pid_t script(const char *log)
{
    pid_t pid = fork();
    if (pid == 0) {
        execl("/bin/sh", "sh", "-c",
              "i=0; while [ $i -lt $2 ]; do i=$((i + 1)); "
              "\"$0\" mark \"$1\" run $i U1 dress --note \"script $i\" --author 'Cleo Marsh' "
              "2>>\"$3\" || echo \"failed: $i\" >>\"$3\"; done",
              program_path("boxcall"), a.show, arena_printf(test_arena(), "%d", BY_SCRIPT), log,
              (char *)NULL);
        _exit(127);
    }
    return pid;
}

static void a_script_beside_two_reviews_loses_nobody_a_mark(void **state)
{
    (void)state;
    open_both();
    const char *log = write_file(a.dir, "script.log", "");
    pid_t pid = script(log);
    for (int i = 0; i < ROUNDS; i++) {
        int t = 1 + i % 8, m = 1 + i % 4;
        const char *mine = arena_printf(test_arena(), "t%dh", t);
        const char *theirs = arena_printf(test_arena(), "m%dp", m);
        term_send(a.t, mine, strlen(mine));
        term_send(b.t, theirs, strlen(theirs));
        term_wait_row(a.t, -1, arena_printf(test_arena(), "T%d, horn angle", t));
        term_wait_row(b.t, -1, arena_printf(test_arena(), "M%d, out of step", m));
        term_keys(a.t, "3");
        term_keys(b.t, "2");
        term_wait_row(a.t, -1, "severity 3");
        term_wait_row(b.t, -1, "severity 2");
    }
    int status;
    assert_int_equal(waitpid(pid, &status, 0), pid);
    assert_lacks(read_file(log, NULL), "failed:");
    assert_all_have(2 * ROUNDS + BY_SCRIPT);
    for (size_t i = 0; i < 2 * ROUNDS + BY_SCRIPT; i++) {
        const struct call *c = &rows[i];
        bool by_script = strcmp(c->author, "Cleo Marsh") == 0;
        assert_int_equal(c->severity, by_script ? 1 : strcmp(c->author, "Ben Rook") == 0 ? 2 : 3);
        assert_int_equal(strncmp(c->note, "script ", 7) == 0, by_script);
    }
    quit_both();
}

/* --- what is said about a mark ---------------------------------------------------------------- */

static void note(struct stage *s, const char *text)
{
    term_keys(s->t, "Enter");
    term_wait_row(s->t, -1, "note:");
    term_type(s->t, text);
    term_keys(s->t, "Enter");
    term_wait_row(s->t, -1, "noted");
}

static void notes_and_severities_of_both_stay(void **state)
{
    (void)state;
    open_both();
    term_send(a.t, "t1h", 3);
    term_wait_row(a.t, -1, "T1, horn angle");
    term_wait_row(b.t, 0, "1 mark");
    term_send(b.t, "m1p", 3);
    term_wait_row(b.t, -1, "M1, out of step");
    note(&a, "bells up");
    note(&b, "left foot");
    term_keys(a.t, "3");
    term_keys(b.t, "2");
    term_wait_row(a.t, -1, "severity 3");
    term_wait_row(b.t, -1, "severity 2");
    assert_all_have(2);
    struct call mine = found(2, "T1", "horn angle"), theirs = found(2, "M1", "out of step");
    assert_string_equal(mine.note, "bells up");
    assert_int_equal(mine.severity, 3);
    assert_string_equal(theirs.note, "left foot");
    assert_int_equal(theirs.severity, 2);
    quit_both();
}

/* Both speak about the same mark at once: each changes what it said and nothing else. */
static void two_things_said_of_one_mark_both_stay(void **state)
{
    (void)state;
    open_both();
    stage_go(&a, 60);
    term_send(a.t, "t1h", 3);
    term_wait_row(a.t, -1, "T1, horn angle");
    term_wait_row(b.t, 0, "1 mark");
    term_keys(b.t, "Down"); /* to the call */
    stage_wait_frame(&b, 60);
    term_keys(b.t, "Enter");
    term_wait_row(b.t, -1, "note:");
    term_type(b.t, "left foot");
    sqlite3 *db = hold();
    term_keys(a.t, "3");
    term_keys(b.t, "Enter");
    sqlite3_exec(db, "UPDATE mark SET state=1; UPDATE mark_target SET state=1", NULL, NULL, NULL);
    let_both_in(db);
    term_wait_row(a.t, -1, "severity 3");
    term_wait_row(b.t, -1, "noted");
    assert_int_equal(stage_calls(&a, "run", rows), 1);
    assert_string_equal(rows[0].note, "left foot");
    assert_int_equal(rows[0].severity, 3);
    assert_contains(stage_json(&a), "\"state\": \"repped\"");
    quit_both();
}

static void undo_takes_back_ones_own_mark_only(void **state)
{
    (void)state;
    open_both();
    term_send(a.t, "t1h", 3);
    term_wait_row(a.t, -1, "T1, horn angle");
    term_wait_row(b.t, 0, "1 mark");
    term_send(b.t, "m1p", 3);
    term_wait_row(b.t, -1, "M1, out of step");
    term_wait_row(a.t, 0, "2 marks");
    term_keys(a.t, "Ctrl-z");
    term_wait_row(a.t, 0, "1 mark");
    assert_int_equal(stage_calls(&a, "run", rows), 1);
    assert_string_equal(rows[0].who, "M1");
    term_wait_row(b.t, 0, "1 mark");
    term_send(b.t, "m2p", 3); /* empties nobody else's 'again' */
    term_wait_row(b.t, -1, "M2, out of step");
    term_wait_row(a.t, 0, "2 marks");
    term_keys(a.t, "Ctrl-y");
    term_wait_row(a.t, 0, "3 marks");
    assert_int_equal(stage_calls(&a, "run", rows), 3);
    found(3, "T1", "horn angle");
    quit_both();
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, chords_typed_at_once_are_all_kept_and_shown);
    case_test(&all, a_chord_typed_on_old_news_hides_no_mark);
    case_test(&all, a_script_beside_two_reviews_loses_nobody_a_mark);
    case_test(&all, notes_and_severities_of_both_stay);
    case_test(&all, two_things_said_of_one_mark_both_stay);
    case_test(&all, undo_takes_back_ones_own_mark_only);
    return cases_run(&all, "two reviews and a script");
}
