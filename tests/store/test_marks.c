/* Marks, and the rows of them that lists are made of. */
#include <sqlite3.h>
#include <stdio.h>

#include "lib/cases.h"
#include "store/inside.h"
#include "store/season.h"

static void a_mark_comes_back_as_it_was_given(void **state)
{
    (void)state;
    struct season s = season_new();
    struct mark m = mark_of(&s, "T2;tubas;U1", "horn angle", 5200000);
    m.end_us = 6000000;
    m.severity = 3;
    m.cause = CAUSE_DEFINE;
    m.praise = true;
    m.note = "a \"note\"\nwith 'all', \033[31m and é日本";
    m.author = "I. Marrow";
    m.set = 1;
    m.count = 5.25;
    m.timed = true;
    m.late_counts = -0.4;
    m.late_error = 0.1;
    OK(&s, store_mark_add(s.store, &s.show, &m, &s.e));
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.n, 1);
    const struct mark *b = &l.at[0];
    assert_true(b->id == m.id && b->clip == 1 && b->at_us == 5200000 && b->end_us == 6000000);
    assert_true(b->severity == 3 && b->cause == CAUSE_DEFINE && b->praise && b->set == 1);
    assert_true(b->count == 5.25 && b->timed && b->late_counts == -0.4 && b->late_error == 0.1);
    assert_string_equal(b->note, m.note);
    assert_string_equal(b->author, "I. Marrow");
    assert_int_equal(b->n_targets, 3);
    for (size_t i = 0; i < 3; i++)
        assert_true(b->targets[i].section == m.targets[i].section &&
                    b->targets[i].performer == m.targets[i].performer);
    season_close(&s);
}

static void marks_stand_in_time_order(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "T1", "late", 9000000);
    add_mark(&s, "T1", "late", 1000000);
    add_mark(&s, "T1", "late", 5000000);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.at[0].at_us, 1000000);
    assert_int_equal(l.at[2].at_us, 9000000);
    assert_int_equal(l.n, 3);
    season_close(&s);
}

static void a_mark_may_name_a_hundred_performers(void **state)
{
    (void)state;
    struct season s = season_new();
    char roster[2000] = "performer,section\n", targets[1000] = "";
    for (int i = 1; i <= 100; i++) {
        sprintf(roster + strlen(roster), "T%d,trumpets\n", i);
        sprintf(targets + strlen(targets), "T%d;", i);
    }
    struct put_report r;
    put_roster(&s, roster, false, &r);
    add_mark(&s, targets, "late", 1000000);
    assert_int_equal(marks_of(&s).at[0].n_targets, 100);
    season_close(&s);
}

static void a_change_writes_its_fields_alone_and_a_removed_mark_is_gone(void **state)
{
    (void)state;
    struct season s = season_new(), other = {.path = s.path};
    struct mark m = mark_of(&s, "T1;tubas", "late", 1000000);
    m.note = "first";
    OK(&s, store_mark_add(s.store, &s.show, &m, &s.e));
    season_open(&other);
    store_author(other.store, "Bob");
    struct mark_change note = {.fields = MARK_NOTE, .note = "second"},
                       rest = {.fields = MARK_SEVERITY | MARK_PRAISE | MARK_CAUSE | MARK_LATE,
                               .severity = 2,
                               .praise = true,
                               .cause = CAUSE_DEFINE,
                               .late_counts = -1.5,
                               .late_error = 0.1};
    OK(&other, store_mark_change(other.store, m.id, &note, &other.e));
    OK(&s, store_mark_change(s.store, m.id, &rest, &s.e)); /* knows nothing of the second note */
    struct mark now;
    OK(&s, store_mark_one(s.store, test_arena(), m.id, &now, &s.e));
    assert_string_equal(now.note, "second");
    assert_string_equal(now.author, "D. Whitlow"); /* who made it, not who changed it */
    assert_int_equal(now.severity, 2);
    assert_true(now.praise && now.cause == CAUSE_DEFINE && now.timed);
    assert_true(now.late_counts == -1.5);
    assert_int_equal(now.n_targets, 2);
    season_close(&other);
    OK(&s, store_mark_remove(s.store, m.id, &s.e));
    assert_int_equal(marks_of(&s).n, 0);
    assert_false(store_mark_change(s.store, m.id, &rest, &s.e));
    assert_string_equal(s.e.text, "that mark is not there any more");
    assert_false(store_mark_one(s.store, test_arena(), m.id, &now, &s.e));
    assert_int_equal(s.e.code, ERR_INPUT);
    assert_false(store_mark_remove(s.store, m.id, &s.e));
    assert_int_equal(marks_of(&s).n, 0);
    season_close(&s);
}

/* Put right: what was said stays unless it is what was wrong; the rows that lists are made of follow. */
static void a_correction_changes_what_was_wrong_alone(void **state)
{
    (void)state;
    struct season s = season_new();
    struct mark m = mark_of(&s, "T1", "late", 5000000), now;
    m.end_us = 6000000;
    m.severity = 3;
    m.note = "watch";
    m.timed = true;
    m.late_counts = -0.4;
    m.late_error = 0.1;
    OK(&s, store_mark_add(s.store, &s.show, &m, &s.e));
    const struct mark who = mark_of(&s, "T2;U1", "horn angle", 0);
    struct mark_correction c = {
        .fields = CORRECT_WHO, .targets = who.targets, .n_targets = 2, .fault = who.fault};
    OK(&s, store_mark_correct(s.store, &s.show, m.id, &c, &s.e));
    OK(&s, store_mark_one(s.store, &s.memory, m.id, &now, &s.e));
    assert_true(now.n_targets == 2 && now.targets[0].performer == who.targets[0].performer);
    assert_true(now.fault == m.fault && now.at_us == 5000000 && now.timed && now.severity == 3);
    c.fields = CORRECT_FAULT | CORRECT_MOMENT;
    c.clip = m.clip;
    c.at_us = 4500000;
    OK(&s, store_mark_correct(s.store, &s.show, m.id, &c, &s.e));
    OK(&s, store_mark_one(s.store, &s.memory, m.id, &now, &s.e));
    assert_true(now.n_targets == 2 && now.fault == who.fault);
    assert_true(now.at_us == 4500000 && now.end_us == 5500000);
    assert_false(now.timed); /* it was measured at the old moment */
    assert_string_equal(now.note, "watch");
    /* A cause that was its fault's own follows the new fault; one that a person gave stays. */
    assert_int_equal(now.cause, CAUSE_EXECUTE);
    s.show.faults[m.fault].cause = CAUSE_DEFINE;
    c.fields = CORRECT_FAULT;
    c.fault = m.fault;
    OK(&s, store_mark_correct(s.store, &s.show, m.id, &c, &s.e));
    OK(&s, store_mark_one(s.store, &s.memory, m.id, &now, &s.e));
    assert_int_equal(now.cause, CAUSE_DEFINE);
    s.show.faults[m.fault].cause = CAUSE_EXECUTE;
    c.fault = who.fault;
    OK(&s, store_mark_correct(s.store, &s.show, m.id, &c, &s.e));
    OK(&s, store_mark_one(s.store, &s.memory, m.id, &now, &s.e));
    assert_int_equal(now.cause, CAUSE_DEFINE);
    struct travelled back = {0};
    OK(&s, store_undo(s.store, &back, &s.e));
    OK(&s, store_undo(s.store, &back, &s.e));
    struct err gone;
    assert_false(store_mark_correct(s.store, &s.show, 999, &c, &gone));
    assert_int_equal(gone.code, ERR_INPUT);
    /* Each was a step of its own. */
    struct travelled t = {0};
    OK(&s, store_undo(s.store, &t, &s.e));
    OK(&s, store_mark_one(s.store, &s.memory, m.id, &now, &s.e));
    assert_true(now.fault == m.fault && now.at_us == 5000000 && now.timed);
    OK(&s, store_undo(s.store, &t, &s.e));
    OK(&s, store_mark_one(s.store, &s.memory, m.id, &now, &s.e));
    assert_true(now.n_targets == 1 && now.targets[0].performer == m.targets[0].performer);
    season_close(&s);
}

static void the_line_of_a_group_moves_only_the_marks_that_name_the_group(void **state)
{
    (void)state;
    struct season s = season_new();
    add_mark(&s, "brass", "late", 1000000);
    add_mark(&s, "T1", "late", 2000000);
    add_mark(&s, "tubas", "late", 3000000);
    int64_t clip = 1;
    struct item_choice item = {.section = show_section(&s.show, "brass"),
                               .performer = -1,
                               .fault = show_fault(&s.show, "late"),
                               .clips = &clip,
                               .n_clips = 1,
                               .whole = true};
    assert_int_equal(store_item_state(s.store, &s.show, &item, MARK_CLEAN, &s.e), 1);
    struct mark_list l = marks_of(&s);
    assert_int_equal(l.at[0].state, MARK_CLEAN);
    assert_int_equal(l.at[1].state, MARK_OPEN);
    assert_int_equal(l.at[2].state, MARK_OPEN);
    season_close(&s);
}

/* --- rows for lists --------------------------------------------------------------------------- */

struct gathered {
    struct season *s;
    char text[1000];
};

static bool gather(void *ctx, const struct seen_row *row)
{
    struct gathered *g = ctx;
    sprintf(g->text + strlen(g->text), "%s/%s%s ", g->s->show.faults[row->fault].name,
            row->performer >= 0 ? g->s->show.performers[row->performer].label
                                : g->s->show.sections[row->section].name,
            row->again ? "+" : "");
    return true;
}

static const struct choice_row {
    const char *name, *sections, *performer;
    bool whole;
    const char *rows;
} choices[] = {
    {"a section has its performers' rows and its own, in the order of faults", "trumpets", NULL,
     false, "late/trumpets late/T1 slouch/T1 slouch/T2+ "},
    {"another section has its part of a mark", "tubas", NULL, false, "slouch/U1 "},
    {"a mark with targets in two sections is given once", "trumpets;tubas", NULL, false,
     "late/trumpets late/T1 slouch/T1 slouch/T2+ slouch/U1+ "},
    {"a performer has their own rows only", NULL, "T1", false, "late/T1 slouch/T1 "},
    {"whole leaves performers out", "trumpets", NULL, true, "late/trumpets "},
    {"a section without marks has none", "brass", NULL, false, ""},
};

static void gives_rows(void **state)
{
    const struct choice_row *r = *state;
    struct season s = season_new();
    add_mark(&s, "trumpets", "late", 1000000);
    add_mark(&s, "T1", "late", 2000000);
    add_mark(&s, "T1;T2;U1", "slouch", 3000000);
    struct mark gone = mark_of(&s, "T1", "horn angle", 4000000);
    OK(&s, store_mark_add(s.store, &s.show, &gone, &s.e));
    OK(&s, store_mark_remove(s.store, gone.id, &s.e));
    int sections[4];
    size_t n = 0;
    char copy[100];
    snprintf(copy, sizeof copy, "%s", r->sections ? r->sections : "");
    for (char *w = strtok(copy, ";"); w; w = strtok(NULL, ";"))
        sections[n++] = show_section(&s.show, w);
    struct seen_choice c = {.sections = sections,
                            .n_sections = n,
                            .performer = r->performer ? show_performer(&s.show, r->performer) : -1,
                            .whole = r->whole};
    struct gathered g = {.s = &s};
    OK(&s, store_each_seen(s.store, &c, gather, &g, &s.e));
    assert_string_equal(g.text, r->rows);
    season_close(&s);
}

static bool ignore_row(void *ctx, const struct seen_row *row)
{
    (void)ctx, (void)row;
    return true;
}

/* The statement the program itself prepared, found by a part of its text. */
static const char *statement_with(struct season *s, const char *part)
{
    sqlite3_stmt *q = NULL;
    while ((q = sqlite3_next_stmt(s->store->db, q)))
        if (strstr(sqlite3_sql(q), part))
            return sqlite3_sql(q);
    fail_msg("no statement has '%s'", part);
    return "";
}

static const char *plan_of(struct season *s, const char *sql)
{
    sqlite3_stmt *q;
    const char *plan = "";
    const char *explain = arena_printf(test_arena(), "EXPLAIN QUERY PLAN %s", sql);
    assert_int_equal(sqlite3_prepare_v2(s->store->db, explain, -1, &q, NULL), SQLITE_OK);
    while (sqlite3_step(q) == SQLITE_ROW)
        plan = arena_printf(test_arena(), "%s%s\n", plan, sqlite3_column_text(q, 3));
    sqlite3_finalize(q);
    return plan;
}

/* SQLite's own words ('EXPLAIN QUERY PLAN', section 1): one covering index, no table, no sort. */
static void the_rows_of_a_section_are_read_from_one_covering_index(void **state)
{
    (void)state;
    struct season s = season_new();
    int at = show_section(&s.show, "trumpets");
    struct seen_choice c = {.sections = &at, .n_sections = 1, .performer = -1};
    OK(&s, store_each_seen(s.store, &c, ignore_row, NULL, &s.e));
    const char *plan = plan_of(&s, statement_with(&s, "WHERE section_id=?"));
    assert_string_equal(plan,
                        "SEARCH mark_target USING COVERING INDEX target_seen (section_id=?)\n");
    season_close(&s);
}

static void the_marks_of_a_clip_are_found_by_index_without_a_sort(void **state)
{
    (void)state;
    struct season s = season_new();
    marks_of(&s);
    const char *plan = plan_of(&s, statement_with(&s, "FROM mark WHERE clip_id=? AND removed_at"));
    assert_string_equal(plan, "SEARCH mark USING INDEX mark_shown (clip_id=?)\n");
    season_close(&s);
}

/* --- what is said of a line -------------------------------------------------------------------- */

static int64_t put(struct season *s, enum mark_state state, bool praise, int set)
{
    struct mark m = mark_of(s, "T1", "late", 1000000);
    m.state = state;
    m.praise = praise;
    m.set = set;
    OK(s, store_mark_add(s->store, &s->show, &m, &s->e));
    return m.id;
}

static enum mark_state state_now(struct season *s, int64_t id)
{
    struct mark m;
    OK(s, store_mark_one(s->store, &s->memory, id, &m, &s->e));
    return m.state;
}

static void only_the_marks_that_a_choice_means_change_their_state(void **state)
{
    (void)state;
    struct season s = season_new();
    int64_t open = put(&s, MARK_OPEN, false, 0), clean = put(&s, MARK_CLEAN, false, 0),
            repped = put(&s, MARK_REPPED, false, 0), keep = put(&s, MARK_OPEN, true, 0),
            elsewhere = put(&s, MARK_OPEN, false, 1);
    int set = 0;
    struct mark m = mark_of(&s, "T1", "late", 0);
    struct item_choice item = {.section = m.targets[0].section,
                               .performer = -1,
                               .fault = m.fault,
                               .clips = (int64_t[]){1},
                               .n_clips = 1,
                               .sets = &set,
                               .n_sets = 1,
                               .only_open = true};
    assert_int_equal(store_item_state(s.store, &s.show, &item, MARK_REPPED, &s.e), 1);
    assert_int_equal(state_now(&s, open), MARK_REPPED);
    assert_int_equal(state_now(&s, clean), MARK_CLEAN); /* ticking a block undoes nothing */
    assert_int_equal(state_now(&s, keep), MARK_OPEN);
    assert_int_equal(state_now(&s, elsewhere), MARK_OPEN);
    item.only_open = false;
    item.only_repped = true;
    assert_int_equal(store_item_state(s.store, &s.show, &item, MARK_OPEN, &s.e), 2);
    assert_int_equal(state_now(&s, open), MARK_OPEN);
    assert_int_equal(state_now(&s, repped), MARK_OPEN);
    assert_int_equal(state_now(&s, clean), MARK_CLEAN);
    season_close(&s);
}

/* --- what was watched ------------------------------------------------------------------------- */

static void watch(struct season *s, const char *who, int64_t from_us, int64_t to_us)
{
    store_author(s->store, who);
    OK(s, store_watched_add(s->store, 1, &(struct stretch){from_us, to_us}, 1, &s->e));
}

static int64_t count_of(struct season *s, const char *sql)
{
    sqlite3_stmt *q;
    assert_int_equal(sqlite3_prepare_v2(s->store->db, sql, -1, &q, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(q), SQLITE_ROW);
    int64_t n = sqlite3_column_int64(q, 0);
    sqlite3_finalize(q);
    return n;
}

static void stretches_that_meet_are_one_and_each_reviewer_has_their_own(void **state)
{
    (void)state;
    struct season s = season_new();
    struct stretch_list l;
    watch(&s, "Ana", 0, 10);
    watch(&s, "Ben", 20, 30);
    watch(&s, "Ana", 5, 20); /* over her own end, up to his beginning */
    assert_int_equal(count_of(&s, "SELECT count(*) FROM watched WHERE reviewer='Ana'"), 1);
    assert_int_equal(count_of(&s, "SELECT to_us FROM watched WHERE reviewer='Ana'"), 20);
    assert_int_equal(count_of(&s, "SELECT count(*) FROM watched WHERE reviewer='Ben'"), 1);
    assert_int_equal(count_of(&s, "SELECT from_us FROM watched WHERE reviewer='Ben'"), 20);
    OK(&s, store_watched(s.store, &s.memory, 1, &l, &s.e));
    assert_int_equal(l.n, 1); /* of all together */
    assert_int_equal(l.at[0].from_us, 0);
    assert_int_equal(l.at[0].to_us, 30);
    season_close(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_mark_comes_back_as_it_was_given);
    case_test(&all, marks_stand_in_time_order);
    case_test(&all, a_mark_may_name_a_hundred_performers);
    case_test(&all, the_line_of_a_group_moves_only_the_marks_that_name_the_group);
    case_test(&all, a_change_writes_its_fields_alone_and_a_removed_mark_is_gone);
    case_test(&all, a_correction_changes_what_was_wrong_alone);
    cases_of(&all, choices, gives_rows);
    case_test(&all, the_rows_of_a_section_are_read_from_one_covering_index);
    case_test(&all, the_marks_of_a_clip_are_found_by_index_without_a_sort);
    case_test(&all, stretches_that_meet_are_one_and_each_reviewer_has_their_own);
    case_test(&all, only_the_marks_that_a_choice_means_change_their_state);
    return cases_run(&all, "marks in the show file");
}
