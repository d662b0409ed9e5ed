/* The reviewer's desk: the open show, the clip on the player, the message. No curses: keys come in
 * by name, what happened is state that screens draw.
 *
 * What only one file works with is a part: memory of that file, kept here under a name nobody else
 * knows. The desk tells every part what happens to all (another clip, the show read again, the end)
 * and knows none of them. */
#ifndef COMMAND_DESK_H
#define COMMAND_DESK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "app/ties.h"
#include "command/keymap.h"
#include "player/player.h"

struct hold; /* command/hold.h */
struct parts;
struct screen; /* command/screen.h */

struct desk {
    struct app *app;
    struct player *player; /* NULL until a clip was opened */
    struct player_state play;
    enum player_view view;
    bool sound;
    struct keymap keys;
    const struct tools *tools;
    const struct screen *screen; /* the open one */
    struct hold *holds;          /* who takes keys first, the newest on top */
    struct parts *parts;
    bool quit, redraw;
    char message[400];
    bool trouble; /* the message is about something that did not work */

    /* the show file */
    int64_t version;    /* when all of this was read; see store_version() */
    int64_t written_us; /* when this desk wrote last; monotonic, 0: all is carried over */
    bool lost;          /* the file is not where it was any more, and that was said */
    bool leaving;       /* whether to leave all the same was asked */
    char warned[100];   /* what the next undo would take back, once that was said */

    /* the clip */
    int64_t clip; /* row, 0 when none is open */
    int64_t start_us;
    int64_t target_us; /* asked for and not yet on screen; -1 none */
    int64_t began_us;  /* where playing began, or went on after a jump; -1 while halted */
    bool play_when_ready;
    int64_t loop_a_us, loop_b_us; /* wanted as soon as the clip is ready; -1 none */

    /* the clip tied to the drill */
    struct arena map_memory;
    const struct map *map; /* NULL before a clip was opened */
    struct moves moves;
    struct tie_list ties;
    bool metronome;

    /* the person's hands, in one's own settings */
    double lead_ms;
    double tap_bias_us; /* how late this person taps on a beat */

    int64_t newest;   /* the mark that 1 2 3 = * Enter speak about; 0 none */
    int64_t selected; /* the call that up/down or a click chose; 0 none */
};

void desk_say(struct desk *d, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void desk_trouble(struct desk *d, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* Keeps a number of this person's own in the show, as "lead_ms"; false with what happened said. */
bool desk_keep_own(struct desk *d, const char *what, double value);

/* The clip that is open; NULL when none is, or when it is not in the show any more. */
const struct clip *desk_current(const struct desk *d);
/* Something was written: a quiet moment later the log is carried over. */
void desk_wrote(struct desk *d);

/* --- parts ----------------------------------------------------------------------------------- */

struct part {
    size_t size;
    /* Each may be NULL. */
    void (*begin)(void *part);                       /* where all zero is not how it begins */
    void (*clip_left)(struct desk *d, void *part);   /* another clip will be opened */
    void (*before_read)(struct desk *d, void *part); /* the show will be read again: positions and
                                                      * pointers into it end here */
    void (*after_read)(struct desk *d, void *part);
    bool (*work)(struct desk *d, void *part); /* each turn; true: a screen has something new */
    void (*end)(struct desk *d, void *part);  /* frees what it holds, not the part itself */
};

void parts_begin(struct desk *d);
/* The part of this kind, made when it is asked for first. Its place does not move. */
void *desk_part(const struct desk *d, const struct part *kind);
void parts_clip_left(struct desk *d);
void parts_before_read(struct desk *d);
void parts_after_read(struct desk *d);
bool parts_work(struct desk *d);
void parts_end(struct desk *d);

#endif
