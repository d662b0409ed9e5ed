#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "sys/clock.h"

/* time() may lag behind by a tick of the kernel, so it is not asked. */
static int64_t system_ms(void)
{
    struct timespec t;
    assert_int_equal(timespec_get(&t, TIME_UTC), TIME_UTC);
    return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static void the_wall_clock_is_the_systems(void **state)
{
    (void)state;
    unsetenv("BOXCALL_CLOCK");
    int64_t before = system_ms();
    int64_t now = clock_wall_ms();
    int64_t after = system_ms();
    assert_true(before <= now && now <= after);
}

static void a_frozen_clock_stands_still(void **state)
{
    (void)state;
    setenv("BOXCALL_CLOCK", "1756425600123", 1);
    assert_true(clock_wall_ms() == INT64_C(1756425600123));
    assert_true(clock_wall_ms() == INT64_C(1756425600123));
    unsetenv("BOXCALL_CLOCK");
    assert_true(clock_wall_ms() != INT64_C(1756425600123));
}

static void today_is_the_date_where_the_laptop_is(void **state)
{
    (void)state;
    /* 2025-08-29 00:00:00 UTC is 1756425600 (date -u -d @1756425600). */
    static const struct {
        const char *clock_ms, *zone, *date;
    } rows[] = {
        {"1756425600000", "UTC", "2025-08-29"},   {"1756425599999", "UTC", "2025-08-28"},
        {"1756425600000", "CDT+5", "2025-08-28"}, /* POSIX: five hours behind UTC */
        {"1756425600000", "JST-9", "2025-08-29"}, {"0", "UTC", "1970-01-01"},
        {"951782400000", "UTC", "2000-02-29"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char date[11];
        setenv("BOXCALL_CLOCK", rows[i].clock_ms, 1);
        setenv("TZ", rows[i].zone, 1);
        tzset();
        clock_today(date);
        assert_string_equal(date, rows[i].date);
    }
    unsetenv("BOXCALL_CLOCK");
}

static void the_other_clock_never_runs_back(void **state)
{
    (void)state;
    int64_t last = clock_mono_us();
    for (int i = 0; i < 1000; i++) {
        int64_t now = clock_mono_us();
        assert_true(now >= last);
        last = now;
    }
}

static void random_bytes_fill_all_and_differ(void **state)
{
    (void)state;
    unsigned char a[1000] = {0}, b[1000] = {0};
    random_bytes(a, sizeof a - 1);
    random_bytes(b, sizeof b - 1);
    assert_int_equal(a[999], 0); /* not one byte more than asked */
    assert_memory_not_equal(a, b, sizeof a);
    /* 999 bytes of which 100 in a row are zero come once in 256^100 / 900 tries. */
    for (size_t i = 0; i + 100 < sizeof a; i += 100) {
        static const unsigned char zeros[100];
        assert_memory_not_equal(a + i, zeros, sizeof zeros);
    }
}

static void chance_can_be_held_and_ids_cannot(void **state)
{
    (void)state;
    unsigned char a[16], b[16];
    unsetenv("BOXCALL_CHANCE");
    assert_true(chance_seed() != chance_seed());
    setenv("BOXCALL_CHANCE", "18446744073709551615", 1);
    assert_true(chance_seed() == UINT64_MAX);
    assert_true(chance_seed() == UINT64_MAX);
    random_bytes(a, sizeof a);
    random_bytes(b, sizeof b);
    assert_memory_not_equal(a, b, sizeof a);
    unsetenv("BOXCALL_CHANCE");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_wall_clock_is_the_systems),
        cmocka_unit_test(a_frozen_clock_stands_still),
        cmocka_unit_test(today_is_the_date_where_the_laptop_is),
        cmocka_unit_test(the_other_clock_never_runs_back),
        cmocka_unit_test(random_bytes_fill_all_and_differ),
        cmocka_unit_test(chance_can_be_held_and_ids_cannot),
    };
    return cmocka_run_group_tests_name("clock and chance", tests, NULL, NULL);
}
