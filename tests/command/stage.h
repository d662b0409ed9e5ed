/* A desk over a show and a clip of twenty seconds, for tests without a terminal. */
#ifndef COMMAND_STAGE_H
#define COMMAND_STAGE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "app/app.h"
#include "command/desk.h"

/* Trumpets T1 T2, mellophone M1; sets 1 (16 counts), 2 (8), 3 (16) at 120 beats a minute. The clip
 * is open, stands at its beginning, and its frames are known. */
void stage_open(struct desk *d, struct app *app);
/* The same over a show of the caller's: `make` makes it at a path, once; later ones are copies. */
void stage_open_made(struct desk *d, struct app *app, void (*make)(const char *path));
const char *stage_clip(void); /* twenty seconds, 30 frames a second, with sound */
void stage_close(struct desk *d, struct app *app);
/* Takes in what happens until the clip stands where it was sent. */
void stage_settle(struct desk *d);
/* The same show file as another program finds it. */
const char *stage_show(void);

#endif
