/* What terminals answered. The replies were recorded from the programs named. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <fcntl.h>
#include <pty.h>
#include <unistd.h>

#include "pane/termcaps.h"

static const char xterm_379[] =
    "\033P>|XTerm(379)\033\\\033[?2026;0$y\033[?1016;2$y\033]11;rgb:ffff/ffff/ffff\033\\"
    "\033P1$r0;48:2::18:52:86m\033\\\033[0n\033[?64;1;2;6;9;15;16;17;18;21;22;28c";
static const char xterm_379_vt340[] =
    "\033P>|XTerm(379)\033\\\033[?2026;0$y\033[?1016;2$y\033]11;rgb:ffff/ffff/ffff\033\\"
    "\033P1$r0;48:2::18:52:86m\033\\\033[0n\033[?63;1;2;4;6;9;15;16;22;28c";
static const char kitty_0_26[] =
    "\033P>|kitty(0.26.5)\033\\\033[?2026;2$y\033[?1016;2$y\033[6;18;9t"
    "\033]11;rgb:0000/0000/0000\033\\\033P1$r48:2:18:52:86m\033\\\033_Gi=31;OK\033\\"
    "\033_Gi=32;OK\033\\\033[0n\033[?62;c";
/* as before, without the answer to the image in shared memory: through ssh */
static const char kitty_far[] =
    "\033P>|kitty(0.26.5)\033\\\033[?2026;2$y\033[?1016;2$y\033[6;18;9t\033_Gi=31;OK\033\\"
    "\033_Gi=32;EBADF:Failed to open\033\\\033[0n\033[?62;c";
static const char tmux_3_3[] = "\033P>|tmux 3.3a\033\\\033[0n\033[?1;2c";

static const char *const *names_and_values;

static char *env(const char *name)
{
    for (const char *const *p = names_and_values; p && *p; p += 2)
        if (strcmp(*p, name) == 0)
            return (char *)(uintptr_t)p[1];
    return NULL;
}

static struct term_caps read_all(const char *bytes)
{
    struct term_caps caps = {0};
    char keys[16];
    struct term_typed typed = {keys, sizeof keys, 0};
    assert_int_equal(term_caps_read(&caps, bytes, strlen(bytes), &typed), strlen(bytes));
    assert_int_equal(typed.n, 0);
    return caps;
}

static struct term_caps decided(struct term_caps caps, const char *pane, const char *color)
{
    struct err e = {0};
    assert_true(
        term_caps_decide(&caps, env, &(struct term_settings){.pane = pane, .color = color}, &e));
    return caps;
}

#define ENV(...)                                                                                   \
    names_and_values = (const char *const[])                                                       \
    {                                                                                              \
        __VA_ARGS__, NULL                                                                          \
    }

static void recorded_replies_say_what_each_terminal_can_do(void **state)
{
    (void)state;
    static const struct {
        const char *replies, *version;
        bool kitty, shm, sixel, sync, mouse, rgb, light;
        int cell_width, cell_height;
    } rows[] = {
        {xterm_379, "XTerm(379)", false, false, false, false, true, true, true, 0, 0},
        {xterm_379_vt340, "XTerm(379)", false, false, true, false, true, true, true, 0, 0},
        {kitty_0_26, "kitty(0.26.5)", true, true, false, true, true, true, false, 9, 18},
        {kitty_far, "kitty(0.26.5)", true, false, false, true, true, false, false, 9, 18},
        {tmux_3_3, "tmux 3.3a", false, false, false, false, false, false, false, 0, 0},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        const struct term_caps c = read_all(rows[i].replies);
        assert_true(c.answered && c.dsr);
        assert_string_equal(c.version, rows[i].version);
        assert_int_equal(c.kitty, rows[i].kitty);
        assert_int_equal(c.kitty_shm, rows[i].shm);
        assert_int_equal(c.sixel, rows[i].sixel);
        assert_int_equal(c.synchronized, rows[i].sync);
        assert_int_equal(c.pixel_mouse, rows[i].mouse);
        assert_int_equal(c.rgb_echoed, rows[i].rgb);
        assert_int_equal(c.light, rows[i].light);
        assert_int_equal(c.cell_width, rows[i].cell_width);
        assert_int_equal(c.cell_height, rows[i].cell_height);
    }
}

static void replies_may_come_in_any_pieces(void **state)
{
    (void)state;
    struct term_caps caps = {0};
    size_t used = 0;
    char keys[16];
    struct term_typed typed = {keys, sizeof keys, 0};
    for (size_t n = 1; n <= strlen(kitty_0_26); n++)
        used += term_caps_read(&caps, kitty_0_26 + used, n - used, &typed);
    assert_int_equal(used, strlen(kitty_0_26));
    assert_int_equal(typed.n, 0);
    assert_true(caps.kitty && caps.kitty_shm && caps.synchronized && caps.answered);
}

static void keys_typed_meanwhile_are_kept(void **state)
{
    (void)state;
    const char bytes[] = "t3\033P>|XTerm(379)\033\\l\033[A\033OP\033[0n\033[15~ \033[?64;4c";
    struct term_caps caps = {0};
    char keys[64];
    struct term_typed typed = {keys, sizeof keys, 0};
    term_caps_read(&caps, bytes, sizeof bytes - 1, &typed);
    keys[typed.n] = '\0';
    assert_string_equal(keys, "t3l\033[A\033OP\033[15~ ");
    assert_true(caps.sixel);
}

static void garbage_is_no_reply(void **state)
{
    (void)state;
    static const char *const garbage[] = {"\033[6;0;0t\033[?0c",          "\033[6;99999;9t\033[?0c",
                                          "\033]11;rgb:zz\033\\\033[?0c", "\033P>|\033\\\033[?0c",
                                          "\033_G;\033\\\033[?0c",        "\033P1$r\033\\\033[?c"};
    for (size_t i = 0; i < sizeof garbage / sizeof *garbage; i++) {
        const struct term_caps c = read_all(garbage[i]);
        assert_true(c.answered);
        assert_int_equal(c.cell_width, 0);
        assert_false(c.kitty || c.sixel || c.rgb_echoed || c.light);
    }
}

static void a_reply_that_was_cut_off_does_not_swallow_the_next(void **state)
{
    (void)state;
    const struct term_caps c = read_all("\033]11;rgb:ffff/ffff\033[?64;4c");
    assert_true(c.answered && c.sixel);
    assert_false(c.light);
}

/* no-color.org: NO_COLOR, when set and not empty, whatever its value. */
static void colours_follow_environment_and_setting(void **state)
{
    (void)state;
    static const struct {
        const char *env[7];
        const char *set, *replies;
        enum term_colors colors;
    } rows[] = {
        {{"TERM", "xterm-256color"}, NULL, tmux_3_3, TERM_256},
        {{"TERM", "xterm-256color"}, NULL, xterm_379, TERM_TRUECOLOR},
        {{"TERM", "xterm-256color", "COLORTERM", "truecolor"}, NULL, tmux_3_3, TERM_TRUECOLOR},
        {{"TERM", "xterm-256color", "COLORTERM", "24bit"}, NULL, tmux_3_3, TERM_TRUECOLOR},
        {{"TERM", "xterm-256color", "COLORTERM", "truecolor", "NO_COLOR", "1"},
         NULL,
         xterm_379,
         TERM_NONE},
        {{"TERM", "xterm", "NO_COLOR", ""}, NULL, tmux_3_3, TERM_16},
        {{"TERM", "xterm", "NO_COLOR", "1"}, "256", tmux_3_3, TERM_256},
        {{"TERM", "xterm-256color"}, "none", xterm_379, TERM_NONE},
        {{"TERM", "linux"}, "auto", tmux_3_3, TERM_16},
        {{"TERM", "linux"}, "true", tmux_3_3, TERM_TRUECOLOR},
        {{"TERM", "vt220"}, NULL, tmux_3_3, TERM_NONE},
        {{"TERM", "dumb", "COLORTERM", "truecolor"}, NULL, tmux_3_3, TERM_NONE},
        {{"TERM", "xterm-direct"}, NULL, tmux_3_3, TERM_TRUECOLOR},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        names_and_values = rows[i].env;
        assert_int_equal(decided(read_all(rows[i].replies), NULL, rows[i].set).colors,
                         rows[i].colors);
    }
}

static void the_pane_is_the_best_that_was_answered_or_what_was_set(void **state)
{
    (void)state;
    static const struct {
        const char *replies, *term, *lang, *tmux, *set;
        enum term_pane still, moving;
    } rows[] = {
        {kitty_0_26, "xterm-kitty", "C.UTF-8", "", NULL, TERM_PANE_KITTY, TERM_PANE_KITTY},
        {kitty_far, "xterm-kitty", "C.UTF-8", "", NULL, TERM_PANE_KITTY, TERM_PANE_CELLS},
        {kitty_0_26, "xterm-kitty", "C.UTF-8", "", "cells", TERM_PANE_CELLS, TERM_PANE_CELLS},
        {kitty_0_26, "tmux-256color", "C.UTF-8", "", NULL, TERM_PANE_CELLS, TERM_PANE_CELLS},
        {kitty_0_26, "xterm-kitty", "C.UTF-8", "/x", NULL, TERM_PANE_CELLS, TERM_PANE_CELLS},
        {tmux_3_3, "xterm-256color", "C.UTF-8", "", NULL, TERM_PANE_CELLS, TERM_PANE_CELLS},
        {xterm_379, "xterm-256color", "de_DE.utf8", "", NULL, TERM_PANE_SYMBOLS, TERM_PANE_CELLS},
        {xterm_379, "xterm-256color", "C", "", NULL, TERM_PANE_CELLS, TERM_PANE_CELLS},
        {xterm_379, "xterm-256color", "C.UTF-8", "", "sixel", TERM_PANE_SIXEL, TERM_PANE_CELLS},
        {xterm_379, "xterm-256color", "C.UTF-8", "", "none", TERM_PANE_NONE, TERM_PANE_NONE},
        {"", "dumb", "C.UTF-8", "", NULL, TERM_PANE_NONE, TERM_PANE_NONE},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        ENV("TERM", rows[i].term, "LANG", rows[i].lang, "TMUX", rows[i].tmux);
        const struct term_caps c = decided(read_all(rows[i].replies), rows[i].set, NULL);
        assert_int_equal(c.still, rows[i].still);
        assert_int_equal(c.moving, rows[i].moving);
    }
}

static void sixel_needs_the_size_of_a_cell(void **state)
{
    (void)state;
    ENV("TERM", "xterm-256color", "LANG", "C.UTF-8");
    struct term_caps c = read_all(xterm_379_vt340);
    assert_int_equal(decided(c, NULL, NULL).still, TERM_PANE_SYMBOLS);
    c.cell_width = 6;
    c.cell_height = 13;
    assert_int_equal(decided(c, NULL, NULL).still, TERM_PANE_SIXEL);
}

static void an_unknown_setting_is_named_with_its_choices(void **state)
{
    (void)state;
    ENV("TERM", "xterm-256color", "LANG", "C.UTF-8");
    struct term_caps caps = read_all(xterm_379);
    struct err e = {0};
    assert_false(term_caps_decide(&caps, env, &(struct term_settings){.pane = "ascii"}, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_non_null(strstr(e.text, "pane=ascii"));
    assert_non_null(strstr(e.text, "kitty"));
    assert_int_equal(caps.still, TERM_PANE_SYMBOLS);
}

/* The replies lie ready on the other side, so that nothing has to be waited for. */
static void a_terminal_is_asked_and_its_settings_come_back(void **state)
{
    (void)state;
    ENV("TERM", "xterm-kitty", "LANG", "C.UTF-8");
    int master, slave;
    const struct winsize size = {.ws_row = 30, .ws_col = 100, .ws_xpixel = 900, .ws_ypixel = 540};
    assert_int_equal(openpty(&master, &slave, NULL, NULL, &size), 0);
    struct termios before, after;
    tcgetattr(slave, &before);
    before.c_lflag &= (tcflag_t)~ECHO;
    tcsetattr(slave, TCSANOW, &before);
    assert_int_equal(write(master, kitty_0_26, strlen(kitty_0_26)), strlen(kitty_0_26));
    assert_int_equal(write(master, "q", 1), 1);
    struct term_caps caps;
    struct err e = {0};
    char keys[8];
    struct term_typed typed = {keys, sizeof keys, 0};
    assert_true(
        term_caps_query(&caps, &(struct term_line){slave, slave, 5000, env}, NULL, &typed, &e));
    assert_true(caps.answered && caps.kitty_shm);
    assert_int_equal(caps.cell_width, 9);
    assert_int_equal(caps.cell_height, 18);
    assert_int_equal(caps.cols, 100);
    tcgetattr(slave, &after);
    assert_int_equal(before.c_lflag, after.c_lflag);
    assert_int_equal(before.c_iflag, after.c_iflag);
    assert_memory_equal(before.c_cc, after.c_cc, sizeof before.c_cc);
    char asked[2048];
    const ssize_t n = read(master, asked, sizeof asked);
    assert_true(n > 3);
    assert_non_null(memmem(asked, (size_t)n, "\033[5n\033[c", 7)); /* DA1 is the last */
    close(master);
    close(slave);
}

static void assert_asked(const char *tmux, const char *term, bool graphics, bool version)
{
    ENV("TERM", term, "LANG", "C.UTF-8", "TMUX", tmux);
    int master, slave;
    assert_int_equal(openpty(&master, &slave, NULL, NULL, NULL), 0);
    struct term_caps caps;
    struct err e = {0};
    struct term_typed typed = {0};
    assert_true(
        term_caps_query(&caps, &(struct term_line){slave, slave, 1, env}, NULL, &typed, &e));
    char asked[2048];
    const ssize_t n = read(master, asked, sizeof asked);
    assert_true(n > 0);
    assert_int_equal(memmem(asked, (size_t)n, "\033_G", 3) != NULL, graphics);
    assert_int_equal(memmem(asked, (size_t)n, "\033[>q", 4) != NULL, version);
    close(master);
    close(slave);
}

/* tmux 3.3a takes the string of a graphics query for a title; the console prints it. */
static void nobody_is_asked_what_they_would_print(void **state)
{
    (void)state;
    assert_asked("", "xterm-256color", true, true);
    assert_asked("/tmp/tmux-0/default,1,0", "tmux-256color", false, true);
    assert_asked("", "linux", false, false);
}

static void a_terminal_that_stays_silent_is_a_plain_one(void **state)
{
    (void)state;
    ENV("TERM", "xterm-256color", "LANG", "C.UTF-8");
    int master, slave;
    assert_int_equal(openpty(&master, &slave, NULL, NULL, NULL), 0);
    struct term_caps caps;
    struct err e = {0};
    char keys[8];
    struct term_typed typed = {keys, sizeof keys, 0};
    assert_true(
        term_caps_query(&caps, &(struct term_line){slave, slave, 10, env}, NULL, &typed, &e));
    assert_false(caps.answered || caps.dsr || caps.kitty || caps.sixel);
    assert_int_equal(caps.colors, TERM_256);
    close(master);
    close(slave);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(recorded_replies_say_what_each_terminal_can_do),
        cmocka_unit_test(replies_may_come_in_any_pieces),
        cmocka_unit_test(keys_typed_meanwhile_are_kept),
        cmocka_unit_test(garbage_is_no_reply),
        cmocka_unit_test(a_reply_that_was_cut_off_does_not_swallow_the_next),
        cmocka_unit_test(colours_follow_environment_and_setting),
        cmocka_unit_test(the_pane_is_the_best_that_was_answered_or_what_was_set),
        cmocka_unit_test(sixel_needs_the_size_of_a_cell),
        cmocka_unit_test(an_unknown_setting_is_named_with_its_choices),
        cmocka_unit_test(a_terminal_is_asked_and_its_settings_come_back),
        cmocka_unit_test(nobody_is_asked_what_they_would_print),
        cmocka_unit_test(a_terminal_that_stays_silent_is_a_plain_one),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
