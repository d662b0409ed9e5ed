/* A player under test: polls it, takes every picture and reads the frame number out of it. */
#ifndef TESTS_PLAYER_WATCH_H
#define TESTS_PLAYER_WATCH_H

#include "player/clips.h"
#include "player/player.h"

struct watch {
    struct player *p;
    struct player_state s; /* newest */
    struct player_frame f; /* newest picture */
    int64_t bars; /* frame number read from it, counted as the clip counts; -1 unreadable */
    int pictures; /* taken so far */
    int strays;   /* pictures whose bars were not the frame their time stands for */
    int turned, first;
    char *path;
};

typedef bool watch_test(const struct watch *w, int64_t arg);

/* Opens a pane of the clip's shape without sound; the clip is a row of clips.c. */
void watch_open(struct watch *w, const char *clip, int64_t start_us, bool play);
/* The same for any player and path. */
void watch_load(struct watch *w, const char *path, int64_t start_us, bool play);
void watch_close(struct watch *w);
/* Drains the player until the test holds; fails the cmocka test after a generous deadline. */
void watch_until(struct watch *w, watch_test *test, int64_t arg);
#define WATCH(w, test) watch_until((w), (test), 0)

watch_test watch_settled; /* ready or failed, frame list known, no seek out */
watch_test watch_ended;
watch_test watch_frame_past; /* frame > arg */
watch_test watch_pictures;   /* more than arg pictures taken */

#endif
