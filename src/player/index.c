#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/arena.h"
#include "player/inside.h"
#include "clip/packets.h"

struct index_job {
    pthread_t thread;
    atomic_bool cancel, done;
    int wake_fd;
    char *path;
    struct media media;
};

static void *index_thread(void *arg)
{
    struct index_job *job = arg;
    /* Libmpv says what is wrong with the file, and without a list we go on; but not silently when
     * it is the disk: the clip would seem to play. */
    struct err e = {0};
    if (!packets_read(job->path, &job->cancel, &job->media, &e)) {
        media_free(&job->media);
        if (e.code == ERR_FAILED)
            snprintf(job->media.trouble, sizeof job->media.trouble, "%.199s", e.text);
    }
    atomic_store(&job->done, true);
    wake(job->wake_fd);
    return NULL;
}

struct index_job *index_start(const char *path, int wake_fd)
{
    struct index_job *job = xcalloc(1, sizeof *job);
    job->path = xstrdup(path);
    job->wake_fd = wake_fd;
    if (pthread_create(&job->thread, NULL, index_thread, job) == 0)
        return job;
    free(job->path);
    free(job);
    return NULL;
}

bool index_take(struct index_job *job, struct media *out)
{
    if (!job || !atomic_load(&job->done))
        return false;
    *out = job->media;
    job->media = (struct media){0};
    return true;
}

void index_stop(struct index_job *job)
{
    if (!job)
        return;
    atomic_store(&job->cancel, true);
    pthread_join(job->thread, NULL);
    media_free(&job->media);
    free(job->path);
    free(job);
}
