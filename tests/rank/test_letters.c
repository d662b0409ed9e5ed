#include "rank/list.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "rank/stat.h"

/* The letters behind the marks of a fix list: two lines share one exactly when the test of that pair
 * does not tell them apart (all pairs tested one by one, Benjamini-Hochberg over them). */

static int falling(const void *a, const void *b)
{
    const unsigned x = *(const unsigned *)a, y = *(const unsigned *)b;
    return (x < y) - (x > y);
}

/* Is there a name that stands in both? A name is a letter and the digits behind it. */
static bool share(const char *a, const char *b)
{
    for (; *a; a += 1 + strspn(a + 1, "0123456789")) {
        const size_t n = 1 + strspn(a + 1, "0123456789");
        for (const char *at = b; *at; at += 1 + strspn(at + 1, "0123456789"))
            if (1 + strspn(at + 1, "0123456789") == n && strncmp(a, at, n) == 0)
                return true;
    }
    return false;
}

static void check(const unsigned *counts, size_t n)
{
    struct arena a = {0};
    struct err e = {0};
    struct rank_list l = {.by = RANK_FREQUENCY, .n_items = n};
    l.items = arena_alloc(&a, (n + 1) * sizeof *l.items);
    for (size_t i = 0; i < n; i++)
        l.items[i].marks = (int)counts[i];
    assert_true(rank_believe(&l, 0, &a, &e));
    const size_t pairs = n * (n - 1) / 2;
    double *p = arena_alloc(&a, (pairs + 1) * sizeof *p);
    size_t k = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n; j++)
            p[k++] = stat_two_rates(counts[j], 1, counts[i], 1, 0.95).p;
    stat_bh_adjust(p, pairs, p);
    k = 0;
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n; j++, k++) {
            struct buf x = {0}, y = {0};
            rank_joined_text(&l.items[i], &x);
            rank_joined_text(&l.items[j], &y);
            if (share(buf_text(&x), buf_text(&y)) != (p[k] > 0.05))
                fail_msg("%u marks '%s' and %u marks '%s', p %g", counts[i], buf_text(&x),
                         counts[j], buf_text(&y), p[k]);
            buf_free(&x);
            buf_free(&y);
        }
    arena_free(&a);
}

static void brackets_apart_have_names_of_their_own(void **state)
{
    (void)state;
    check((const unsigned[]){60, 55, 20, 18, 3, 2}, 6);
}

static void letters_say_of_every_pair_whether_it_is_told_apart(void **state)
{
    (void)state;
    uint32_t seed = 11;
    for (int round = 0; round < 400; round++) {
        unsigned counts[40];
        const size_t n = 2 + (size_t)round % 39;
        for (size_t i = 0; i < n; i++) {
            seed = seed * 1664525u + 1013904223u;
            counts[i] = (seed >> 16) % (round % 3 == 0 ? 6 : round % 3 == 1 ? 60 : 2000);
        }
        qsort(counts, n, sizeof *counts, falling);
        check(counts, n);
    }
}

static void names_do_not_run_out(void **state)
{
    (void)state;
    unsigned counts[220];
    for (size_t i = 0; i < 220; i++)
        counts[i] = (unsigned)(220 - i) * 4;
    check(counts, 220);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(brackets_apart_have_names_of_their_own),
        cmocka_unit_test(letters_say_of_every_pair_whether_it_is_told_apart),
        cmocka_unit_test(names_do_not_run_out),
    };
    return cmocka_run_group_tests_name("letters of a list", tests, NULL, NULL);
}
