/* A real X server (Xvfb) and real key presses (xdotool). Skipped (77) where these are missing. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include <X11/Xlib.h>

#include "lib/run.h"
#include "lib/xdisplay.h"
#include "player/watch.h"

static struct xdisplay *display;

/* A window of 400 x 300 in the screen's top left corner; no window manager is there to ask. */
static void open_window(struct watch *w, int64_t start_us)
{
    struct err e = {0};
    *w = (struct watch){.bars = -2, .path = clip_path("ntsc.mp4")};
    assert_non_null(w->path);
    const struct player_want want = {.view = PLAYER_WINDOW, .title = "boxcall ${pid} test"};
    if (!player_open(&w->p, &want, &e))
        fail_msg("%s", e.text);
    watch_load(w, w->path, start_us, false);
    WATCH(w, watch_settled);
    assert_int_equal(w->s.status, PLAYER_READY);
    xdisplay_wait_window(display, "^boxcall [$].pid. test$");
    const char *const env[] = {xdisplay_env(display), NULL};
    struct run r =
        run_with(&(struct run_setup){.env = env}, "xdotool", "search", "--onlyvisible", "--name",
                 "^boxcall", "windowmove", "%1", "0", "0", "windowsize", "%1", "400", "300", NULL);
    assert_exit(r, 0);
    xdisplay_focus(display, "^boxcall");
}

static bool window_is_400(const struct watch *w, int64_t arg)
{
    (void)arg;
    return w->s.window_width == 400 && w->s.window_height == 300 && w->s.in_window_h < 0.9;
}

static struct player_event next_event;
static bool event_came(const struct watch *w, int64_t arg)
{
    (void)arg;
    return player_event(w->p, &next_event);
}

static const struct press {
    const char *x11, *name;
} presses[] = {
    {"a", "a"},
    {"T", "T"},
    {"3", "3"},
    {"equal", "="},
    {"space", "Space"},
    {"Left", "Left"},
    {"shift+Left", "Shift-Left"},
    {"ctrl+Right", "Ctrl-Right"},
    {"Up", "Up"},
    {"Down", "Down"},
    {"Prior", "PageUp"},
    {"Next", "PageDown"},
    {"Home", "Home"},
    {"End", "End"},
    {"Return", "Enter"},
    {"Escape", "Esc"},
    {"Tab", "Tab"},
    {"shift+Tab", "Shift-Tab"},
    {"BackSpace", "Backspace"},
    {"Delete", "Delete"},
    {"F1", "F1"},
    {"F12", "F12"},
    {"ctrl+z", "Ctrl-z"},
    {"alt+x", "Alt-x"},
    {"numbersign", "#"},
    {"apostrophe", "'"},
    {"less", "<"},
    {"eacute", "\xc3\xa9"},
};

static void keys_pressed_in_the_window_arrive_by_their_names(void **state)
{
    (void)state;
    struct watch w;
    open_window(&w, 1001000);
    for (size_t i = 0; i < sizeof presses / sizeof *presses; i++) {
        xdisplay_keys(display, presses[i].x11);
        WATCH(&w, event_came);
        assert_int_equal(next_event.kind, PLAYER_KEY);
        assert_string_equal(next_event.key, presses[i].name);
        assert_int_equal(next_event.at_us, 1001000);
    }
    watch_close(&w);
}

/* The picture (16:9) lies in the middle of a window of 400 x 300: 400 x 225, bars of 37 above. */
static void clicks_tell_the_place_in_the_picture(void **state)
{
    (void)state;
    struct watch w;
    open_window(&w, 1001000);
    WATCH(&w, window_is_400);
    assert_true(fabs(w.s.in_window_x) < 0.01 && fabs(w.s.in_window_w - 1) < 0.01);
    assert_true(fabs(w.s.in_window_y - 0.125) < 0.01 && fabs(w.s.in_window_h - 0.75) < 0.01);
    static const struct {
        int button, px, py;
        double x, y;
    } clicks[] = {{1, 200, 150, 0.5, 0.5},
                  {1, 4, 40, 0.01, 0.01},
                  {3, 399, 261, 1, 1},
                  {2, 100, 206, 0.25, 0.75}};
    for (size_t i = 0; i < sizeof clicks / sizeof *clicks; i++) {
        /* A click in the black bars comes first and must not arrive. */
        xdisplay_click(display, 10, 8, 1);
        xdisplay_click(display, clicks[i].px, clicks[i].py, clicks[i].button);
        WATCH(&w, event_came);
        assert_int_equal(next_event.kind, PLAYER_CLICK);
        assert_int_equal(next_event.button, clicks[i].button);
        assert_true(fabs(next_event.x - clicks[i].x) < 0.01);
        assert_true(fabs(next_event.y - clicks[i].y) < 0.01);
        assert_int_equal(next_event.at_us, 1001000);
    }
    xdisplay_click(display, 200, 150, 4);
    xdisplay_click(display, 200, 150, 5);
    WATCH(&w, event_came);
    assert_int_equal(next_event.kind, PLAYER_WHEEL);
    assert_int_equal(next_event.wheel, 1);
    WATCH(&w, event_came);
    assert_int_equal(next_event.wheel, -1);
    watch_close(&w);
}

/* (320, 180) of 1280 x 720 is (100, 75) of 400 x 300: stretched over the window, not the picture.
 */
static bool overlay_seen(const struct watch *w, int64_t wanted)
{
    (void)w;
    const struct picture screen = xdisplay_look(display);
    const unsigned rgb = picture_at(&screen, 150, 80);
    return ((rgb >> 16) > 180 && (rgb >> 8 & 255) < 80 && (rgb & 255) < 80) == (wanted != 0);
}

static void an_overlay_is_drawn_over_the_picture_and_taken_away(void **state)
{
    (void)state;
    struct watch w;
    open_window(&w, 0);
    WATCH(&w, window_is_400);
    player_overlay(w.p, "{\\an7\\pos(320,180)\\p1\\bord0\\shad0\\1c&H0000FF&}"
                        "m 0 0 l 640 0 640 360 0 360");
    watch_until(&w, overlay_seen, 1);
    player_overlay(w.p, "");
    watch_until(&w, overlay_seen, 0);
    watch_close(&w);
}

/* What a window manager sends (ICCCM 2.0, section 4.2.8.1). */
static void press_close_button(void)
{
    const char *const env[] = {xdisplay_env(display), NULL};
    struct run r = run_with(&(struct run_setup){.env = env}, "xdotool", "search", "--onlyvisible",
                            "--name", "^boxcall", NULL);
    assert_exit(r, 0);
    Display *x11 = XOpenDisplay(NULL);
    assert_non_null(x11);
    XEvent event = {.xclient = {.type = ClientMessage,
                                .window = strtoul(r.out, NULL, 10),
                                .message_type = XInternAtom(x11, "WM_PROTOCOLS", False),
                                .format = 32}};
    event.xclient.data.l[0] = (long)XInternAtom(x11, "WM_DELETE_WINDOW", False);
    XSendEvent(x11, event.xclient.window, False, NoEventMask, &event);
    XCloseDisplay(x11);
}

static void the_close_button_closes_nothing_but_tells(void **state)
{
    (void)state;
    struct watch w;
    open_window(&w, 0);
    press_close_button();
    WATCH(&w, event_came);
    assert_int_equal(next_event.kind, PLAYER_CLOSED);
    player_seek(w.p, 2002000);
    WATCH(&w, watch_settled);
    assert_int_equal(w.s.frame, 60);
    watch_close(&w);
}

static void steps_and_seeks_are_exact_in_the_window_too(void **state)
{
    (void)state;
    static const char *const clips[] = {"ntsc.mp4", "stream.ts", "opengop.mp4", "fast240.mp4"};
    struct watch w;
    open_window(&w, 0);
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        char *path = clip_path(clips[i]);
        watch_load(&w, path, 0, false);
        WATCH(&w, watch_settled);
        for (int k = 0; k < 6; k++) {
            const int64_t frame = k == 0 ? clip_row(clips[i])->frames - 1 : rand() % 85;
            player_seek(w.p, player_frame_time(w.p, frame));
            WATCH(&w, watch_settled);
            assert_int_equal(w.s.frame, frame);
            assert_string_equal(w.s.message, "");
            player_step(w.p, -1);
            WATCH(&w, watch_settled);
            assert_int_equal(w.s.frame, frame > 0 ? frame - 1 : 0);
        }
        free(path);
    }
    watch_close(&w);
}

static void the_picture_moves_between_window_and_pane(void **state)
{
    (void)state;
    struct watch w;
    struct err e = {0};
    open_window(&w, 0);
    player_pane_size(w.p, 192, 108);
    player_speed(w.p, 0.5);
    player_loop(w.p, 500000, 3000000);
    player_seek(w.p, 1501500);
    WATCH(&w, watch_settled);
    for (int k = 0; k < 2; k++) {
        const int seen = w.pictures;
        assert_true(player_switch(w.p, PLAYER_PANE, &e));
        watch_until(&w, watch_pictures, seen);
        WATCH(&w, watch_settled);
        assert_int_equal(w.s.view, PLAYER_PANE);
        assert_int_equal(w.bars, 45 + k);
        assert_int_equal(w.s.frame, 45 + k);
        assert_true(w.s.speed == 0.5);
        assert_int_equal(w.s.loop_a_us, 500000);
        player_step(w.p, 1);
        WATCH(&w, watch_settled);
        assert_true(player_switch(w.p, PLAYER_WINDOW, &e));
        WATCH(&w, watch_settled);
        assert_int_equal(w.s.view, PLAYER_WINDOW);
        assert_int_equal(w.s.frame, 46 + k);
    }
    watch_close(&w);
}

/* Graphics and sound libraries are chatty; the terminal belongs to the screen. */
static void the_window_prints_nothing_on_standard_error(void **state)
{
    (void)state;
    struct err e = {0};
    struct watch w = {.path = clip_path("fast60.mp4")};
    FILE *said = tmpfile();
    int kept = dup(2);
    assert_true(said && kept >= 0);
    dup2(fileno(said), 2);
    const struct player_want want = {.view = PLAYER_WINDOW, .sound = true};
    const bool opened = player_open(&w.p, &want, &e);
    if (opened) {
        watch_load(&w, w.path, 2500000, true);
        WATCH(&w, watch_ended);
    }
    watch_close(&w);
    dup2(kept, 2);
    close(kept);
    const long n = fseek(said, 0, SEEK_END) == 0 ? ftell(said) : -1;
    fclose(said);
    assert_true(opened);
    assert_int_equal(n, 0);
}

static bool in_the_pane(const struct watch *w, int64_t arg)
{
    (void)arg;
    return w->s.view == PLAYER_PANE && w->s.status == PLAYER_READY && !w->s.seeking;
}

static void the_death_of_the_display_leaves_the_clip_in_the_pane(void **state)
{
    (void)state;
    struct watch w;
    struct err e = {0};
    open_window(&w, 1001000);
    player_pane_size(w.p, 192, 108);
    xdisplay_kill(display);
    WATCH(&w, in_the_pane);
    assert_int_equal(w.s.frame, 30);
    assert_int_equal(w.bars, 30);
    assert_non_null(strstr(w.s.message, "the window is gone"));
    player_step(w.p, 1);
    WATCH(&w, watch_settled);
    assert_int_equal(w.bars, 31);
    assert_false(player_display());
    assert_false(player_switch(w.p, PLAYER_WINDOW, &e));
    assert_int_equal(e.code, ERR_FAILED);
    watch_close(&w);
}

static void without_a_display_no_window_opens(void **state)
{
    (void)state;
    struct player *p = NULL;
    struct err e = {0};
    unsetenv("DISPLAY");
    assert_false(player_display());
    assert_false(player_open(&p, &(struct player_want){.view = PLAYER_WINDOW}, &e));
    assert_null(p);
    assert_int_equal(e.code, ERR_FAILED);
    assert_non_null(strstr(e.text, "no display"));
}

static int start_display(void **state)
{
    (void)state;
    display = xdisplay_start(800, 600);
    unsetenv("WAYLAND_DISPLAY");
    return setenv("DISPLAY", strchr(xdisplay_env(display), '=') + 1, 1);
}

bool display_died(void); /* player/inside.h */

/* Where the picture is drawn by software through EGL, the video thread can be somewhere no handler of
 * Xlib is called from once the line is dead; so the line itself is watched. */
static void a_display_that_dies_is_noticed_without_xlibs_help(void **state)
{
    (void)state;
    struct xdisplay *other = xdisplay_start(320, 240);
    char before[32];
    snprintf(before, sizeof before, "%s", getenv("DISPLAY"));
    setenv("DISPLAY", strchr(xdisplay_env(other), '=') + 1, 1);
    assert_true(player_display());
    assert_true(player_display()); /* asked again, the same line is watched */
    assert_false(display_died());
    xdisplay_kill(other);
    assert_true(display_died());
    assert_false(display_died()); /* once */
    assert_false(player_display());
    xdisplay_stop(other);
    setenv("DISPLAY", before, 1);
    assert_true(player_display());
    assert_false(display_died());
}

static int stop_display(void **state)
{
    (void)state;
    xdisplay_stop(display);
    return 0;
}

/* Graphics drivers leak, and the handle whose display died is left behind on purpose. */
const char *__asan_default_options(void);
const char *__asan_default_options(void)
{
    return "detect_leaks=0";
}

int main(void)
{
    if (!have_program("Xvfb") || !have_program("xdotool"))
        return 77;
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_display_that_dies_is_noticed_without_xlibs_help),
        cmocka_unit_test(keys_pressed_in_the_window_arrive_by_their_names),
        cmocka_unit_test(clicks_tell_the_place_in_the_picture),
        cmocka_unit_test(an_overlay_is_drawn_over_the_picture_and_taken_away),
        cmocka_unit_test(the_close_button_closes_nothing_but_tells),
        cmocka_unit_test(steps_and_seeks_are_exact_in_the_window_too),
        cmocka_unit_test(the_window_prints_nothing_on_standard_error),
        cmocka_unit_test(the_picture_moves_between_window_and_pane),
        cmocka_unit_test(the_death_of_the_display_leaves_the_clip_in_the_pane),
        cmocka_unit_test(without_a_display_no_window_opens),
    };
    return cmocka_run_group_tests(tests, start_display, stop_display);
}
