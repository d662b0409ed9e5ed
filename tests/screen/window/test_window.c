/* The video in a window of its own, on a real X server (Xvfb) with real key presses (xdotool). */
#include "review/stage.h"

#include <X11/Xlib.h>

#include "lib/xdisplay.h"

static struct xdisplay *display;
static struct stage s;

static void open_review(const char *video)
{
    /* Graphics drivers leak. */
    const char *const env[] = {xdisplay_env(display), "ASAN_OPTIONS=detect_leaks=0", NULL};
    if (s.t) /* the test before failed */
        stage_close(&s);
    s = stage_new();
    s.options[0] = video ? "--video" : NULL;
    s.options[1] = video;
    stage_open(&s, &(struct term_setup){.env = env}, NULL);
    xdisplay_serve(display, s.t);
}

static void focus_window(void)
{
    xdisplay_wait_window(display, "^boxcall");
    xdisplay_focus(display, "^boxcall");
}

static void close_review(void)
{
    xdisplay_serve(display, NULL);
    stage_quit(&s);
}

static struct xdisplay_place middle_of_window(void)
{
    struct xdisplay_place p = xdisplay_place(display, "^boxcall");
    return (struct xdisplay_place){p.x + p.w / 2, p.y + p.h / 2, 1, 1};
}

/* --- the picture ----------------------------------------------------------------------------- */

static bool coloured(const struct picture *p, void *user)
{
    const struct xdisplay_place *at = user;
    return picture_share(p, *at, 0x000000, 40) < 0.8 && picture_share(p, *at, 0xff0000, 60) > 0.01;
}

static double difference(const struct picture *a, const struct picture *b)
{
    size_t differ = 0, n = (size_t)a->w * (size_t)a->h;
    for (size_t i = 0; i < n; i++)
        differ += memcmp(a->rgb + i * 3, b->rgb + i * 3, 3) != 0;
    return (double)differ / (double)n;
}

static bool differs(const struct picture *p, void *user)
{
    return difference(user, p) > 0.001;
}

static void a_frozen_display_does_not_hold_up_leaving(void **state)
{
    (void)state;
    open_review(NULL);
    xdisplay_wait_window(display, "^boxcall");
    stage_play(&s);
    term_keys(s.t, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    xdisplay_serve(display, NULL);
    xdisplay_freeze(display, true);
    term_keys(s.t, "Ctrl-q");
    int status = term_wait_exit(s.t);
    xdisplay_freeze(display, false);
    assert_int_equal(status, 0);
    assert_true(term_has(s.t, "the display does not answer"));
    term_assert_restored(s.t);
    stage_close(&s);
    assert_string_equal(stage_only_call(&s).who, "trumpets");
}

/* F8 typed before the clip is there: it opens where it was left all the same. */
static void a_view_changed_while_the_clip_opens_keeps_the_place(void **state)
{
    (void)state;
    const char *const env[] = {xdisplay_env(display), "ASAN_OPTIONS=detect_leaks=0", NULL};
    open_review("pane");
    stage_go(&s, 240);
    close_review();
    stage_start(&s, &(struct term_setup){.env = env}, NULL);
    xdisplay_serve(display, s.t);
    term_keys(s.t, "F8");
    xdisplay_wait_window(display, "^boxcall");
    stage_wait_frame(&s, 240);
    close_review();
}

static void with_a_display_the_video_opens_in_its_own_window(void **state)
{
    (void)state;
    open_review(NULL);
    xdisplay_wait_window(display, "^boxcall");
    struct xdisplay_place at = xdisplay_place(display, "^boxcall");
    xdisplay_wait_picture(display, coloured, &at, "the clip's picture");
    /* The calls have the picture's room in the terminal. */
    term_wait_row(s.t, 1, "0:00.0 / 0:20.0");
    stage_play(&s);
    struct picture first = xdisplay_look(display);
    first = picture_keep(&first);
    xdisplay_wait_picture(display, differs, &first, "another picture");
    stage_halt(&s);
    close_review();
    assert_false(xdisplay_has_window(display, "^boxcall"));
}

static void the_pane_is_used_when_it_is_asked_for(void **state)
{
    (void)state;
    open_review("pane");
    stage_play(&s);
    stage_wait_past(&s, 5);
    assert_false(xdisplay_has_window(display, "^boxcall"));
    close_review();
}

/* --- hands ----------------------------------------------------------------------------------- */

static void keys_pressed_in_the_window_make_a_mark(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    stage_go(&s, 90);
    xdisplay_keys(display, "t 3");
    term_wait_row(s.t, -1, "chord: t3");
    xdisplay_keys(display, "h");
    term_wait_row(s.t, -1, "T3, horn angle");
    xdisplay_keys(display, "2");
    term_wait_row(s.t, -1, "severity 2");
    xdisplay_keys(display, "equal");
    term_wait_row(s.t, -1, "praise");
    struct call c = stage_only_call(&s);
    assert_string_equal(c.who, "T3");
    assert_int_equal(c.severity, 2);
    assert_true(c.praise);
    assert_int_equal(c.frame, 90);
    xdisplay_keys(display, "ctrl+z");
    term_wait_row(s.t, -1, "taken back: praise");
    xdisplay_keys(display, "Right");
    stage_wait_frame(&s, 120);
    xdisplay_keys(display, "shift+Left");
    stage_wait_frame(&s, 119);
    close_review();
}

static void a_note_is_typed_in_the_window(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    xdisplay_keys(display, "t h Return");
    term_wait_row(s.t, -1, "note:");
    xdisplay_type(display, "bells up 3");
    term_wait_row(s.t, -1, "note: bells up 3");
    xdisplay_keys(display, "BackSpace BackSpace Return");
    term_wait_row(s.t, -1, "noted");
    assert_string_equal(stage_only_call(&s).note, "bells up");
    xdisplay_keys(display, "question");
    term_wait_row(s.t, 0, "every key");
    xdisplay_keys(display, "Escape");
    term_wait_text(s.t, "time    marks");
    close_review();
}

static void a_click_plays_and_the_wheel_moves(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    struct xdisplay_place at = middle_of_window();
    stage_go(&s, 150);
    xdisplay_click(display, at.x, at.y, 5);
    stage_wait_frame(&s, 180);
    xdisplay_click(display, at.x, at.y, 4);
    stage_wait_frame(&s, 150);
    xdisplay_click(display, at.x, at.y, 1);
    term_wait_text(s.t, "▶ ");
    xdisplay_click(display, at.x, at.y, 1);
    term_wait_text(s.t, "■ ");
    close_review();
}

static void the_chord_and_the_last_mark_are_drawn_over_the_picture(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    struct xdisplay_place at = xdisplay_place(display, "^boxcall");
    xdisplay_wait_picture(display, coloured, &at, "the clip's picture");
    struct picture bare = xdisplay_look(display);
    bare = picture_keep(&bare);
    assert_int_equal(stage_frame(&s), 0);
    xdisplay_keys(display, "t");
    xdisplay_wait_picture(display, differs, &bare, "the open chord over the picture");
    struct picture chord = xdisplay_look(display);
    chord = picture_keep(&chord);
    xdisplay_keys(display, "h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    xdisplay_wait_picture(display, differs, &chord, "the mark over the picture");
    close_review();
}

/* --- window and pane ------------------------------------------------------------------------- */

static void the_view_key_moves_the_video_to_the_terminal_and_back(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    stage_play(&s);
    stage_wait_past(&s, 10);
    term_keys(s.t, "F8");
    xdisplay_wait_no_window(display, "^boxcall");
    term_wait_row(s.t, 18, "0:20.0"); /* the pane has its room again */
    stage_wait_past(&s, stage_frame(&s) + 10);
    term_keys(s.t, "F8");
    xdisplay_wait_window(display, "^boxcall");
    term_wait_row(s.t, 1, "0:20.0");
    stage_wait_past(&s, stage_frame(&s) + 10);
    focus_window();
    xdisplay_keys(display, "t h");
    term_wait_row(s.t, -1, "trumpets, horn angle");
    close_review();
}

/* As a window manager does when the close button is pressed. */
static void press_close_button(void)
{
    Display *x = XOpenDisplay(strchr(xdisplay_env(display), '=') + 1);
    assert_non_null(x);
    struct run found =
        run_with(&(struct run_setup){.env = (const char *const[]){xdisplay_env(display), NULL}},
                 "xdotool", "search", "--onlyvisible", "--name", "^boxcall", NULL);
    assert_exit(found, 0);
    XEvent ev = {.xclient = {.type = ClientMessage,
                             .window = strtoul(found.out, NULL, 10),
                             .message_type = XInternAtom(x, "WM_PROTOCOLS", False),
                             .format = 32}};
    ev.xclient.data.l[0] = (long)XInternAtom(x, "WM_DELETE_WINDOW", False);
    XSendEvent(x, ev.xclient.window, False, NoEventMask, &ev);
    XCloseDisplay(x);
}

static void a_closed_window_leaves_the_video_in_the_terminal(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    stage_play(&s);
    stage_wait_past(&s, 10);
    press_close_button();
    xdisplay_wait_no_window(display, "^boxcall");
    term_wait_row(s.t, 18, "0:20.0");
    stage_wait_past(&s, stage_frame(&s) + 10);
    term_keys(s.t, "m h");
    term_wait_row(s.t, -1, "mellophones, horn angle");
    close_review();
}

static void a_display_that_dies_leaves_the_video_in_the_terminal(void **state)
{
    (void)state;
    open_review("window");
    focus_window();
    stage_play(&s);
    stage_wait_past(&s, 10);
    xdisplay_kill(display);
    term_wait_row(s.t, 18, "0:20.0");
    stage_wait_past(&s, stage_frame(&s) + 10);
    term_keys(s.t, "m h");
    term_wait_row(s.t, -1, "mellophones, horn angle");
    term_keys(s.t, "F8");
    term_wait_row(s.t, -1, "no display");
    close_review();
}

static int start_display(void **state)
{
    (void)state;
    display = xdisplay_start(800, 600);
    /* On a busy machine a key may be held long enough to repeat. */
    Display *x = XOpenDisplay(strchr(xdisplay_env(display), '=') + 1);
    assert_non_null(x);
    XAutoRepeatOff(x);
    XCloseDisplay(x);
    return 0;
}

static int stop_display(void **state)
{
    (void)state;
    xdisplay_stop(display);
    return 0;
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, a_view_changed_while_the_clip_opens_keeps_the_place);
    case_test(&all, a_frozen_display_does_not_hold_up_leaving);
    case_test(&all, with_a_display_the_video_opens_in_its_own_window);
    case_test(&all, the_pane_is_used_when_it_is_asked_for);
    case_test(&all, keys_pressed_in_the_window_make_a_mark);
    case_test(&all, a_note_is_typed_in_the_window);
    case_test(&all, a_click_plays_and_the_wheel_moves);
    case_test(&all, the_chord_and_the_last_mark_are_drawn_over_the_picture);
    case_test(&all, the_view_key_moves_the_video_to_the_terminal_and_back);
    case_test(&all, a_closed_window_leaves_the_video_in_the_terminal);
    case_test(&all, a_display_that_dies_leaves_the_video_in_the_terminal); /* the last */
    return _cmocka_run_group_tests("the window", all.at, all.n, start_display, stop_display);
}
