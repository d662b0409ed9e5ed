/* Finding the beat in the clip's sound, in a thread of its own. */
#ifndef COMMAND_LISTEN_H
#define COMMAND_LISTEN_H

#include <pthread.h>
#include <stdatomic.h>

#include "app/beats.h"

struct listen {
    pthread_t thread;
    atomic_int percent;
    atomic_bool cancel, done;
    char *path;
    const struct map *map; /* of its own memory: ties may change meanwhile */
    int64_t length_us;
    struct beats_choice choice;
    struct arena memory;
    struct beats beats;
    bool ok;
    struct err e;
    bool taken; /* the thread is joined and the result was told */
};

#endif
