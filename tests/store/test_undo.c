/* Steps: all or nothing, taken back and done again, and never over what somebody else changed. */
#include <sqlite3.h>
#include <stdio.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"

static void step_mark(struct season *s, const char *what, const char *target, int64_t at_us)
{
    OK(s, step_open(s->store, what, &s->e));
    add_mark(s, target, "late", at_us);
    OK(s, step_close(s->store, true, &s->e));
}

static void assert_undo(struct season *s, const char *what)
{
    struct travelled t = {.then = NULL};
    OK(s, store_undo(s->store, &t, &s->e));
    assert_string_equal(t.what, what);
}

static void assert_redo(struct season *s, const char *what)
{
    struct travelled t = {.then = NULL};
    OK(s, store_redo(s->store, &t, &s->e));
    assert_string_equal(t.what, what);
}

static void assert_nothing_to_undo(struct season *s)
{
    struct travelled t = {.then = NULL};
    assert_false(store_undo(s->store, &t, &s->e));
    assert_int_equal(s->e.code, ERR_NONE);
}

static void assert_nothing_to_redo(struct season *s)
{
    struct travelled t = {.then = NULL};
    assert_false(store_redo(s->store, &t, &s->e));
    assert_int_equal(s->e.code, ERR_NONE);
}

static void a_new_show_has_nothing_to_take_back(void **state)
{
    (void)state;
    struct season s = season_new();
    assert_nothing_to_undo(&s);
    assert_nothing_to_redo(&s);
    season_close(&s);
}

static void steps_are_taken_back_from_the_last_and_done_again_from_the_first(void **state)
{
    (void)state;
    struct season s = season_new();
    step_mark(&s, "mark one", "T1", 1000000);
    step_mark(&s, "mark two", "T2", 2000000);
    step_mark(&s, "mark three", "U1", 3000000);
    assert_undo(&s, "mark three");
    assert_undo(&s, "mark two");
    assert_int_equal(marks_of(&s).n, 1);
    assert_redo(&s, "mark two");
    assert_undo(&s, "mark two");
    assert_undo(&s, "mark one");
    assert_nothing_to_undo(&s);
    assert_int_equal(marks_of(&s).n, 0);
    assert_redo(&s, "mark one");
    assert_redo(&s, "mark two");
    assert_redo(&s, "mark three");
    assert_nothing_to_redo(&s);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 3);
    assert_int_equal(l.at[2].n_targets, 1);
    season_close(&s);
}

static void a_new_step_ends_what_could_be_done_again(void **state)
{
    (void)state;
    struct season s = season_new();
    step_mark(&s, "mark one", "T1", 1000000);
    assert_undo(&s, "mark one");
    step_mark(&s, "mark two", "T2", 2000000);
    assert_nothing_to_redo(&s);
    assert_undo(&s, "mark two");
    assert_nothing_to_undo(&s);
    season_close(&s);
}

static void steps_outlast_the_program(void **state)
{
    (void)state;
    struct season s = season_new();
    step_mark(&s, "mark one", "T1", 1000000);
    season_close(&s);
    season_open(&s);
    store_author(s.store, "D. Whitlow");
    assert_undo(&s, "mark one");
    season_close(&s);
    season_open(&s);
    store_author(s.store, "D. Whitlow");
    assert_int_equal(marks_of(&s).n, 0);
    assert_redo(&s, "mark one");
    assert_int_equal(marks_of(&s).n, 1);
    season_close(&s);
}

static void an_update_and_a_removal_are_taken_back_whole(void **state)
{
    (void)state;
    struct season s = season_new();
    struct mark m = mark_of(&s, "T1;T2", "late", 1000000);
    m.note = "as it was";
    OK(&s, store_mark_add(s.store, &s.show, &m, &s.e));
    struct mark_change change = {.fields = MARK_NOTE | MARK_SEVERITY | MARK_PRAISE | MARK_CAUSE,
                                 .note = "as it is",
                                 .severity = 3,
                                 .praise = true,
                                 .cause = CAUSE_DEFINE};
    OK(&s, step_open(s.store, "change", &s.e));
    OK(&s, store_mark_change(s.store, m.id, &change, &s.e));
    OK(&s, step_close(s.store, true, &s.e));
    OK(&s, step_open(s.store, "remove", &s.e));
    OK(&s, store_mark_remove(s.store, m.id, &s.e));
    OK(&s, step_close(s.store, true, &s.e));
    assert_int_equal(marks_of(&s).n, 0);
    assert_undo(&s, "remove");
    assert_string_equal(marks_of(&s).at[0].note, "as it is");
    assert_int_equal(marks_of(&s).at[0].severity, 3);
    assert_undo(&s, "change");
    struct mark_list l = marks_of(&s);
    assert_string_equal(l.at[0].note, "as it was");
    assert_int_equal(l.at[0].severity, 1);
    assert_false(l.at[0].praise);
    assert_int_equal(l.at[0].n_targets, 2);
    season_close(&s);
}

static void a_step_of_many_changes_is_one_step(void **state)
{
    (void)state;
    struct season s = season_new();
    OK(&s, step_open(s.store, "ten marks", &s.e));
    for (int i = 0; i < 10; i++)
        add_mark(&s, "T1;T2;U1", "late", i * 1000000);
    OK(&s, step_close(s.store, true, &s.e));
    assert_undo(&s, "ten marks");
    assert_int_equal(marks_of(&s).n, 0);
    season_close(&s);
}

static void a_step_given_up_leaves_nothing(void **state)
{
    (void)state;
    struct season s = season_new();
    OK(&s, step_open(s.store, "given up", &s.e));
    add_mark(&s, "T1", "late", 1000000);
    assert_false(step_close(s.store, false, &s.e));
    assert_int_equal(marks_of(&s).n, 0);
    assert_nothing_to_undo(&s);
    step_mark(&s, "after it", "T1", 1000000); /* and the next one works */
    assert_undo(&s, "after it");
    season_close(&s);
}

/* --- a step that fails ----------------------------------------------------------------------- */

static bool add_two(struct store *s, void *ctx, struct err *e)
{
    struct season *x = ctx;
    struct mark a = mark_of(x, "T1", "late", 1000000), b = mark_of(x, "T2", "late", 2000000);
    return store_mark_add(s, &x->show, &a, e) && store_clip_left(s, 1, 5, e) &&
           store_mark_add(s, &x->show, &b, e);
}

static int64_t number_of(struct season *s, const char *sql)
{
    sqlite3_stmt *q;
    assert_int_equal(sqlite3_prepare_v2(s->store->db, sql, -1, &q, NULL), SQLITE_OK);
    int64_t n = sqlite3_step(q) == SQLITE_ROW ? sqlite3_column_int64(q, 0) : -1;
    sqlite3_finalize(q);
    return n;
}

/* Writes to a table of the show fail, by a trigger on this connection's own schema. */
static void break_table(struct season *s, const char *table, bool broken)
{
    char sql[300];
    snprintf(sql, sizeof sql,
             broken ? "CREATE TEMP TRIGGER broken_%s BEFORE INSERT ON main.%s BEGIN SELECT "
                      "RAISE(FAIL,'broken'); END"
                    : "DROP TRIGGER broken_%s",
             table, table);
    s->store->made = false; /* no step makes a trigger */
    if (sqlite3_exec(s->store->db, sql, NULL, NULL, NULL) != SQLITE_OK)
        fail_msg("%s", sqlite3_errmsg(s->store->db));
    s->store->made = true;
}

static void a_step_of_which_a_part_fails_undoes_itself_and_the_next_is_kept(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    break_table(&s, "place", true);
    for (int i = 0; i < 3; i++) {
        assert_false(store_step(s.store, "two marks", add_two, &s, &s.e));
        assert_int_equal(s.e.code, ERR_FAILED);
        assert_int_equal(marks_of(&s).n, 0);
        assert_int_equal(s.store->depth, 0);
        assert_true(sqlite3_get_autocommit(s.store->db));
    }
    break_table(&s, "place", false);
    OK(&s, store_step(s.store, "two marks", add_two, &s, &s.e));
    season_open(&other); /* really on disk, not only in this connection */
    assert_int_equal(marks_of(&other).n, 2);
    season_close(&other);
    assert_undo(&s, "two marks");
    season_close(&s);
}

static bool swallows_a_failure(struct store *s, void *ctx, struct err *e)
{
    struct season *x = ctx;
    struct mark m = mark_of(x, "T1", "late", 1000000);
    struct err passed_over;
    bool ok = store_mark_add(s, &x->show, &m, e);
    assert_false(store_clip_left(s, 1, 5, &passed_over));
    return ok;
}

static void a_step_whose_part_failed_is_never_kept_even_when_nobody_looked(void **state)
{
    (void)state;
    struct season s = season_new();
    break_table(&s, "place", true);
    assert_false(store_step(s.store, "careless", swallows_a_failure, &s, &s.e));
    assert_non_null(strstr(s.e.text, "a part of this step failed; nothing of it was saved"));
    assert_int_equal(marks_of(&s).n, 0);
    season_close(&s);
}

static void a_transaction_left_open_is_ended_before_the_next_step(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    OK(&s, st_run(s.store, "BEGIN IMMEDIATE", &s.e)); /* as nothing in the program does */
    add_mark(&s, "T1", "late", 1000000);
    season_open(&other);
    assert_int_equal(marks_of(&other).n, 1);
    season_close(&other);
    season_close(&s);
}

/* Every public function that writes, with each table broken in turn: it fails, says so, and leaves
 * the connection outside a step. */
static bool any_write(struct season *s, int which)
{
    struct mark m = mark_of(s, "T1", "late", 1000000);
    struct tie t = {.at_us = 5000000, .set = 0, .count = 1};
    struct stretch w = {0, 1000000};
    struct rep_fix fix = {0, 0, 1};
    struct rep_block block = {.who = "", .what = "", .sets = "1", .fixes = &fix, .n_fixes = 1};
    struct rep_plan plan = {.date = "2026-09-15", .minutes = 1, .blocks = &block, .n_blocks = 1};
    struct clip clip = {.label = "new",
                        .path = "/x",
                        .date = "2026-09-15",
                        .run = 1,
                        .sha256 = "",
                        .head_tail = ""};
    struct item_choice item = {
        .section = 0, .performer = -1, .fault = 0, .clips = (int64_t[]){1}, .n_clips = 1};
    switch (which) {
    case 0:
        return store_mark_add(s->store, &s->show, &m, &s->e);
    case 1:
        return store_tie_put(s->store, &s->show, 1, &t, &s->e);
    case 2:
        return store_clip_left(s->store, 1, 7, &s->e);
    case 3:
        return store_watched_add(s->store, 1, &w, 1, &s->e);
    case 4:
        return store_decide(s->store, &s->show, 0, "so", &s->e);
    case 5:
        return store_plan_put(s->store, &s->show, &plan, &s->e);
    case 6:
        return store_clip_put(s->store, &clip, &s->e);
    case 7:
        return store_set(s->store, "title", "x", &s->e);
    default:
        return store_item_state(s->store, &s->show, &item, MARK_REPPED, &s->e) >= 0;
    }
}

static void no_function_that_writes_leaves_a_step_open(void **state)
{
    (void)state;
    static const char *const tables[] = {"mark_target", "anchor",   "place",
                                         "watched",     "decision", "rep_fix",
                                         "clip",        "setting",  "item_state"};
    for (int i = 0; i < 9; i++) {
        struct season s = season_new();
        add_mark(&s, "T1", "late", 1000000);
        int64_t before = number_of(&s, "SELECT count(*) FROM mark");
        break_table(&s, tables[i], true);
        s.e = (struct err){0};
        assert_false(any_write(&s, i));
        assert_true(*s.e.text);
        assert_int_equal(s.store->depth, 0);
        assert_true(sqlite3_get_autocommit(s.store->db));
        break_table(&s, tables[i], false);
        OK(&s, any_write(&s, i));
        assert_int_equal(number_of(&s, "SELECT count(*) FROM mark"), before + (i == 0));
        season_close(&s);
    }
}

/* However it came about: a statement that writes outside a step changes nothing and says so. */
static void a_write_that_no_step_made_is_turned_back(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "T1", "late", 1000000);
    assert_int_equal(sqlite3_exec(s.store->db, "UPDATE mark SET severity=3", NULL, NULL, NULL),
                     SQLITE_CONSTRAINT);
    assert_true(sqlite3_get_autocommit(s.store->db));
    assert_int_equal(marks_of(&s).at[0].severity, 1);
    add_mark(&s, "T2", "late", 2000000); /* and the next step is kept */
    assert_int_equal(marks_of(&s).n, 2);
    season_close(&s);
}

/* --- what somebody else did ------------------------------------------------------------------ */

/* Another author's connection to the same file. */
static struct season bob_at(const struct season *s)
{
    struct season bob = {.path = s->path};
    season_open(&bob);
    store_author(bob.store, "Bob");
    return bob;
}

static void refused(struct season *s, bool back, const char *said)
{
    struct travelled t = {.then = NULL};
    assert_false((back ? store_undo : store_redo)(s->store, &t, &s->e));
    assert_int_equal(s->e.code, ERR_FAILED);
    assert_string_equal(s->e.text, said);
}

static void a_person_takes_back_their_own_last_step_not_anothers(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    step_mark(&s, "mark here", "T1", 1000000);
    step_mark(&bob, "mark there", "T2", 2000000);
    assert_undo(&s, "mark here");
    assert_int_equal(marks_of(&s).at[0].at_us, 2000000);
    assert_nothing_to_undo(&s);
    assert_undo(&bob, "mark there");
    assert_nothing_to_undo(&bob);
    assert_redo(&s, "mark here");
    assert_int_equal(marks_of(&bob).n, 1);
    season_close(&bob);
    season_close(&s);
}

static void what_could_be_done_again_outlives_the_steps_of_others(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    step_mark(&s, "mark T1", "T1", 1000000);
    assert_undo(&s, "mark T1");
    step_mark(&bob, "mark T2", "T2", 2000000); /* its row is another than the one taken back */
    assert_redo(&s, "mark T1");
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 2);
    assert_int_equal(l.at[0].at_us, 1000000);
    season_close(&bob);
    season_close(&s);
}

static void a_step_that_another_has_built_on_is_refused_with_the_reason(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    step_mark(&s, "mark before", "T2", 500000);
    step_mark(&s, "mark T1", "T1", 1000000);
    struct mark_change serious = {.fields = MARK_SEVERITY, .severity = 3};
    OK(&bob, step_open(bob.store, "severity 3", &bob.e));
    OK(&bob, store_mark_change(bob.store, marks_of(&bob).at[1].id, &serious, &bob.e));
    OK(&bob, step_close(bob.store, true, &bob.e));
    refused(&s, true, "not taken back: Bob has built on it (severity 3)");
    assert_int_equal(marks_of(&s).at[1].severity, 3);
    assert_undo(&bob, "severity 3"); /* then it is possible again */
    assert_undo(&s, "mark T1");
    assert_redo(&s, "mark T1");
    assert_redo(&bob, "severity 3");
    refused(&s, true, "not taken back: Bob has built on it (severity 3)");
    assert_undo(&s, "mark before"); /* told once, it does not block what came before for good */
    assert_int_equal(marks_of(&s).n, 1);
    season_close(&bob);
    season_close(&s);
}

static void each_step_that_cannot_be_taken_back_is_told(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    step_mark(&s, "mark before", "T2", 500000);
    step_mark(&s, "mark T1", "T1", 1000000);
    step_mark(&s, "mark T2", "T2", 2000000);
    struct mark_change serious = {.fields = MARK_SEVERITY, .severity = 3};
    OK(&bob, step_open(bob.store, "severity 3", &bob.e));
    for (size_t i = 1; i <= 2; i++)
        OK(&bob, store_mark_change(bob.store, marks_of(&bob).at[i].id, &serious, &bob.e));
    OK(&bob, step_close(bob.store, true, &bob.e));
    for (size_t i = 1; i <= 2; i++)
        refused(&s, true, "not taken back: Bob has built on it (severity 3)");
    assert_undo(&s, "mark before");
    season_close(&bob);
    season_close(&s);
}

static void steps_on_different_fields_of_one_mark_do_not_meet(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    int64_t id = add_mark(&s, "T1;tubas", "late", 1000000);
    struct mark_change note = {.fields = MARK_NOTE, .note = "bells up"},
                       serious = {.fields = MARK_SEVERITY, .severity = 3};
    OK(&s, store_mark_change(s.store, id, &note, &s.e));
    OK(&bob, store_mark_change(bob.store, id, &serious, &bob.e));
    struct mark m = marks_of(&s).at[0];
    assert_string_equal(m.note, "bells up");
    assert_int_equal(m.severity, 3);
    assert_undo(&s, "change a mark");
    m = marks_of(&s).at[0];
    assert_string_equal(m.note, "");
    assert_int_equal(m.severity, 3);
    assert_undo(&bob, "change a mark");
    assert_int_equal(marks_of(&s).at[0].severity, 1);
    season_close(&bob);
    season_close(&s);
}

/* Where a mark is in the drill follows from ties and sets; it is not what a person did to it. */
static void a_tie_of_another_does_not_keep_a_mark_from_being_taken_back(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    struct arena mem = {0};
    struct move moves[] = {{"1", 8, 132, 132, 0}, {"2", 16, 132, 132, 0}};
    struct map_anchor from = {.us = 0, .set = 0, .count = 1};
    const struct map *map =
        map_build(&mem, (struct moves){moves, 2}, (struct map_anchors){&from, 1}, NULL, &s.e);
    step_mark(&s, "mark T1", "T1", 1000000);
    OK(&bob, store_place_marks(bob.store, &bob.show, 1, map, &bob.e));
    assert_int_equal(marks_of(&s).at[0].set, 0);
    assert_undo(&s, "mark T1");
    assert_int_equal(marks_of(&s).n, 0);
    arena_free(&mem);
    season_close(&bob);
    season_close(&s);
}

static void a_performer_taken_back_never_gives_their_row_to_another(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    struct put_report r;
    put_roster(&bob, "performer,name,section\nT30,Zoe,trumpets\n", true, &r);
    season_load(&s);
    step_mark(&s, "mark T30", "T30", 1000000);
    assert_undo(&s, "mark T30");
    assert_undo(&bob, "add roster");
    season_load(&bob);
    put_roster(&bob, "performer,name,section\nU9,Yan,tubas\n", true, &r);
    season_load(&s);
    refused(&s, false, "not done again: something else changed it since");
    assert_int_equal(marks_of(&s).n, 0); /* least of all as a mark of U9 */
    season_close(&bob);
    season_close(&s);
}

static void a_lock_is_no_reason_to_skip_a_step(void **state)
{
    (void)state;
    struct season s = season_new(), bob = bob_at(&s);
    struct travelled t = {.then = NULL};
    step_mark(&s, "mark one", "T1", 1000000);
    step_mark(&s, "mark two", "T2", 2000000);
    sqlite3_busy_timeout(s.store->db, 20);
    for (int i = 0; i < 2; i++) {
        OK(&bob, step_open(bob.store, "long", &bob.e));
        assert_false(store_undo(s.store, &t, &s.e));
        assert_non_null(strstr(s.e.text, "another program is writing to it"));
        OK(&bob, step_close(bob.store, true, &bob.e));
    }
    assert_undo(&s, "mark two");
    season_close(&bob);
    season_close(&s);
}

static void a_table_that_was_added_is_taken_back(void **state)
{
    (void)state;
    struct season s = season_new();
    struct put_report r;
    put_roster(&s, "performer,name,section\nT1,Ada,tubas\nT9,Nia,trumpets\n", false, &r);
    assert_int_equal(s.show.n_performers, 2);
    assert_undo(&s, "add roster");
    season_load(&s);
    assert_int_equal(s.show.n_performers, 3);
    assert_string_equal(s.show.sections[s.show.performers[0].section].name, "trumpets");
    season_close(&s);
}

static void the_version_changes_with_what_others_write_and_only_then(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    season_open(&other);
    int64_t here = store_version(s.store), there = store_version(other.store);
    step_mark(&s, "x", "T1", 1000000);
    assert_int_equal(store_version(s.store), here);
    assert_int_not_equal(store_version(other.store), there);
    step_mark(&other, "x", "T1", 2000000);
    step_mark(&s, "x", "T1", 3000000); /* one's own step does not hide another's */
    assert_int_not_equal(store_version(s.store), here);
    season_close(&other);
    season_close(&s);
}

/* --- by chance -------------------------------------------------------------------------------- */

static void add_rows(struct buf *out, sqlite3 *db, const char *table)
{
    sqlite3_stmt *q;
    char *sql = sqlite3_mprintf("SELECT * FROM %s ORDER BY 1,2", table);
    assert_int_equal(sqlite3_prepare_v2(db, sql, -1, &q, NULL), SQLITE_OK);
    sqlite3_free(sql);
    while (sqlite3_step(q) == SQLITE_ROW) {
        for (int i = 0; i < sqlite3_column_count(q); i++) {
            if (strcmp(sqlite3_column_name(q, i), "uid") == 0)
                continue;
            const char *text = (const char *)sqlite3_column_text(q, i);
            buf_printf(out, "%s|", text ? text : "-");
        }
        buf_char(out, '\n');
    }
    sqlite3_finalize(q);
}

static const char *content(struct season *s)
{
    struct buf b = {0};
    add_rows(&b, s->store->db, "mark");
    add_rows(&b, s->store->db, "mark_target");
    const char *text = arena_strdup(test_arena(), buf_text(&b));
    buf_free(&b);
    return text;
}

static void random_step(struct season *s, unsigned chance)
{
    static const char *const targets[] = {"T1", "T2;U1", "tubas", "trumpets;T1"};
    struct mark_list l = marks_of(s);
    OK(s, step_open(s->store, "step", &s->e));
    if (l.n < 2 || chance % 3 == 0) {
        add_mark(s, targets[chance / 3 % 4], "late", chance / 16 % 600 * 1000000);
    } else if (chance % 3 == 1) {
        struct mark_change c = {.fields = MARK_SEVERITY | MARK_NOTE | (chance & 64 ? MARK_LATE : 0),
                                .severity = 1 + (int)(chance / 3 % 3),
                                .note = targets[chance / 3 % 4],
                                .late_counts = 1.5};
        OK(s, store_mark_change(s->store, l.at[chance / 16 % l.n].id, &c, &s->e));
    } else {
        OK(s, store_mark_remove(s->store, l.at[chance / 16 % l.n].id, &s->e));
    }
    OK(s, step_close(s->store, true, &s->e));
}

/* Thirty steps, then all the way back and forward: at each step the content is what it was when
 * the step was made. */
static void back_and_forward_meets_every_state_again(void **state)
{
    (void)state;
    enum { STEPS = 30 };
    struct season s = season_new();
    OK(&s, st_run(s.store, "PRAGMA synchronous=OFF", &s.e)); /* this test is not about the disk */
    const char *was[STEPS + 1];
    unsigned chance = 17;
    was[0] = content(&s);
    for (int i = 0; i < STEPS; i++) {
        random_step(&s, (chance = chance * 1103515245u + 12345u) >> 8);
        was[i + 1] = content(&s);
    }
    for (int i = STEPS; i-- > 0;) {
        assert_undo(&s, "step");
        assert_string_equal(content(&s), was[i]);
    }
    for (int i = 0; i < STEPS; i++) {
        assert_redo(&s, "step");
        assert_string_equal(content(&s), was[i + 1]);
    }
    OK(&s, store_check(s.store, &s.e));
    season_close(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_new_show_has_nothing_to_take_back);
    case_test(&all, steps_are_taken_back_from_the_last_and_done_again_from_the_first);
    case_test(&all, a_new_step_ends_what_could_be_done_again);
    case_test(&all, steps_outlast_the_program);
    case_test(&all, an_update_and_a_removal_are_taken_back_whole);
    case_test(&all, a_step_of_many_changes_is_one_step);
    case_test(&all, a_step_given_up_leaves_nothing);
    case_test(&all, a_step_of_which_a_part_fails_undoes_itself_and_the_next_is_kept);
    case_test(&all, a_step_whose_part_failed_is_never_kept_even_when_nobody_looked);
    case_test(&all, a_transaction_left_open_is_ended_before_the_next_step);
    case_test(&all, no_function_that_writes_leaves_a_step_open);
    case_test(&all, a_write_that_no_step_made_is_turned_back);
    case_test(&all, a_person_takes_back_their_own_last_step_not_anothers);
    case_test(&all, what_could_be_done_again_outlives_the_steps_of_others);
    case_test(&all, a_step_that_another_has_built_on_is_refused_with_the_reason);
    case_test(&all, each_step_that_cannot_be_taken_back_is_told);
    case_test(&all, steps_on_different_fields_of_one_mark_do_not_meet);
    case_test(&all, a_tie_of_another_does_not_keep_a_mark_from_being_taken_back);
    case_test(&all, a_performer_taken_back_never_gives_their_row_to_another);
    case_test(&all, a_lock_is_no_reason_to_skip_a_step);
    case_test(&all, a_table_that_was_added_is_taken_back);
    case_test(&all, the_version_changes_with_what_others_write_and_only_then);
    case_test(&all, back_and_forward_meets_every_state_again);
    return cases_run(&all, "steps");
}
