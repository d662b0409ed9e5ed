/* Small clips for tests, made by the ffmpeg program when first asked for. Each picture carries its
 * frame number as twelve upright bars (bit k in column k, least significant at the left; the lower
 * half holds the complement), so which frame is really shown is read from its pixels. */
#ifndef TESTS_PLAYER_CLIPS_H
#define TESTS_PLAYER_CLIPS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct clip {
    const char *name;
    int frames;
    double fps;        /* 0: the frames' times vary */
    int width, height; /* as shown */
    int turned;        /* degrees clockwise from the stored to the shown picture */
    int first;         /* number in the bars of the first frame */
};

/* NULL when there is no such row. */
const struct clip *clip_row(const char *name);
/* Absolute path of a clip of the table, or of a file NAME in the same folder. Makes the clip when
 * it is not there yet; NULL when that fails (no ffmpeg). Free the result. */
char *clip_path(const char *name);
/* The folder where clips are kept: $BOXCALL_CLIPS or one under /tmp. */
const char *clip_folder(void);

/* Frame number in an RGBA picture that the clip fills whole, or -1 when the bars are not whole. */
int64_t bars_read(const uint8_t *rgba, size_t stride, int width, int height, int turned);

#endif
