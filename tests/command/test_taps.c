/* How late a person taps along with a flash, with a clock of the test's own. */
#include "command/run.h"
#include "command/screen.h"
#include "command/stage.h"
#include "command/tap_bias.h"
#include "lib/cases.h"
#include "lib/run.h"

static struct app app;
static struct desk d;

static void begin(void)
{
    stage_open(&d, &app);
}

static void end(void)
{
    stage_close(&d, &app);
}

/* What the show file keeps of this person; NULL when nothing. */
static const char *kept(const char *what)
{
    return store_setting(app.store, test_arena(), arena_printf(test_arena(), "%s Ana Quill", what));
}

static void sixteen_taps_along_with_the_flash_say_how_late_they_are(void **state)
{
    (void)state;
    enum { FLASH_US = 500000 };
    static const int late_ms[TAP_TRIES] = {60, 55, 65, 60, 62, 58, 61, 59,
                                           60, 60, 55, 65, 62, 58, 60, 60}; /* mean 60 */
    begin();
    desk_key(&d, "F7");
    assert_string_equal(d.screen->open.name, "tap-measure");
    const int64_t first_us = tap_trial(&d)->first_us;
    tap_trial_tick(&d, first_us - 1);
    assert_false(tap_trial(&d)->lit);
    for (int i = 0; i < TAP_TRIES; i++) {
        assert_int_equal(tap_trial(&d)->n, i);
        tap_trial_tick(&d, first_us + i * FLASH_US);
        assert_true(tap_trial(&d)->lit);
        tap_trial_tick(&d, first_us + i * FLASH_US + FLASH_US / 2);
        assert_false(tap_trial(&d)->lit);
        assert_null(kept("tap_bias_ms"));
        tap_trial_tap(&d, first_us + i * FLASH_US + late_ms[i] * 1000);
    }
    assert_string_equal(d.screen->open.name, "review");
    assert_in_range((int)d.tap_bias_us, 59999, 60001);
    assert_contains(d.message, "your taps are 60 +-");
    assert_contains(d.message, "late");
    assert_string_equal(kept("tap_bias_ms"), "60.0");
    end();
}

static void taps_that_are_left_half_way_change_nothing(void **state)
{
    (void)state;
    begin();
    desk_key(&d, "F7");
    for (int i = 0; i + 1 < TAP_TRIES; i++)
        desk_key(&d, "Space");
    assert_int_equal(tap_trial(&d)->n, TAP_TRIES - 1);
    desk_key(&d, "Esc");
    assert_string_equal(d.screen->open.name, "review");
    desk_run(&d, "tap-lead"); /* a tap nobody waits for */
    assert_string_equal(d.screen->open.name, "review");
    assert_true(d.tap_bias_us == 0);
    assert_null(kept("tap_bias_ms"));
    desk_key(&d, "F7"); /* and begins anew */
    assert_int_equal(tap_trial(&d)->n, 0);
    end();
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, sixteen_taps_along_with_the_flash_say_how_late_they_are);
    case_test(&all, taps_that_are_left_half_way_change_nothing);
    return cases_run(&all, "how late taps are");
}
