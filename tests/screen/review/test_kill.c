/* What the screen has shown is on disk, whenever the program is killed. */
#include <signal.h>

#include "review/stage.h"

#ifdef __SANITIZE_ADDRESS__
enum { KILLS = 10 };
#else
enum { KILLS = 30 };
#endif

static unsigned chance_state = 20261;
static unsigned chance(unsigned below)
{
    chance_state = chance_state * 1103515245u + 12345u;
    return chance_state >> 8 & 0xFFFF ? (chance_state >> 8) % below : 0;
}

static void what_was_acknowledged_survives_kill_9(void **state)
{
    (void)state;
    static const char *const ends[] = {"h", "p", "f", "d"};
    static const char *const faults[] = {"horn angle", "out of step", "feet apart at halt",
                                         "dress"};
    static struct call rows[CALLS_MOST];
    struct stage s = stage_new();
    long at_least = 0, at_most = 0;
    for (int i = 0; i < KILLS; i++) {
        stage_open(&s, NULL, NULL);
        term_wait_row(s.t, 0, arena_printf(test_arena(), " %d mark", i));
        long begun = stage_frame(&s); /* the place was kept */
        assert_in_range(begun, at_least, at_most);
        if (begun > 500)
            stage_go(&s, begun = 0);
        stage_play(&s);
        stage_wait_past(&s, begun + (long)chance(12));
        unsigned k = chance(4), who = 1 + chance(8);
        at_least = stage_frame(&s);
        term_keys(s.t, arena_printf(test_arena(), "t %u %s", who, ends[k]));
        term_wait_row(s.t, -1, arena_printf(test_arena(), "T%u, %s", who, faults[k]));
        at_most = stage_frame(&s) + 1;
        term_signal(s.t, SIGKILL);
        assert_int_equal(term_wait_exit(s.t), -SIGKILL);
        stage_close(&s);
        assert_int_equal(stage_calls(&s, "run", rows), (size_t)i + 1);
        struct call c = stage_newest_call(&s);
        assert_string_equal(c.who, arena_printf(test_arena(), "T%u", who));
        assert_string_equal(c.fault, faults[k]);
    }
    struct run check = run("boxcall", "check", s.show, NULL);
    assert_exit(check, 0);
}

static void what_is_said_about_a_mark_survives_kill_9(void **state)
{
    (void)state;
    struct stage s = stage_new();
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "t h 3 * Enter");
    term_wait_row(s.t, -1, "note:");
    term_type(s.t, "bells");
    term_keys(s.t, "Enter");
    term_wait_row(s.t, -1, "noted");
    term_signal(s.t, SIGKILL);
    term_wait_exit(s.t);
    stage_close(&s);
    struct call c = stage_only_call(&s);
    assert_int_equal(c.severity, 3);
    assert_string_equal(c.cause, "define");
    assert_string_equal(c.note, "bells");
    stage_open(&s, NULL, NULL);
    term_keys(s.t, "Ctrl-z");
    term_wait_row(s.t, -1, "taken back: noted"); /* and can still be taken back */
    assert_string_equal(stage_only_call(&s).note, "");
    stage_quit(&s);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, what_was_acknowledged_survives_kill_9);
    case_test(&all, what_is_said_about_a_mark_survives_kill_9);
    return cases_run(&all, "kill -9");
}
