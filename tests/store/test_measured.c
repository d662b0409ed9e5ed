/* What a mark measured and where it is on the field. */
#include <math.h>
#include <sqlite3.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"

static const struct measure gap = {MEASURE_INTERVAL, 1.4, 0.2, 2};

static struct mark measured_mark(struct season *s)
{
    struct mark m = mark_of(s, "T1;T2", "late", 5000000);
    m.measure = gap;
    m.on_field = true;
    m.x = -12.25;
    m.y = 28;
    OK(s, store_mark_add(s->store, &s->show, &m, &s->e));
    return m;
}

static struct mark now_of(struct season *s, int64_t id)
{
    struct mark now;
    OK(s, store_mark_one(s->store, test_arena(), id, &now, &s->e));
    return now;
}

static void is_whole(const struct measure *m, bool on_field, double x, double y)
{
    assert_true(measure_same(m, &gap));
    assert_true(on_field && x == -12.25 && y == 28);
}

static void what_was_measured_comes_back_on_every_road(void **state)
{
    (void)state;
    struct season s = season_new();
    const struct mark m = measured_mark(&s), now = now_of(&s, m.id);
    is_whole(&now.measure, now.on_field, now.x, now.y);
    const struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 1);
    is_whole(&l.at[0].measure, l.at[0].on_field, l.at[0].x, l.at[0].y);
    struct store_after after = {.clip = m.clip, .at_us = -1, .most = 5};
    struct mark_list behind;
    OK(&s, store_marks_after(s.store, test_arena(), &after, &behind, &s.e));
    assert_int_equal(behind.n, 1);
    is_whole(&behind.at[0].measure, behind.at[0].on_field, behind.at[0].x, behind.at[0].y);
    struct mark_words words;
    OK(&s, store_mark_words(s.store, test_arena(), m.id, &words, &s.e));
    is_whole(&words.measure, words.on_field, words.x, words.y);
    season_close(&s);
}

static void what_is_not_known_stays_not_known(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "T1", "late", 1000000);
    const struct mark none = marks_of(&s).at[0];
    assert_true(none.measure.kind == MEASURE_NONE && !none.on_field);
    struct mark m = mark_of(&s, "T1", "late", 2000000);
    m.measure = (struct measure){MEASURE_SPEED, 5.2, NAN, NAN};
    OK(&s, store_mark_add(s.store, &s.show, &m, &s.e));
    const struct mark now = now_of(&s, m.id);
    assert_true(now.measure.kind == MEASURE_SPEED && now.measure.value == 5.2);
    assert_true(isnan(now.measure.error) && isnan(now.measure.of));
    struct mark_change c = {.fields = MARK_MEASURE, .measure = {MEASURE_SPEED, 5, 0, 0}};
    OK(&s, store_mark_change(s.store, m.id, &c, &s.e));
    const struct measure sure = now_of(&s, m.id).measure; /* nobody measures without an error */
    assert_true(isnan(sure.error) && sure.of == 0);
    season_close(&s);
}

static void write_row(const struct season *s, const char *sql)
{
    sqlite3 *db;
    assert_int_equal(sqlite3_open(s->path, &db), SQLITE_OK);
    assert_int_equal(sqlite3_exec(db, sql, NULL, NULL, NULL), SQLITE_OK);
    sqlite3_close(db);
}

/* Rows of a program that knew nothing of it, knew more, or was wrong. */
static void a_row_that_another_program_wrote_is_read_as_far_as_it_is_known(void **state)
{
    static const char *const nothing[] = {
        "UPDATE mark SET measured='',measured_value=NULL,measured_error=NULL,measured_of=NULL",
        "UPDATE mark SET measured='furlong'",
        "UPDATE mark SET measured_value=NULL",
        "UPDATE mark SET measured_value=9e999",
    };
    static const char *const nowhere[] = {"UPDATE mark SET x=NULL", "UPDATE mark SET y=NULL",
                                          "UPDATE mark SET x=9e999", "UPDATE mark SET y=1e300"};
    (void)state;
    for (size_t i = 0; i < 4; i++) {
        struct season s = season_new();
        const struct mark m = measured_mark(&s);
        write_row(&s, nothing[i]);
        struct mark now = now_of(&s, m.id);
        assert_int_equal(now.measure.kind, MEASURE_NONE);
        assert_true(now.on_field);
        write_row(&s, nowhere[i]);
        now = now_of(&s, m.id);
        assert_false(now.on_field);
        season_close(&s);
    }
}

static void a_change_sets_the_measure_and_the_place_alone(void **state)
{
    (void)state;
    struct season s = season_new();
    const struct mark m = measured_mark(&s);
    const struct measure line = {MEASURE_LINE, 0.8, 0.1, NAN};
    struct mark_change c = {.fields = MARK_MEASURE, .measure = line, .x = 1, .y = 2};
    OK(&s, store_mark_change(s.store, m.id, &c, &s.e));
    struct mark now = now_of(&s, m.id);
    assert_true(measure_same(&now.measure, &line)); /* what it should be went, too */
    assert_true(now.x == -12.25 && now.y == 28);
    c.fields = MARK_PLACE;
    c.measure = gap;
    OK(&s, store_mark_change(s.store, m.id, &c, &s.e));
    now = now_of(&s, m.id);
    assert_true(measure_same(&now.measure, &line) && now.x == 1 && now.y == 2);
    c = (struct mark_change){.fields = MARK_MEASURE};
    OK(&s, store_mark_change(s.store, m.id, &c, &s.e));
    now = now_of(&s, m.id);
    assert_true(now.measure.kind == MEASURE_NONE && now.on_field);
    c = (struct mark_change){.fields = MARK_NOTE, .note = "again"};
    struct travelled back = {0};
    OK(&s, store_undo(s.store, &back, &s.e));
    OK(&s, store_mark_change(s.store, m.id, &c, &s.e));
    now = now_of(&s, m.id);
    assert_true(measure_same(&now.measure, &line) && now.x == 1 && now.y == 2);
    season_close(&s);
}

/* It was measured at the old moment. What else is put right leaves it. */
static void a_moment_that_is_put_right_drops_them_and_undo_brings_them_back(void **state)
{
    (void)state;
    struct season s = season_new();
    const struct mark m = measured_mark(&s), other = mark_of(&s, "T2", "horn angle", 0);
    struct mark_correction c = {.fields = CORRECT_WHO | CORRECT_FAULT,
                                .targets = other.targets,
                                .n_targets = 1,
                                .fault = other.fault,
                                .clip = m.clip,
                                .at_us = 4500000};
    OK(&s, store_mark_correct(s.store, &s.show, m.id, &c, &s.e));
    struct mark now = now_of(&s, m.id);
    is_whole(&now.measure, now.on_field, now.x, now.y);
    c.fields = CORRECT_MOMENT;
    OK(&s, store_mark_correct(s.store, &s.show, m.id, &c, &s.e));
    now = now_of(&s, m.id);
    assert_true(now.measure.kind == MEASURE_NONE && !now.on_field);
    struct travelled back = {0};
    OK(&s, store_undo(s.store, &back, &s.e));
    now = now_of(&s, m.id);
    is_whole(&now.measure, now.on_field, now.x, now.y);
    OK(&s, store_redo(s.store, &back, &s.e));
    now = now_of(&s, m.id);
    assert_true(now.measure.kind == MEASURE_NONE && !now.on_field);
    season_close(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, what_was_measured_comes_back_on_every_road);
    case_test(&all, what_is_not_known_stays_not_known);
    case_test(&all, a_row_that_another_program_wrote_is_read_as_far_as_it_is_known);
    case_test(&all, a_change_sets_the_measure_and_the_place_alone);
    case_test(&all, a_moment_that_is_put_right_drops_them_and_undo_brings_them_back);
    return cases_run(&all, "what was measured");
}
