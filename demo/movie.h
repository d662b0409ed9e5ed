/* Writes the clip: H.264 (x264) or HEVC (x265) and AAC in the container that the file's ending names. */
#ifndef DEMO_MOVIE_H
#define DEMO_MOVIE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/err.h"
#include "demo/canvas.h"
#include "demo/sound.h"

struct movie;

struct movie_want {
    const char *path;
    int width, height; /* even, as shown */
    int turned;        /* 0, 90, 180, 270: stored turned so far counterclockwise, with a display
                               matrix that turns it back */
    bool hevc;
    int tick_num, tick_den; /* seconds per tick of the frames' times */
    int fps_num, fps_den;
    int gop, bframes, threads;
    int quality;               /* the encoder's constant rate factor */
    const char *preset;        /* the encoder's */
    const struct sound *sound; /* NULL: no sound track */
};

/* Heap memory; NULL with e set. */
struct movie *movie_open(const struct movie_want *want, struct err *e);
/* One picture, shown from `ticks` on. Sound up to there is written with it. */
bool movie_frame(struct movie *m, const struct planes *p, int64_t ticks, struct err *e);
/* Flushes, writes the sound up to end_s, closes and frees; m may be NULL. */
bool movie_close(struct movie *m, double end_s, struct err *e);

#endif
