#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/run.h"
#include "lib/xdisplay.h"

enum { WIDTH = 640, HEIGHT = 480, BACK = 0x204060 };

/* An xterm without a window manager sits in the corner; `script` runs in it. */
static struct term *open_xterm(struct xdisplay *x, const char *dir, const char *script)
{
    const char *const env[] = {xdisplay_env(x), NULL};
    const struct term_setup setup = {.env = env, .dir = dir};
    struct term *t = term_start(&setup, "xterm", "-T", "the box", "-bg", "#204060", "-geometry",
                                "40x10+50+60", "-e", "sh", "-c", script, NULL);
    xdisplay_serve(x, t);
    xdisplay_wait_window(x, "^the box$");
    return t;
}

static bool is_in_place(const struct picture *p, void *user)
{
    struct xdisplay_place at = *(struct xdisplay_place *)user;
    return picture_share(p, at, BACK, 0) > 0.8;
}

struct file_wish {
    const char *path, *text;
};

static bool file_holds(void *user)
{
    const struct file_wish *w = user;
    return access(w->path, R_OK) == 0 && strstr(read_file(w->path, NULL), w->text);
}

static void a_window_is_found_and_its_pixels_are_seen(void **state)
{
    (void)state;
    struct xdisplay *x = xdisplay_start(WIDTH, HEIGHT);
    assert_false(xdisplay_has_window(x, "the box"));
    struct picture empty = xdisplay_look(x);
    assert_int_equal(empty.w, WIDTH);
    assert_int_equal(empty.h, HEIGHT);
    assert_int_equal(picture_at(&empty, 100, 100), 0); /* X11: the root starts black with -br */
    struct term *t = open_xterm(x, temp_dir(), "read x");
    struct xdisplay_place at = xdisplay_place(x, "^the box$");
    assert_int_equal(at.x, 50);
    assert_int_equal(at.y, 60);
    xdisplay_wait_picture(x, is_in_place, &at, "the window has its colour");
    const char *path = path_in(temp_dir(), "screen.ppm");
    xdisplay_save(x, path);
    size_t n;
    assert_contains(read_file(path, &n), "P6\n640 480\n255\n");
    assert_int_equal(n, strlen("P6\n640 480\n255\n") + 3 * WIDTH * HEIGHT);
    term_signal(t, SIGTERM);
    xdisplay_wait_no_window(x, "the box");
    term_close(t);
    xdisplay_stop(x);
}

static void keys_and_clicks_reach_the_window(void **state)
{
    (void)state;
    struct xdisplay *x = xdisplay_start(WIDTH, HEIGHT);
    const char *dir = temp_dir();
    struct term *t = open_xterm(x, dir,
                                "read line; echo \"$line\" > typed; stty raw -echo;"
                                "printf '\\033[?1000h\\033[?1006h'; echo > ready;"
                                "dd bs=1 count=6 of=clicked 2>dd; read more");
    xdisplay_focus(x, "the box");
    xdisplay_keys(x, "t 3");
    xdisplay_type(x, "uba");
    xdisplay_keys(x, "Return");
    struct file_wish typed = {path_in(dir, "typed"), "t3uba\n"};
    xdisplay_wait_until(x, file_holds, &typed, "the line was typed");
    struct file_wish ready = {path_in(dir, "ready"), "\n"};
    xdisplay_wait_until(x, file_holds, &ready, "the mouse was asked for");
    struct xdisplay_place at = xdisplay_place(x, "the box");
    xdisplay_click(x, at.x + at.w / 2, at.y + at.h / 2, 1);
    struct file_wish clicked = {path_in(dir, "clicked"), "\033[<0;"};
    xdisplay_wait_until(x, file_holds, &clicked, "the click was reported");
    term_close(t);
    xdisplay_stop(x);
}

static void a_dying_display_ends_its_programs(void **state)
{
    (void)state;
    struct xdisplay *x = xdisplay_start(WIDTH, HEIGHT);
    struct term *t = open_xterm(x, temp_dir(), "read x");
    xdisplay_kill(x);
    assert_int_not_equal(term_wait_exit(t), 0);
    term_close(t);
    xdisplay_stop(x);
}

int main(void)
{
    if (!have_program("Xvfb") || !have_program("xterm") || !have_program("xdotool"))
        return 77; /* meson: skipped */
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_window_is_found_and_its_pixels_are_seen),
        cmocka_unit_test(keys_and_clicks_reach_the_window),
        cmocka_unit_test(a_dying_display_ends_its_programs),
    };
    return cmocka_run_group_tests_name("a display for tests", tests, NULL, NULL);
}
