/* The fix list: what is counted, and in which order it stands. */
#include <string.h>

#include "lib/cases.h"
#include "rank/list.h"
#include "rank/report.h"
#include "show/show_of.h"

enum { ENSEMBLE, TRUMPETS, TUBAS };
enum { T1, T2, U1 };
enum { LATE, SLOUCH, HORN, DRESS };
enum { MINUTE = 60000000 };

static struct show band(struct arena *a)
{
    return show_of(a, "section,parent\nensemble,\ntrumpets,ensemble\ntubas,ensemble\n",
                   "performer,section\nT1,trumpets\nT2,trumpets\nU1,tubas\n",
                   "fault\nlate\nslouch\nhorn angle\ndress\n", "set,counts\n1,8\n2,8\n3,16\n");
}

static struct rank_row row(int fault, size_t clip, int64_t at_us, int severity)
{
    return (struct rank_row){.section = TRUMPETS,
                             .performer = T1,
                             .fault = fault,
                             .set = -1,
                             .clip = clip,
                             .at_us = at_us,
                             .severity = severity};
}

static struct rank_list rank(struct arena *a, const struct show *show, size_t n_clips,
                             const struct rank_row *rows, size_t n)
{
    struct rank_fold *f = rank_begin(show, (struct rank_clips){n_clips, NULL});
    for (size_t i = 0; i < n; i++)
        rank_feed(f, &rows[i]);
    return rank_end(f, RANK_FREQUENCY, a);
}

#define RANK(a, show, n_clips, ...)                                                                \
    rank(a, show, n_clips, (struct rank_row[]){__VA_ARGS__},                                       \
         sizeof((struct rank_row[]){__VA_ARGS__}) / sizeof(struct rank_row))

static void nothing_fed_gives_empty_lists(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_list l = rank(&a, &show, 0, NULL, 0);
    assert_int_equal(l.n_items, 0);
    assert_int_equal(l.n_keep, 0);
    arena_free(&a);
}

/* Each pair differs in one rule and would stand the other way round by all that follow. */
static const struct order {
    const char *name;
    struct rank_item first, second;
} orders[] = {
    {"more marks come first",
     {.marks = 3, .runs = 1, .severity = 1, .latest = {0, 1}, .fault = 9},
     {.marks = 2, .runs = 4, .severity = 3, .latest = {9, 9}, .fault = 1}},
    {"then more runs",
     {.marks = 2, .runs = 2, .severity = 1, .latest = {0, 1}, .fault = 9},
     {.marks = 2, .runs = 1, .severity = 3, .latest = {9, 9}, .fault = 1}},
    {"then the more serious",
     {.marks = 2, .runs = 1, .severity = 3, .latest = {0, 1}, .fault = 9},
     {.marks = 2, .runs = 1, .severity = 2, .latest = {9, 9}, .fault = 1}},
    {"then the later clip",
     {.marks = 2, .runs = 1, .severity = 3, .latest = {2, 1}, .fault = 9},
     {.marks = 2, .runs = 1, .severity = 3, .latest = {1, 9}, .fault = 1}},
    {"then the later moment",
     {.marks = 2, .runs = 1, .severity = 3, .latest = {2, 9}, .fault = 9},
     {.marks = 2, .runs = 1, .severity = 3, .latest = {2, 1}, .fault = 1}},
    {"at last the place in the fault table",
     {.marks = 2, .runs = 1, .severity = 3, .latest = {2, 9}, .fault = 1},
     {.marks = 2, .runs = 1, .severity = 3, .latest = {2, 9}, .fault = 9}},
};

static void stands_first(void **state)
{
    const struct order *o = *state;
    assert_true(rank_order(&o->first, &o->second) < 0);
    assert_true(rank_order(&o->second, &o->first) > 0);
    assert_int_equal(rank_order(&o->first, &o->first), 0);
}

static void the_order_is_total(void **state)
{
    (void)state;
    struct rank_item x[60];
    unsigned chance = 3;
    for (int i = 0; i < 60; i++) {
        int v[5];
        for (int k = 0; k < 5; k++)
            v[k] = (int)((chance = chance * 1103515245u + 12345u) >> 16) % 3;
        x[i] = (struct rank_item){.marks = v[0],
                                  .runs = v[1],
                                  .severity = v[2],
                                  .latest = {(size_t)v[3], v[4]},
                                  .fault = i};
    }
    for (int i = 0; i < 60; i++)
        for (int j = 0; j < 60; j++) {
            int ij = rank_order(&x[i], &x[j]);
            assert_int_equal(ij > 0, rank_order(&x[j], &x[i]) < 0);
            assert_int_equal(ij == 0, i == j);
            for (int k = 0; k < 60; k++)
                if (ij < 0 && rank_order(&x[j], &x[k]) < 0)
                    assert_true(rank_order(&x[i], &x[k]) < 0);
        }
}

static void a_line_counts_marks_and_runs_and_keeps_first_worst_and_latest(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_list l =
        RANK(&a, &show, 3, row(HORN, 2, 5 * MINUTE, 2), row(HORN, 0, 4 * MINUTE, 1),
             row(HORN, 2, 1 * MINUTE, 3), row(HORN, 2, 2 * MINUTE, 3), row(LATE, 1, 1 * MINUTE, 1));
    assert_int_equal(l.n_items, 2);
    const struct rank_item *i = &l.items[0];
    assert_int_equal(i->rank, 1);
    assert_int_equal(i->fault, HORN);
    assert_int_equal(i->marks, 4);
    assert_int_equal(i->runs, 2);
    assert_int_equal(i->severity, 3);
    assert_true(i->first.clip == 0 && i->first.at_us == 4 * MINUTE);
    assert_true(i->worst.clip == 2 && i->worst.at_us == 1 * MINUTE); /* the first of the worst */
    assert_true(i->latest.clip == 2 && i->latest.at_us == 5 * MINUTE);
    assert_int_equal(l.items[1].rank, 2);
    arena_free(&a);
}

static void clean_marks_do_not_count_and_one_open_mark_brings_it_back(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_row clean = row(HORN, 0, 1, 1), repped = row(SLOUCH, 0, 1, 1),
                    clean_again = row(SLOUCH, 0, 2, 1);
    clean.state = clean_again.state = MARK_CLEAN;
    repped.state = MARK_REPPED;
    struct rank_list l = RANK(&a, &show, 1, clean, repped, clean_again);
    assert_int_equal(l.items[0].fault, SLOUCH);
    assert_int_equal(l.items[0].marks, 1);
    assert_int_equal(l.items[0].clean, 1);
    assert_int_equal(l.items[0].state, MARK_REPPED);
    assert_int_equal(l.items[1].marks, 0);
    assert_int_equal(l.items[1].state, MARK_CLEAN);
    l = RANK(&a, &show, 1, clean, row(HORN, 0, 3, 1));
    assert_int_equal(l.items[0].state, MARK_OPEN);
    arena_free(&a);
}

static void a_mark_given_again_counts_its_performer_only(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_row again = row(HORN, 0, 1, 1), group = row(HORN, 0, 1, 1);
    again.performer = T2;
    again.again = group.again = true;
    group.performer = -1;
    struct rank_list l = RANK(&a, &show, 1, row(HORN, 0, 1, 1), again, group, row(HORN, 0, 2, 1));
    const struct rank_item *i = &l.items[0];
    assert_int_equal(i->marks, 2);
    assert_int_equal(i->n_who, 3);
    assert_true(i->who[0].performer && i->who[0].position == T1 && i->who[0].marks == 2);
    assert_true(i->who[1].performer && i->who[1].position == T2 && i->who[1].marks == 1);
    assert_true(!i->who[2].performer && i->who[2].position == TRUMPETS && i->who[2].marks == 1);
    arena_free(&a);
}

static void praise_is_a_list_of_its_own(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_row praise = row(HORN, 0, 1, 1);
    praise.praise = true;
    struct rank_list l = RANK(&a, &show, 1, praise, row(HORN, 0, 2, 1), praise);
    assert_int_equal(l.n_items, 1);
    assert_int_equal(l.n_keep, 1);
    assert_int_equal(l.items[0].marks, 1);
    assert_int_equal(l.keep[0].marks, 2);
    assert_true(l.keep[0].praise);
    arena_free(&a);
}

static void sets_stand_in_drill_order_once(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_row x = row(HORN, 0, 1, 1), y = x, z = x;
    x.set = 2;
    y.set = 0;
    struct rank_list l = RANK(&a, &show, 1, x, y, z, x);
    assert_int_equal(l.items[0].n_sets, 2);
    assert_int_equal(l.items[0].sets[0], 0);
    assert_int_equal(l.items[0].sets[1], 2);
    arena_free(&a);
}

static void one_mark_that_staff_must_decide_makes_the_line_theirs(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_row x = row(HORN, 0, 1, 1), y = x;
    y.cause = CAUSE_DEFINE;
    struct rank_list l = RANK(&a, &show, 1, x, y, x);
    assert_int_equal(l.items[0].cause, CAUSE_DEFINE);
    arena_free(&a);
}

/* Counted anew by going over all rows for every fault: the naive way. */
static void a_list_of_chance_is_what_counting_by_hand_gives(void **state)
{
    (void)state;
    enum { ROWS = 300, CLIPS = 4 };
    struct arena a = {0};
    struct show show = band(&a);
    struct rank_row rows[ROWS];
    unsigned chance = 11;
    for (int i = 0; i < ROWS; i++) {
        unsigned c = (chance = chance * 1103515245u + 12345u) >> 8;
        rows[i] = row((int)(c % 4), c / 4 % CLIPS, c % 1000, 1 + (int)(c / 16 % 3));
        rows[i].state = (enum mark_state)(c / 64 % 3);
        rows[i].performer = (int)(c / 256 % 3);
    }
    struct rank_list l = rank(&a, &show, CLIPS, rows, ROWS);
    for (size_t k = 0; k < l.n_items; k++) {
        const struct rank_item *item = &l.items[k];
        int marks = 0, runs = 0, severity = 0;
        for (size_t clip = 0; clip < CLIPS; clip++) {
            bool seen = false;
            for (int i = 0; i < ROWS; i++) {
                if (rows[i].fault != item->fault || rows[i].clip != clip)
                    continue;
                seen = true;
                marks += rows[i].state != MARK_CLEAN;
                severity = rows[i].severity > severity ? rows[i].severity : severity;
            }
            runs += seen;
        }
        assert_int_equal(item->marks, marks);
        assert_int_equal(item->runs, runs);
        assert_int_equal(item->severity, severity);
        assert_true(k == 0 || rank_order(&l.items[k - 1], item) < 0);
    }
    arena_free(&a);
}

/* The roster may be another one since the list was made. */
static void a_report_whose_performer_is_gone_says_so(void **state)
{
    (void)state;
    struct arena a = {0};
    struct show show = band(&a);
    struct fix_report r = {.show = &show, .performer = 0, .section = 0};
    assert_string_equal(report_for(&r), show.performers[0].label);
    r.performer = (int)show.n_performers;
    assert_string_equal(report_for(&r), "a performer who is gone");
    r.performer = -1;
    assert_string_equal(report_for(&r), show.sections[0].name);
    r.section = (int)show.n_sections;
    assert_string_equal(report_for(&r), "a section that is gone");
    arena_free(&a);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_report_whose_performer_is_gone_says_so);
    cases_of(&all, orders, stands_first);
    case_test(&all, nothing_fed_gives_empty_lists);
    case_test(&all, the_order_is_total);
    case_test(&all, a_line_counts_marks_and_runs_and_keeps_first_worst_and_latest);
    case_test(&all, clean_marks_do_not_count_and_one_open_mark_brings_it_back);
    case_test(&all, a_mark_given_again_counts_its_performer_only);
    case_test(&all, praise_is_a_list_of_its_own);
    case_test(&all, sets_stand_in_drill_order_once);
    case_test(&all, one_mark_that_staff_must_decide_makes_the_line_theirs);
    case_test(&all, a_list_of_chance_is_what_counting_by_hand_gives);
    return cases_run(&all, "fix list");
}
