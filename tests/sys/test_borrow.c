/* Libraries that are loaded when they are first needed. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "sys/borrow.h"

static struct lent {
    double (*cosine)(double);
    void *other;
} lent;

#define COSINE                                                                                     \
    {                                                                                              \
        "libm.so.6", "cos", offsetof(struct lent, cosine)                                          \
    }

static bool take(const struct borrowed *rows, size_t n, bool *done, struct err *e)
{
    return borrow(&(struct borrow_list){rows, n, &lent, done}, e);
}

static void what_is_borrowed_can_be_called(void **state)
{
    (void)state;
    static const struct borrowed rows[] = {COSINE};
    bool done = false;
    struct err e;
    assert_true(take(rows, 1, &done, &e));
    assert_true(done);
    assert_true(lent.cosine(0) == 1);
    lent.cosine = NULL;
    assert_true(take(rows, 1, &done, &e)); /* nothing is asked for again */
    assert_null(lent.cosine);
}

static void what_is_missing_is_named_and_asked_for_again(void **state)
{
    (void)state;
    static const struct row {
        struct borrowed last;
        const char *says;
    } rows[] = {
        {{"libno-such-thing.so.9", "cos", offsetof(struct lent, other)},
         "a library cannot be loaded: libno-such-thing.so.9: "},
        {{"libm.so.6", "no_such_function", offsetof(struct lent, other)},
         "libm.so.6 lacks no_such_function; build boxcall again"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct borrowed both[] = {COSINE, rows[i].last};
        bool done = false;
        struct err e = {0};
        for (int again = 0; again < 2; again++) {
            assert_false(take(both, 2, &done, &e));
            assert_false(done);
            assert_int_equal(e.code, ERR_FAILED);
            assert_ptr_equal(strstr(e.text, rows[i].says), e.text);
        }
        assert_true(take(both, 1, &done, &e)); /* once it is there */
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_borrowed_can_be_called),
        cmocka_unit_test(what_is_missing_is_named_and_asked_for_again),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
