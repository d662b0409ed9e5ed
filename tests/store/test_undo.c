/* Steps: all or nothing, taken back and done again, and never over what somebody else changed. */
#include <sqlite3.h>
#include <stdio.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"

static void step_mark(struct season *s, const char *what, const char *target, int64_t at_us)
{
    OK(s, store_begin(s->store, what, &s->e));
    add_mark(s, target, "late", at_us);
    OK(s, store_commit(s->store, &s->e));
}

static void assert_undo(struct season *s, const char *what)
{
    char name[100] = "";
    OK(s, store_undo(s->store, name, &s->e));
    assert_string_equal(name, what);
}

static void assert_redo(struct season *s, const char *what)
{
    char name[100] = "";
    OK(s, store_redo(s->store, name, &s->e));
    assert_string_equal(name, what);
}

static void assert_nothing_to_undo(struct season *s)
{
    char name[100];
    assert_false(store_undo(s->store, name, &s->e));
    assert_int_equal(s->e.code, ERR_NONE);
}

static void assert_nothing_to_redo(struct season *s)
{
    char name[100];
    assert_false(store_redo(s->store, name, &s->e));
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
    assert_undo(&s, "mark one");
    season_close(&s);
    season_open(&s);
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
    struct mark changed = mark_of(&s, "tubas", "slouch", 2000000);
    changed.id = m.id;
    OK(&s, store_begin(s.store, "change", &s.e));
    OK(&s, store_mark_update(s.store, &s.show, &changed, &s.e));
    OK(&s, store_commit(s.store, &s.e));
    OK(&s, store_begin(s.store, "remove", &s.e));
    OK(&s, store_mark_remove(s.store, m.id, &s.e));
    OK(&s, store_commit(s.store, &s.e));
    assert_int_equal(marks_of(&s).n, 0);
    assert_undo(&s, "remove");
    assert_int_equal(marks_of(&s).at[0].n_targets, 1);
    assert_undo(&s, "change");
    struct mark_list l = marks_of(&s);
    assert_string_equal(l.at[0].note, "as it was");
    assert_int_equal(l.at[0].n_targets, 2);
    season_close(&s);
}

static void a_step_of_many_changes_is_one_step(void **state)
{
    (void)state;
    struct season s = season_new();
    OK(&s, store_begin(s.store, "ten marks", &s.e));
    for (int i = 0; i < 10; i++)
        add_mark(&s, "T1;T2;U1", "late", i * 1000000);
    OK(&s, store_commit(s.store, &s.e));
    assert_undo(&s, "ten marks");
    assert_int_equal(marks_of(&s).n, 0);
    season_close(&s);
}

static void a_step_given_up_leaves_nothing(void **state)
{
    (void)state;
    struct season s = season_new();
    OK(&s, store_begin(s.store, "given up", &s.e));
    add_mark(&s, "T1", "late", 1000000);
    store_rollback(s.store);
    assert_int_equal(marks_of(&s).n, 0);
    assert_nothing_to_undo(&s);
    step_mark(&s, "after it", "T1", 1000000); /* and the next one works */
    assert_undo(&s, "after it");
    season_close(&s);
}

/* --- what somebody else did ------------------------------------------------------------------ */

static void a_mark_that_was_changed_since_is_not_taken_back(void **state)
{
    (void)state;
    struct season s = season_new();
    char name[100];
    OK(&s, store_begin(s.store, "mark T1", &s.e));
    struct mark m = mark_of(&s, "T1", "late", 1000000);
    OK(&s, store_mark_add(s.store, &s.show, &m, &s.e));
    OK(&s, store_commit(s.store, &s.e));
    m.severity = 3; /* not a recorded step: as a script would */
    OK(&s, store_mark_update(s.store, &s.show, &m, &s.e));
    assert_false(store_undo(s.store, name, &s.e));
    assert_int_equal(s.e.code, ERR_FAILED);
    assert_string_equal(s.e.text, "something else changed it since; not undone");
    assert_int_equal(marks_of(&s).at[0].severity, 3);
    season_close(&s);
}

static void a_mark_whose_place_was_taken_is_not_done_again(void **state)
{
    (void)state;
    struct season s = season_new();
    char name[100];
    step_mark(&s, "mark T1", "T1", 1000000);
    assert_undo(&s, "mark T1");
    add_mark(&s, "T2", "late", 2000000); /* takes the free row */
    assert_false(store_redo(s.store, name, &s.e));
    assert_string_equal(s.e.text, "something else changed it since; not redone");
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 1);
    assert_int_equal(l.at[0].at_us, 2000000);
    season_close(&s);
}

static void two_programs_on_one_show_take_back_the_last_step_of_either(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    season_open(&other);
    int64_t before = store_version(s.store);
    step_mark(&s, "mark here", "T1", 1000000);
    step_mark(&other, "mark there", "T2", 2000000);
    assert_true(store_version(s.store) > before);
    assert_int_equal(marks_of(&s).n, 2);
    assert_undo(&s, "mark there");
    assert_undo(&other, "mark here");
    assert_int_equal(marks_of(&s).n, 0);
    season_close(&other);
    season_close(&s);
}

static void the_version_grows_with_every_change_from_here_or_there(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    season_open(&other);
    int64_t last = store_version(s.store);
    for (int i = 0; i < 4; i++) {
        struct season *who = i % 2 ? &other : &s;
        step_mark(who, "x", "T1", i * 1000000);
        int64_t now = store_version(s.store);
        assert_true(now > last);
        last = now;
    }
    assert_undo(&s, "x");
    assert_true(store_version(s.store) > last);
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
    OK(s, store_begin(s->store, "step", &s->e));
    if (l.n < 2 || chance % 3 == 0) {
        add_mark(s, targets[chance / 3 % 4], "late", chance / 16 % 600 * 1000000);
    } else if (chance % 3 == 1) {
        struct mark m = mark_of(s, targets[chance / 3 % 4], "slouch", 1000000);
        m.id = l.at[chance / 16 % l.n].id;
        OK(s, store_mark_update(s->store, &s->show, &m, &s->e));
    } else {
        OK(s, store_mark_remove(s->store, l.at[chance / 16 % l.n].id, &s->e));
    }
    OK(s, store_commit(s->store, &s->e));
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
    case_test(&all, a_mark_that_was_changed_since_is_not_taken_back);
    case_test(&all, a_mark_whose_place_was_taken_is_not_done_again);
    case_test(&all, two_programs_on_one_show_take_back_the_last_step_of_either);
    case_test(&all, the_version_grows_with_every_change_from_here_or_there);
    case_test(&all, back_and_forward_meets_every_state_again);
    return cases_run(&all, "steps");
}
