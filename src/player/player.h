/* The clip: open, play, seek to a frame, loop; pictures for the terminal pane or a window of its
 * own. Built on libmpv. The state is handed out as one value with change flags; the interface
 * thread never waits for the player.
 *
 * Times are microseconds of media time as libmpv counts it (container time minus the container's
 * start time). A time that is stored is always the time of a frame that was really shown. */
#ifndef PLAYER_PLAYER_H
#define PLAYER_PLAYER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/err.h"

struct player;

enum player_view {
    PLAYER_PANE,   /* frames are handed out by player_frame(), no window */
    PLAYER_WINDOW, /* a window of its own on the person's display */
};

struct player_want {
    enum player_view view;
    bool sound;        /* false: no audio output even when there is a device */
    const char *title; /* window title, may be NULL */
};

/* Bits of player_state.changed. */
enum {
    PLAYER_CHANGED_STATUS = 1, /* status, message, size, length, fps, tracks */
    PLAYER_CHANGED_TIME = 2,   /* at_us, frame */
    PLAYER_CHANGED_RUN = 4,    /* playing, ended, seeking, speed, loop */
    PLAYER_CHANGED_FRAME = 8,  /* player_frame() has a new picture (pane view) */
    PLAYER_CHANGED_EVENT = 16, /* player_event() has something (window view) */
};

enum player_status { PLAYER_EMPTY, PLAYER_OPENING, PLAYER_READY, PLAYER_FAILED };

struct player_state {
    unsigned changed; /* what differs from the state player_poll() gave before */
    enum player_status status;
    enum player_view view;
    bool playing, ended;
    bool seeking; /* the frame on screen is about to change, or not yet known (just halted) */
    bool has_video, has_sound;
    int64_t at_us;     /* time of the frame shown */
    int64_t frame;     /* its number in presentation order, -1 while the frame list is not known */
    int64_t length_us; /* end of the last frame; 0 while unknown */
    double speed;      /* 0.25 .. 2 */
    int64_t loop_a_us, loop_b_us; /* -1 when not set */
    int width, height;            /* of the picture as shown: upright, square pixels; 0 unknown */
    int fps_num, fps_den;         /* nominal rate as a fraction, 0/1 when unknown */
    bool fps_varies;              /* variable frame rate */
    /* PLAYER_WINDOW: size of the window in pixels (0 unknown), and where the picture lies in it as
     * fractions of the window; what an overlay needs to hit the picture. */
    int window_width, window_height;
    double in_window_x, in_window_y, in_window_w, in_window_h;
    int64_t dropped;   /* frames the player could not show in time */
    char message[256]; /* why it failed, or a trouble worth one line; "" when none */
};

/* Opens a player without a clip. PLAYER_WINDOW fails (ERR_FAILED) when there is no display. */
bool player_open(struct player **out, const struct player_want *want, struct err *e);
/* Accepts NULL. Waits for the video's window a few seconds at most; false when it does not answer:
 * exit() would wait for it as well, so the program must leave by _exit(). */
bool player_close(struct player *p);

/* Is there a display on which a window could open? Never blocks longer than a second. */
bool player_display(void);

/* Becomes readable when player_poll() would report something. */
int player_fd(const struct player *p);
/* Drains everything that happened since the last call; never blocks. */
struct player_state player_poll(struct player *p);

/* Begins to open a local regular file, paused (or playing) at start_us. What is plainly wrong
 * (missing, a directory, an URL, empty, a playlist) fails here with one line that says what to do;
 * what only shows while opening arrives as PLAYER_FAILED with the line in state.message. */
bool player_load(struct player *p, const char *path, int64_t start_us, bool play, struct err *e);

void player_play(struct player *p, bool on);
/* Exact: the frame whose time is nearest to at_us is shown (clamped to the clip). Several calls
 * while one seek runs collapse to the newest. */
void player_seek(struct player *p, int64_t at_us);
/* n frames forward or back from the newest target; pauses. */
void player_step(struct player *p, int n);
void player_speed(struct player *p, double speed); /* clamped to 0.25 .. 2, pitch kept */
/* Repeats a_us .. b_us; a < 0 or b <= a clears the loop. */
void player_loop(struct player *p, int64_t a_us, int64_t b_us);
void player_volume(struct player *p, double percent); /* 0 .. 100 */
void player_hush(struct player *p, bool on);          /* no sound for a while; loudness is kept */

/* Time of frame n / the frame whose time is nearest to at_us; -1 while the list is not known. */
int64_t player_frame_time(const struct player *p, int64_t n);
int64_t player_frame_at(const struct player *p, int64_t at_us);
/* The first frame at or after at_us, the last one when there is none: what shows a place that is
 * reached at at_us. -1 while the list is not known. */
int64_t player_frame_from(const struct player *p, int64_t at_us);

/* Moves the picture between window and pane; place, speed, loop and play state are kept. */
bool player_switch(struct player *p, enum player_view view, struct err *e);

/* --- pane view --------------------------------------------------------------------------- */

/* Size in pixels in which player_frame() hands out pictures (the picture is fitted inside, black
 * bars around). Asking for another size while paused brings one new picture. */
void player_pane_size(struct player *p, int width, int height);

struct player_frame {
    const uint8_t *rgba; /* valid until the next player_frame() or player_close() */
    int width, height;   /* as asked by player_pane_size() */
    size_t stride;       /* bytes per row */
    int64_t at_us;
    int64_t serial; /* counts pictures handed over by the clip; redraws repeat the number */
};
/* The newest picture not yet taken; false when there is none. */
bool player_frame(struct player *p, struct player_frame *out);

/* --- window view -------------------------------------------------------------------------- */

enum player_event_kind { PLAYER_KEY, PLAYER_CLICK, PLAYER_WHEEL, PLAYER_CLOSED };

struct player_event {
    enum player_event_kind kind;
    char key[32];  /* canonical key name: "a", "T", "3", "=", "Space", "Left", "Shift-Left", "Up",
                    * "PageUp", "PageDown", "Home", "End", "Enter", "Esc", "Tab", "Backspace",
                    * "Delete", "Insert", "F1".."F12", "Ctrl-z"; held keys in the order
                    * "Ctrl-Alt-Shift-" */
    double x, y;   /* PLAYER_CLICK: position in the picture, 0..1 from top left */
    int button;    /* PLAYER_CLICK: 1 left, 2 middle, 3 right */
    int wheel;     /* PLAYER_WHEEL: +1 up, -1 down */
    int64_t at_us; /* media time at the event */
};
bool player_event(struct player *p, struct player_event *out);

/* Draws ASS events over the window's picture ("" removes them). Coordinates are in a 1280x720
 * space stretched over the window. No effect in the pane view. */
void player_overlay(struct player *p, const char *ass_events);

#endif
