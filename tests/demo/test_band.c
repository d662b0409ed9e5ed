/* The tables: those that ship as defaults and those of the invented band. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "demo/drill.h"
#include "demo/table.h"
#include "lib/files.h"

static const char *folders[2]; /* share, demo/band */

static struct table read_table(const char *dir, const char *file, const char *columns)
{
    struct table t;
    struct err e = {0};
    if (!table_read(test_arena(), dir, file, columns, &t, &e))
        fail_msg("%s", e.text);
    return t;
}

static struct table sections_in(const char *dir)
{
    return read_table(dir, "sections.csv", "section,parent,key,words");
}

static struct table faults_in(const char *dir)
{
    return read_table(dir, "faults.csv", "fault,family,key,cause,right,words,together");
}

static bool begins_with(const char *s, const char *with)
{
    return strncmp(s, with, strlen(with)) == 0;
}

static void no_key_is_the_beginning_of_another(void **state)
{
    (void)state;
    for (int k = 0; k < 4; k++) {
        const struct table t = k % 2 ? faults_in(folders[k / 2]) : sections_in(folders[k / 2]);
        for (size_t i = 0; i < t.n; i++) {
            const char *key = t.row[i][2];
            assert_true(*key && strspn(key, "abcdefghijklmnopqrstuvwxyz") == strlen(key));
            for (size_t j = 0; j < t.n; j++)
                if (i != j && begins_with(t.row[j][2], key))
                    fail_msg("%s: '%s' of %s and '%s' of %s", t.path, key, t.row[i][0], t.row[j][2],
                             t.row[j][0]);
        }
    }
}

static void a_chord_is_three_letters_or_fewer_on_average(void **state)
{
    (void)state;
    for (int k = 0; k < 2; k++) {
        const struct table s = sections_in(folders[k]), f = faults_in(folders[k]);
        size_t letters = 0, single = 0;
        for (size_t i = 0; i < s.n; i++)
            assert_int_equal(strlen(s.row[i][2]), 1);
        for (size_t i = 0; i < f.n; i++) {
            letters += strlen(f.row[i][2]);
            single += strlen(f.row[i][2]) == 1;
        }
        assert_true(1 + (double)letters / (double)f.n <= 3);
        assert_true(single >= 12);
    }
}

static void all_families_are_there_and_every_fault_says_what_right_is(void **state)
{
    (void)state;
    static const char *const families[] = {
        "carriage & posture", "horn/equipment",    "feet & legs",         "timing",
        "form & spacing",     "path & transition", "body & choreography", "color guard work",
        "definition",         "communication",     "props & staging"};
    enum { N = sizeof families / sizeof *families };
    for (int k = 0; k < 2; k++) {
        const struct table t = faults_in(folders[k]);
        bool seen[N] = {false};
        for (size_t i = 0; i < t.n; i++) {
            size_t f = 0;
            while (f < N && strcmp(families[f], t.row[i][1]) != 0)
                f++;
            assert_true(f < N);
            seen[f] = true;
            assert_true(strcmp(t.row[i][3], "define") == 0 || strcmp(t.row[i][3], "execute") == 0);
            assert_true(strlen(t.row[i][4]) >= 10);
            assert_null(strchr(t.row[i][4], '\n'));
        }
        for (size_t f = 0; f < N; f++)
            assert_true(seen[f]);
    }
}

/* A word that meant two faults (or two sections) would be understood by chance. */
static void no_word_means_two_things(void **state)
{
    (void)state;
    for (int k = 0; k < 4; k++) {
        const struct table t = k % 2 ? faults_in(folders[k / 2]) : sections_in(folders[k / 2]);
        const int words_column = k % 2 ? 5 : 3;
        const char *all[600];
        size_t n = 0;
        for (size_t i = 0; i < t.n; i++) {
            const char **word;
            const size_t m = table_split(test_arena(), t.row[i][words_column], ';', &word);
            all[n++] = t.row[i][0];
            for (size_t j = 0; j < m; j++)
                all[n++] = word[j];
            assert_true(n < 580);
        }
        for (size_t i = 0; i < n; i++)
            for (size_t j = 0; j < i; j++)
                if (strcasecmp(all[i], all[j]) == 0)
                    fail_msg("%s: '%s' is there twice", t.path, all[i]);
    }
}

static void dot_words_become_grid_steps(void **state)
{
    (void)state;
    /* Worked dot-sheet conversions; 8 steps to 5 yards, 28-28-28 in depth (common practice, no
     * source). */
    static const struct {
        const char *across, *depth;
        double x, y;
    } cases[] = {
        {"side 1, 2.5 outside 35", "4 behind front hash", -26.5, 32},
        {"side 2, 1 inside 45", "12 behind front sideline", 7, 12},
        {"on 50", "on front hash", 0, 28},
        {"side 2, 3.25 outside 40", "6 in front of back hash", 19.25, 50},
        {"side 1, 4 inside 20", "8 in front of back sideline", -44, 76},
        {"side 2, on 40", "4 in front of front sideline", 16, -4},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        double x, y;
        assert_true(dot_across(cases[i].across, &x));
        assert_true(dot_depth(cases[i].depth, &y));
        assert_true(fabs(x - cases[i].x) < 1e-12 && fabs(y - cases[i].y) < 1e-12);
    }
}

static void unclear_dots_are_refused(void **state)
{
    (void)state;
    static const char *const across[] = {"",
                                         "side 3, on 40",
                                         "side 1, on 55",
                                         "2 outside 40",
                                         "side 1, 2 beside 40",
                                         "side 1, on 40 yard"};
    static const char *const depth[] = {"", "front hash", "4 on front hash", "behind front hash",
                                        "4 behind middle hash"};
    double v;
    for (size_t i = 0; i < sizeof across / sizeof *across; i++)
        assert_false(dot_across(across[i], &v));
    for (size_t i = 0; i < sizeof depth / sizeof *depth; i++)
        assert_false(dot_depth(depth[i], &v));
}

static bool known(const struct table *t, const char *name)
{
    for (size_t i = 0; i < t->n; i++)
        if (strcmp(t->row[i][0], name) == 0)
            return true;
    return false;
}

static void earlier_marks_speak_of_this_band(void **state)
{
    (void)state;
    const char *band = folders[1];
    const struct table sections = sections_in(band), faults = faults_in(band);
    const struct table roster = read_table(band, "roster.csv", "performer,name,section");
    const struct table marks =
        read_table(band, "marks.csv", "clip,time,target,fault,note,severity,cause,praise,author");
    size_t praise = 0;
    for (size_t i = 0; i < marks.n; i++) {
        const char **who;
        const size_t n = table_split(test_arena(), marks.row[i][2], ';', &who);
        int minute, second, tenth;
        assert_true(n > 0);
        for (size_t k = 0; k < n; k++)
            assert_true(known(&sections, who[k]) || known(&roster, who[k]));
        assert_true(known(&faults, marks.row[i][3]));
        assert_int_equal(sscanf(marks.row[i][1], "%d:%2d.%1d", &minute, &second, &tenth), 3);
        assert_true(60 * minute + second < 101);
        praise += strcmp(marks.row[i][7], "yes") == 0;
    }
    assert_true(marks.n >= 25 && praise >= 2);
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_key_is_the_beginning_of_another),
        cmocka_unit_test(a_chord_is_three_letters_or_fewer_on_average),
        cmocka_unit_test(all_families_are_there_and_every_fault_says_what_right_is),
        cmocka_unit_test(no_word_means_two_things),
        cmocka_unit_test(dot_words_become_grid_steps),
        cmocka_unit_test(unclear_dots_are_refused),
        cmocka_unit_test(earlier_marks_speak_of_this_band),
    };
    if (argc != 3)
        return 2;
    folders[0] = argv[1];
    folders[1] = argv[2];
    return cmocka_run_group_tests(tests, NULL, NULL);
}
