/* Tables of cases: every row becomes a test of its own, named by the row.
 *
 *     static const struct row { const char *name; ... } rows[] = {{"a comma splits", ...}, ...};
 *     static void check(void **state) { const struct row *r = *state; ... }
 *     int main(void)
 *     {
 *         struct cases all = {0};
 *         cases_of(&all, rows, check);
 *         case_add(&all, "an empty table is refused", refuse_empty, NULL);
 *         return cases_run(&all, "tables");
 *     }
 */
#ifndef LIB_CASES_H
#define LIB_CASES_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include <cmocka.h>

enum { CASES_MOST = 400 };

/* Statistics need many draws, which the sanitizers make many times as slow, and tell nothing new of the
 * memory. There a few are drawn, whose shares mean nothing and are not looked at. */
#ifdef __SANITIZE_ADDRESS__
enum { SANITIZED = 1 };
#else
enum { SANITIZED = 0 };
#endif

struct cases {
    struct CMUnitTest at[CASES_MOST];
    size_t n;
};

static inline void case_add(struct cases *c, const char *name, CMUnitTestFunction fn,
                            const void *row)
{
    if (c->n == CASES_MOST)
        abort();
    c->at[c->n++] =
        (struct CMUnitTest){.name = name, .test_func = fn, .initial_state = (void *)(uintptr_t)row};
}

/* rows: an array of structs whose first member is `const char *name`. */
#define cases_of(c, rows, fn)                                                                      \
    do {                                                                                           \
        for (size_t i_ = 0; i_ < sizeof(rows) / sizeof *(rows); i_++)                              \
            case_add(c, (rows)[i_].name, fn, &(rows)[i_]);                                         \
    } while (0)

#define case_test(c, fn) case_add(c, #fn, fn, NULL)

static inline int cases_run(const struct cases *c, const char *group)
{
    return _cmocka_run_group_tests(group, c->at, c->n, NULL, NULL);
}

#endif
