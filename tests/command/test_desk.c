/* The desk without a terminal: any keys in any order, any line, and what undo makes of them. */
#include <stdio.h>
#include <string.h>

#include "app/app.h"
#include "command/calls.h"
#include "command/clip.h"
#include "command/line.h"
#include "command/run.h"
#include "command/session.h"
#include "command/stage.h"
#include "lib/cases.h"
#include "lib/run.h"
#include "screen/screens.h"

static struct app app;
static struct desk d;

static int open_desk(void **state)
{
    (void)state;
    stage_open(&d, &app);
    return 0;
}

static int close_desk(void **state)
{
    (void)state;
    stage_close(&d, &app);
    return 0;
}

/* Marks and ties as text. */
static const char *dump(void)
{
    struct buf text = {0};
    for (size_t i = 0; i < calls_all(&d); i++) {
        const struct mark *m = desk_mark(&d, calls_nth(&d, i).id);
        buf_printf(&text, "%lld %lld %d %d %d %d %g '%s' ", (long long)m->id, (long long)m->at_us,
                   m->fault, m->severity, m->cause, m->set, m->set < 0 ? 0 : m->count, m->note);
        buf_printf(&text, "%s ", m->praise ? "praise" : "");
        targets_text(&app.show, m->targets, m->n_targets, &text);
        buf_char(&text, '\n');
    }
    for (size_t i = 0; i < d.ties.n; i++)
        buf_printf(&text, "tie %lld %d %g\n", (long long)d.ties.at[i].at_us, d.ties.at[i].set,
                   d.ties.at[i].count);
    const char *kept = arena_strdup(test_arena(), buf_text(&text));
    buf_free(&text);
    return kept;
}

/* --- any keys -------------------------------------------------------------------------------- */

static unsigned seed;
static unsigned chance(unsigned below)
{
    seed = seed * 1664525u + 1013904223u;
    return (seed >> 8) % below;
}

static const char *const hands[] = {
    "t",     "t",          "m",           "u",     "h",      "h",      "p",        "f",
    "a",     "e",          "1",           "2",     "3",      ",",      "-",        "+",
    "'",     "=",          "*",           "Enter", "Delete", ";",      "@",        "_",
    "[",     "]",          "`",           ".",     "|",      "/",      "&",        "Esc",
    "Space", "Left",       "Right",       "Up",    "Down",   "PageUp", "PageDown", "Home",
    "End",   "<",          ">",           "\\",    "F2",     "F3",     "F4",       "F4",
    "F5",    "F8",         "?",           ":",     "Ctrl-z", "Ctrl-y", "Ctrl-l",   "Backspace",
    "Tab",   "Shift-Left", "Shift-Right", "é",     "(",      "F6",     "F4",       "F7"};

static const char *const lines[] = {"bells", "1.5", "seek 3",  "2.1",
                                    "horn",  "",    "tie 1.3", "note x"};

static void press(void)
{
    if (line_typed(&d)) {
        line_answer(&d, chance(4) ? lines[chance(sizeof lines / sizeof *lines)] : NULL);
        return;
    }
    desk_key(&d, hands[chance(sizeof hands / sizeof *hands)]);
}

static void back_to_the_review(void)
{
    if (line_typed(&d))
        line_answer(&d, NULL);
    desk_key(&d, "F4");
    for (int i = 0; i < 8; i++)
        desk_key(&d, "Esc");
}

static size_t all_steps(const char *key, const char *end)
{
    size_t n = 0;
    for (; n < 5000; n++) {
        desk_key(&d, key);
        if (strcmp(d.message, end) == 0)
            return n;
    }
    fail_msg("%s has no end: %s", key, d.message);
    return n;
}

static void any_keys_in_any_order_can_all_be_taken_back(void **state)
{
    (void)state;
    for (seed = 1; seed <= 4; seed++) {
        const unsigned this = seed;
        for (int i = 0; i < 500; i++) {
            press();
            if (i % 10 == 0)
                desk_poll(&d);
            assert_false(d.quit);
            assert_true(strlen(d.message) < sizeof d.message);
        }
        back_to_the_review();
        all_steps("Ctrl-y", "nothing to do again");
        const char *end = dump();
        struct mark_list stored;
        struct arena mem = {0};
        struct err e;
        assert_true(store_marks(app.store, &mem, d.clip, &stored, &e));
        assert_int_equal(stored.n, calls_all(&d)); /* what is shown is what is stored */
        arena_free(&mem);
        size_t steps = all_steps("Ctrl-z", "nothing to take back");
        assert_string_equal(dump(), "");
        assert_int_equal(all_steps("Ctrl-y", "nothing to do again"), steps);
        assert_string_equal(dump(), end);
        all_steps("Ctrl-z", "nothing to take back");
        seed = this;
    }
}

/* --- any line -------------------------------------------------------------------------------- */

static void any_words_behind_a_command_are_taken_or_refused_in_words(void **state)
{
    (void)state;
    static const char *const args[] = {"",
                                       "x",
                                       "-1",
                                       "+1",
                                       "0",
                                       "99999999999999999999",
                                       "-99999999999999999999",
                                       "1e309",
                                       "nan",
                                       "%s%n%s",
                                       "1:99",
                                       "\xff\xfe",
                                       "set set set",
                                       "1.1 1.2 1.3",
                                       "                    ",
                                       "é 角 \xf0\x9f\x9a\x80"};
    const struct command *c;
    for (size_t k = 0; (c = tool_nth(&review_tools, k)) != NULL; k++) {
        for (size_t i = 0; i < sizeof args / sizeof *args; i++) {
            char line[200];
            snprintf(line, sizeof line, "%s %s", c->name, args[i]);
            desk_run(&d, line);
            d.quit = false;
            if (line_typed(&d))
                line_answer(&d, args[i]);
            if (line_typed(&d))
                line_answer(&d, NULL);
            desk_poll(&d);
        }
        back_to_the_review();
    }
    assert_true(d.play.speed >= 0.25 && d.play.speed <= 2);
    assert_true(d.lead_ms >= 0 && d.lead_ms <= 3000);
    all_steps("Ctrl-z", "nothing to take back");
}

/* --- a clip that opens ------------------------------------------------------------------------- */

/* What is asked of it meanwhile is refused; once it is open, that is not said any longer. */
static void that_a_clip_is_still_opening_is_said_while_it_is(void **state)
{
    (void)state;
    struct err e;
    assert_true(desk_clip(&d, desk_current(&d), 0, false, &e));
    desk_key(&d, "+");
    assert_string_equal(d.message, "the clip is still opening");
    stage_settle(&d);
    assert_string_equal(d.message, "");
    desk_say(&d, "something else");
    stage_settle(&d);
    assert_string_equal(d.message, "something else");
    back_to_the_review();
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, that_a_clip_is_still_opening_is_said_while_it_is);
    case_test(&all, any_keys_in_any_order_can_all_be_taken_back);
    case_test(&all, any_words_behind_a_command_are_taken_or_refused_in_words);
    return _cmocka_run_group_tests("the desk", all.at, all.n, open_desk, close_desk);
}
