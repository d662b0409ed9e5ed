/* A screen of its own for tests of windows: Xvfb on a free display number.
 *
 *     struct xdisplay *x = xdisplay_start(800, 600);
 *     const char *env[] = {xdisplay_env(x), NULL};
 *     struct term *t = term_start(&(struct term_setup){.env = env}, "boxcall", show, NULL);
 *     xdisplay_serve(x, t);
 *     xdisplay_wait_window(x, "boxcall");
 *     xdisplay_keys(x, "t 3 l");
 *
 * Waits look again every few milliseconds until the state is there; when it is not there after
 * DEADLINE_MS the test fails and leaves a picture of the screen (KEEP_TEMP=1 keeps it). */
#ifndef LIB_XDISPLAY_H
#define LIB_XDISPLAY_H

#include <stdbool.h>

#include "lib/term.h"

struct xdisplay;

/* Skips the test when Xvfb is not installed; fails it when Xvfb does not start. */
struct xdisplay *xdisplay_start(int width, int height);
void xdisplay_stop(struct xdisplay *x);             /* accepts NULL */
const char *xdisplay_env(const struct xdisplay *x); /* "DISPLAY=:N" */
/* This terminal is read while we wait, so that its program is never held up; NULL for none. */
void xdisplay_serve(struct xdisplay *x, struct term *t);
/* The screen dies under its programs, as when a session ends. */
void xdisplay_kill(struct xdisplay *x);
/* It answers nobody, or answers again. */
void xdisplay_freeze(struct xdisplay *x, bool on);

/* --- windows ----------------------------------------------------------------------------- */

/* Names are regular expressions, matched against the titles of visible windows. */
bool xdisplay_has_window(struct xdisplay *x, const char *name);
void xdisplay_wait_window(struct xdisplay *x, const char *name);
void xdisplay_wait_no_window(struct xdisplay *x, const char *name);
/* Where a window is, in pixels of the screen; fails the test when there is none. */
struct xdisplay_place {
    int x, y, w, h;
} xdisplay_place(struct xdisplay *x, const char *name);

/* --- hands ------------------------------------------------------------------------------- */

void xdisplay_focus(struct xdisplay *x, const char *name);
/* X key names separated by spaces: "t 3 l Return ctrl+z shift+Left". To the focused window. */
void xdisplay_keys(struct xdisplay *x, const char *names);
void xdisplay_type(struct xdisplay *x, const char *text);
/* Pixels of the screen. button: 1 left, 2 middle, 3 right, 4 wheel up, 5 wheel down. */
void xdisplay_click(struct xdisplay *x, int px, int py, int button);

/* --- eyes -------------------------------------------------------------------------------- */

struct picture {
    int w, h;
    unsigned char *rgb; /* w * h * 3 bytes, row by row; until the next look at the same display */
};

struct picture xdisplay_look(struct xdisplay *x);
struct picture picture_keep(const struct picture *p); /* a copy that lasts */
/* Writes the screen as a portable pixmap (P6), or as PNG when the name ends so. */
void xdisplay_save(struct xdisplay *x, const char *path);
unsigned picture_at(const struct picture *p, int px, int py); /* 0xRRGGBB */
/* Share of a rectangle's pixels, 0..1, that are within `off` of rgb in each channel. */
double picture_share(const struct picture *p, struct xdisplay_place at, unsigned rgb, int off);
void xdisplay_wait_picture(struct xdisplay *x, bool (*like)(const struct picture *p, void *user),
                           void *user, const char *what);
/* Until holds(user); for what a click or key should bring about elsewhere. */
void xdisplay_wait_until(struct xdisplay *x, bool (*holds)(void *user), void *user,
                         const char *what);

#endif
