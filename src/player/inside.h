/* Inside the player room: one struct shared by its files, from the top down.
 *
 *   poll.c    the state as one value               open.c    opened, loaded, switched, closed
 *   start.c   a handle with its options            end.c     its end, which may hang
 *   event.c   libmpv's events -> state             ask.c     play, step, speed, loop
 *   window.c  keys, clicks, overlay                display.c is there a display, has it died
 *   seek.c    the one outstanding seek             render.c  pictures of the pane view
 *   failed.c  a clip that cannot be played         timeline.c frame numbers, times
 *   index.c   the frame list, read by a worker     core.c    words to libmpv
 *
 * Threads: everything here runs on the interface thread, except pane_thread() in render.c, the
 * worker in index.c and libmpv's callbacks, which only wake. */
#ifndef PLAYER_INSIDE_H
#define PLAYER_INSIDE_H

#include <mpv/client.h>
#include <mpv/render.h>
#include <pthread.h>
#include <stdatomic.h>

#include "clip/probe.h"
#include "player/libmpv_borrowed.h"
#include "player/player.h"

/* --- render.c ----------------------------------------------------------------------------- */

struct picture {
    uint8_t *rgba; /* 64-byte aligned */
    size_t capacity, stride;
    int width, height;
    int64_t serial;
};

enum { DUE_RING = 64 };

struct pane {
    mpv_render_context *context;
    pthread_t thread;
    pthread_mutex_t lock; /* guards all below up to the marked line */
    pthread_cond_t poke;
    bool updated, redraw, stop;
    int width, height, rotation;
    struct picture ready; /* newest picture rendered */
    bool ready_new;
    int64_t serial;
    int64_t due[DUE_RING]; /* when each of the newest pictures was meant to show, by its number */
    /* render thread only */
    struct picture back, upright;
    /* interface thread only */
    struct picture offered, held; /* offered waits for player_frame(); held was handed out */
    bool offered_new, running;
    int64_t offered_at_us;
    int wake_fd;
};

void pane_init(struct pane *pane, int wake_fd);
void pane_free(struct pane *pane);
bool pane_start(struct pane *pane, mpv_handle *mpv, struct err *e);
void pane_stop(struct pane *pane); /* before the handle is destroyed */
void pane_rotate(struct pane *pane, int degrees);
/* How many pictures of the clip, the newest of them not yet offered, libmpv sent to the screen at
 * or after a moment of mpv_get_time_us(). */
int pane_since(struct pane *pane, int64_t since);
/* Moves the newest picture to where player_frame() finds it; false when there is no new one. */
bool pane_offer(struct pane *pane, int64_t at_us);
void pane_drop(struct pane *pane); /* forgets pictures of the clip before */

/* --- index.c ------------------------------------------------------------------------------ */

struct index_job; /* reads the frame list of a clip on a thread of its own */
struct index_job *index_start(const char *path, int wake_fd);
/* True once it is done: hands the list over (frames == 0 when it could not be read). */
bool index_take(struct index_job *job, struct media *out);
void index_stop(struct index_job *job); /* accepts NULL; waits for the thread */

/* --- the player --------------------------------------------------------------------------- */

enum opening { OPEN_IDLE, OPEN_SENT, OPEN_QUEUED, OPEN_STARTED, OPEN_ASKED, OPEN_DONE };

/* What the outstanding seek or step waits for. */
enum phase {
    PHASE_IDLE,
    PHASE_SENT,    /* the command's reply */
    PHASE_QUEUED,  /* MPV_EVENT_SEEK */
    PHASE_RUNNING, /* MPV_EVENT_PLAYBACK_RESTART */
    PHASE_LANDED,  /* a new picture */
    PHASE_ASKED,   /* the time of that picture */
    PHASE_STEP,    /* frame-step: picture and time */
    PHASE_BLIND,   /* a step while the frame list is not known */
    PHASE_SETTLE,  /* the time at which a pause really took hold */
};

struct hunt {
    enum phase phase;
    uint64_t serial;     /* tells replies to this hunt from older ones */
    int64_t us, frame;   /* target; frame -1: no list yet */
    int64_t sent_us;     /* mpv_get_time_us() when it was sent */
    int pictures;        /* that must have come since then */
    int64_t deadline_us; /* of the phase, clock_mono_us() */
    int rung;            /* of the hr-seek-demuxer-offset ladder */
    bool moving;         /* the clip was playing at some time meanwhile */
};

enum { EVENT_RING = 64 };

struct player {
    mpv_handle *mpv;
    struct player_want want;
    char *title, *path;
    int poll_fd, wake_fd, timer_fd;
    struct player_state now, said; /* said: what player_poll() returned last */

    enum opening opening;
    uint64_t load_serial;
    int64_t load_sent_us; /* mpv_get_time_us() when it was sent */
    int64_t load_deadline_us;
    bool timed;        /* the first picture's time is known */
    bool window_lost;  /* it could not be opened, or its display died */
    bool left_behind;  /* a handle that would not end still has its threads */
    bool window_stuck; /* libmpv's video thread sits in Xlib for ever */
    bool stale;        /* just loaded: at_us is where we go, not what is on screen */
    int64_t seen_us;   /* newest time-pos outside seeks */
    int64_t start_us;
    int64_t start_offset_us; /* demuxer-start-time */
    bool stream;             /* MPEG-TS or -PS: seeks need the cache or a larger offset */
    double base_offset;      /* hr-seek-demuxer-offset when nothing is being retried */
    int rotation;            /* degrees clockwise */
    int raw_width, raw_height;
    bool paused, at_end, landing; /* landing: between SEEK and PLAYBACK_RESTART */
    int64_t drops[2];             /* by the output, by the decoder */
    char trouble[200];            /* newest error line of libmpv */

    struct hunt hunt;
    bool wish; /* a target newer than the hunt's */
    int64_t wish_us, wish_frame;
    int steps;        /* still to go from where the picture is */
    bool settle;      /* a pause took hold: ask where */
    int64_t asked_us; /* last target while there was no list; -1 none */
    bool missed;      /* now.message tells of a seek that missed */
    int misses;       /* seeks in a row that never met the list */

    struct index_job *job;
    struct media list; /* frame_us in libmpv's media time */
    bool listed;

    struct pane pane;
    double volume;

    struct player_event ring[EVENT_RING];
    unsigned ring_head, ring_tail;
    char *overlay;
};

/* What a reply belongs to; the serial tells old from new. */
enum tag {
    TAG_NONE,
    TAG_LOAD,
    TAG_VIDEO,    /* has it a video track */
    TAG_ROTATION, /* how far the picture must be turned */
    TAG_START,    /* container time of media time 0 */
    TAG_OPENED,   /* time of the first picture: the last of the questions at opening */
    TAG_TIME,
    TAG_HUNT,
    TAG_HUNT_TIME,
};
static inline uint64_t tag_of(enum tag tag, uint64_t serial)
{
    return (uint64_t)tag | serial << 8;
}

void wake(int fd);

/* core.c */
void core_command(struct player *p, uint64_t tag, const char **args);
void core_set_flag(struct player *p, const char *name, bool on);
void core_set_number(struct player *p, const char *name, double value);
void core_set_text(struct player *p, const char *name, const char *value);
void core_get(struct player *p, uint64_t tag, const char *name, mpv_format format);

/* start.c */

/* What cannot map HDR would show its bright values blown out: it is told that they are SDR. */
#define SHOWN_AS_SDR "format:gamma=bt.1886:primaries=bt.709"

/* A handle that runs, has its pane or window, and reports to us. */
bool core_start(struct player *p, enum player_view view, struct err *e);

/* failed.c: the clip cannot be played, and why; nothing is outstanding after that. */
void player_failed(struct player *p, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* end.c */

/* Ends a handle (NULL: nothing to do); false when that took more than a few seconds: the handle is
 * left behind with its threads, and the program must leave by _exit(). */
bool core_end(mpv_handle *mpv);

/* open.c */
void window_fall_back(struct player *p); /* window lost: the picture goes on in the pane */

/* event.c */
void event_observe(struct player *p); /* once per handle */
void event_drain(struct player *p);

/* seek.c */
void seek_reset(struct player *p);
void seek_next(struct player *p); /* starts what waits, when nothing is outstanding */
void seek_event(struct player *p, const mpv_event *event);
void seek_tick(struct player *p); /* pictures and deadlines */
void seek_settle(struct player *p);
void seek_listed(struct player *p); /* the frame list arrived */
bool seek_busy(const struct player *p);
/* The time to give libmpv so that it shows that frame (-1: any) and not the one before. */
int64_t seek_biased(const struct player *p, int64_t us, int64_t frame);

/* timeline.c */
int64_t timeline_nearest(const struct player *p, int64_t at_us);
void timeline_show(struct player *p, int64_t at_us); /* sets at_us and frame, snapped to the list */
int64_t timeline_clamp(const struct player *p, int64_t frame); /* to a frame of the list */
int64_t timeline_gap_before(const struct player *p, int64_t frame);
int64_t timeline_slack(const struct player *p, int64_t frame); /* half the way to its neighbour */
void timeline_take_list(struct player *p, struct media *list);
void timeline_size(struct player *p); /* width and height from the raw size and the rotation */

/* window.c */
bool window_options(mpv_handle *mpv, const struct player *p, struct err *e);
void window_ready(struct player *p);
void window_message(struct player *p, int n, const char **args);
void window_margins(struct player *p, const mpv_node *osd);
/* libmpv's name of a key and the text it types -> our name; false: no key of a keyboard. */
bool window_key_name(const char *name, const char *text, char out[32]);

/* display.c */
void display_guard(int wake_fd); /* the X server's death wakes this instead of ending us */
bool display_is_wayland(void);
bool display_died(void); /* true once per death */

#endif
