/* The stage for tests of the review: an invented band, a clip of twenty seconds that moves all the
 * time, a show file made by the program itself, and the program on a terminal.
 *
 *     struct stage s = stage_new();
 *     stage_open(&s, NULL, NULL);
 *     term_keys(s.t, "t 3 h");
 *     term_wait_row(s.t, -1, "T3, horn angle");
 *     stage_quit(&s);
 */
#ifndef REVIEW_STAGE_H
#define REVIEW_STAGE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "lib/cases.h"
#include "lib/run.h"
#include "lib/term.h"

/* The clip "run": 20 s at 30 frames a second; "stands": its first 6 s. */
enum { RUN_FRAMES = 600, FPS = 30, LEAD_FRAMES = 18 /* 600 ms, the lead to begin with */ };

struct stage {
    const char *dir;  /* of this test alone; the show lies in it */
    const char *home; /* of the person; keys.ini goes into it */
    const char *show;
    const char *options[4]; /* more words of the command line; NULL ends */
    struct term *t;         /* NULL until stage_open() */
};

/* Trumpets T1 to T8, mellophones M1 to M4, tubas U1 to U3; sets 1 (16 counts), 2 (8), 3 (16), all
 * at 120 beats a minute, so that a count lasts half a second. */
struct stage stage_new(void);
/* Paths of the clips, made once per machine. */
const char *clip_run(void);
const char *clip_stands(void);
/* Twenty seconds at 30000/1001 frames a second; in no show before it is added. */
const char *clip_drop(void);

/* The run went well. */
static inline void must(struct run r)
{
    assert_exit(r, 0);
}

/* Starts the review with `clip` (NULL: none named) and waits until its first frame is known.
 * setup's home is the stage's own. */
void stage_open(struct stage *s, const struct term_setup *setup, const char *clip);
/* The same without a wait, for what is refused. */
void stage_start(struct stage *s, const struct term_setup *setup, const char *clip);
/* Ctrl-q, exit status 0, the terminal as it was. */
void stage_quit(struct stage *s);
void stage_close(struct stage *s);

/* --- what the screen says -------------------------------------------------------------------- */

/* Number of the frame on the transport line; waits until there is one. */
long stage_frame(struct stage *s);
void stage_wait_frame(struct stage *s, long frame);
/* Until a frame past this one is shown. */
void stage_wait_past(struct stage *s, long frame);
/* Space, and until the transport line says that the clip plays or stands. */
void stage_play(struct stage *s);
void stage_halt(struct stage *s);
/* To a frame, standing, by the ':' line. */
void stage_go(struct stage *s, long frame);
/* A ':' line, typed and entered. */
void stage_line(struct stage *s, const char *line);
/* The row of the transport line. */
int stage_transport(struct stage *s);

/* Esc until no chord, no choice, no filter, no message is left. */
void stage_calm(struct stage *s);

/* Until the call of this time, below the transport line, has one text and lacks another (NULL:
 * whatever). */
void stage_wait_call(struct stage *s, const char *time, const char *has, const char *lacks);

/* --- what the show file says, asked of `boxcall calls` --------------------------------------- */

struct call {
    long long id;
    long ms, frame; /* the frame of the clip whose time it is; -1 when it is none */
    const char *who, *fault, *note, *cause, *author, *set;
    double count;
    int severity;
    bool praise;
};

enum { CALLS_MOST = 600 };
size_t stage_calls(const struct stage *s, const char *clip, struct call out[CALLS_MOST]);
/* The only one of "run". */
struct call stage_only_call(const struct stage *s);
/* The one of "run" made last. */
struct call stage_newest_call(const struct stage *s);
/* The list as JSON text, to compare. */
const char *stage_json(const struct stage *s);
/* A mark from outside, as a script makes it. */
void stage_mark(const struct stage *s, const char *time, const char *who, const char *fault);

#endif
