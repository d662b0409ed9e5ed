/* The reviewer's desk: the open show, the clip on the player, the marks of that clip, the chord in
 * the making. No curses: keys come in by name, what happened is state that screens draw. */
#ifndef COMMAND_DESK_H
#define COMMAND_DESK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "app/ties.h"
#include "base/buf.h"
#include "command/keymap.h"
#include "command/who.h"
#include "mark/chord.h"
#include "player/player.h"

enum desk_screen {
    SCREEN_REVIEW,
    SCREEN_FIXES,
    SCREEN_CLIPS,
    SCREEN_HELP,
    SCREEN_LEAD,
    SCREEN_PLAN,
    SCREENS
};

/* A line the person is asked for; the screen edits it and hands it to desk_line(). */
enum desk_ask {
    ASK_NOTHING,
    ASK_NOTE,
    ASK_FIND,
    ASK_FILTER,
    ASK_COMMAND,
    ASK_TIE,
    ASK_TAP,
    ASK_PLAN,
    ASK_DECIDE,
    ASK_RUN
};

/* What a line is, whatever its number. */
struct line_name {
    int64_t section, fault; /* rows; section 0: the list's own */
    bool praise, there;
};

struct calls;      /* command/calls.h */
struct lead_trial; /* command/lead.h */
struct desk_plan;  /* command/plan.h */

struct desk {
    struct app *app;
    struct player *player; /* NULL until a clip was opened */
    struct player_state play;
    struct keymap keys;
    enum desk_screen screen;
    enum desk_ask ask;
    struct buf ask_text; /* what the line begins with; a long note is not cut */
    bool quit, redraw;
    char message[400];
    bool trouble; /* the message is about something that did not work */

    /* the clip and its marks, by time */
    int64_t clip; /* row, 0 when none is open */
    int64_t start_us;
    int64_t target_us; /* asked for and not yet on screen; -1 none */
    int64_t began_us;  /* where playing began, or went on after a jump; -1 while halted */
    bool play_when_ready;
    int64_t loop_a_us, loop_b_us; /* wanted as soon as the clip is ready; -1 none */
    struct calls *calls;          /* command/calls.h */
    int64_t version;              /* of the file when all of this was read; see store_version() */
    int64_t written_us;           /* when this desk wrote last; monotonic, 0: all is carried over */
    bool lost;                    /* the file is not where it was any more, and that was said */
    bool leaving;                 /* whether to leave all the same was asked */

    /* the clip tied to the drill */
    struct arena map_memory;
    const struct map *map; /* NULL before a clip was opened */
    const struct move *moves;
    struct tie_list ties;
    bool metronome;
    struct stretch watching; /* the stretch being played; to_us < 0: none */
    int64_t watch_saved_us;  /* how far of it is stored */
    struct listen *listen;   /* command/listen.h */
    struct taps *taps;       /* being tapped; command/tap.h */
    struct ripple_row *row;  /* being measured; command/late.h */

    /* the chord */
    char typed[CHORD_KEYS];
    size_t n_typed;
    int64_t typed_at_us; /* the moment of its first key, lead taken off */
    struct chord chord;
    bool refused; /* a number nobody, or several, have: the chord waits for Backspace or Esc */

    int64_t newest;                 /* the mark that 1 2 3 = * Enter speak about; 0 none */
    int64_t selected;               /* the call that up/down or a click chose; 0 none */
    struct who last[CHORD_TARGETS]; /* what a repeat would say */
    size_t n_last;
    int64_t last_fault; /* row */
    int64_t asked;      /* row of the mark or fault that the open line is about */
    struct tie pending; /* waits for the answer whether a new run begins; its set by row */
    int64_t pending_set;
    char pending_what[100];
    char warned[100]; /* the table that the next undo would take back, once that was said */

    double lead_ms;
    double tap_bias_us; /* how late this person taps on a beat */
    struct lead_trial *lead;
    char filter[200], find[200];

    /* the fix list */
    struct arena fixes_memory;
    struct fix_report fixes;
    char fixes_for[200];
    size_t fix_line, fix_moment;
    struct line_name fix_name; /* of fix_line */

    struct desk_plan *plan;
    size_t clip_line; /* on the list of clips */
    size_t help_line;
    enum player_view view;
    bool sound;
};

/* app stays the caller's. The config file of keys is read here; its errors are the program's. */
bool desk_open(struct desk *d, struct app *app, struct err *e);
/* False when the video's window does not answer: the program must leave by _exit() then. All marks
 * are in the file either way. */
bool desk_close(struct desk *d);

/* Opens a clip at start_us (-1: where it was left). */
bool desk_clip(struct desk *d, const struct clip *c, int64_t start_us, bool play, struct err *e);
const struct clip *desk_current(const struct desk *d); /* NULL when none is open */
/* The clip to begin with: the one named, else the one left last, else the first not yet opened. */
const struct clip *desk_first_clip(struct desk *d, const char *named, struct err *e);

/* Takes in what the player did and what other programs wrote into the show file. Returns whether
 * anything a screen shows has changed. */
bool desk_poll(struct desk *d);

/* The next key pressed in the video's own window; false when there is none. Clicks and the wheel
 * there are done on the way. Keys are handed out, as a line may be open that wants them. */
bool desk_window_key(struct desk *d, char key[32]);
/* A key by its canonical name ("a", "Space", "Shift-Left"). */
void desk_key(struct desk *d, const char *key);
/* The line that was asked for is finished (cancelled: text NULL). */
void desk_line(struct desk *d, const char *text);
/* Runs a command line ("seek 5:58", "speed slower"). */
void desk_run(struct desk *d, const char *line);
/* A list of the fix screen or the marks changed under us: read again. */
bool desk_reload(struct desk *d, struct err *e);

void desk_say(struct desk *d, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void desk_trouble(struct desk *d, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* Which part of the key table holds now. */
enum key_mode desk_mode(const struct desk *d);

/* --- what screens ask ------------------------------------------------------------------------ */

struct mark *desk_mark(const struct desk *d, int64_t id); /* NULL when it is not there */
/* Does the mark pass the filter (a word of its target, fault, family, note or author)? */
bool desk_shows(const struct desk *d, const struct mark *m);
/* Where the playhead is in the drill; false outside every stretch. */
bool desk_spot(const struct desk *d, struct spot *out);
/* Place of the last shown call at or before the playhead; calls_shown() when there is none. */
size_t desk_here(const struct desk *d);
bool desk_chord_open(const struct desk *d);

#endif
