/* Looks at a clip through libavformat and libavcodec, as any player would. */
#ifndef TESTS_DEMO_WATCH_H
#define TESTS_DEMO_WATCH_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct seen_frame {
    int64_t us; /* presentation time, container time from the stream's start */
    bool key;
    long bars; /* the number burnt in: -1 when the levels or the parity are wrong */
};

struct watched {
    int width, height, fps_num, fps_den;
    const char *codec, *sound_codec; /* sound_codec NULL: no sound */
    bool reorders;                   /* packets come in another order than pictures */
    int64_t length_us, sound_us;     /* of the streams */
    struct seen_frame *frame;        /* in presentation order */
    size_t n_frames;
    uint8_t *first, *last; /* luma of the first and the last frame as stored, width * height */
    int32_t matrix[9];     /* of display, ISO 14496-12; all 0: there is none */
    float *pcm;            /* mono; sample 0 is container time 0 */
    size_t n_pcm;
    int rate;
};

/* Fails the test when the clip cannot be decoded. Everything lives until the program ends. */
struct watched watch(const char *path);

/* Runs demo-clip (its path is the test program's first argument) with all that it can write and
 * these further options (space-separated); asserts success. */
struct made {
    const char *clip, *truth;
    json_t *json;
    const char *cameras, *places, *dots; /* CSV, a row for every frame */
};
struct made make_clip(const char *options);
extern const char *demo_clip;

double json_number_at(const json_t *o, const char *key);
const char *json_string_at(const json_t *o, const char *key);
/* The row of a list of objects whose `key` is this text; NULL when there is none. */
const json_t *json_row(const json_t *list, const char *key, const char *text);

#endif
