/* Ending a handle of libmpv takes as long as its video thread does, and that may sit in Xlib for
 * ever: the display is frozen, or the line to it. */
#include <poll.h>
#include <stdlib.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "base/arena.h"
#include "player/inside.h"

enum { END_MS = 3000 };

struct ending {
    mpv_handle *mpv;
    int done_fd;
    atomic_int owners; /* whoever comes last frees it */
};

static void let_go(struct ending *e)
{
    if (atomic_fetch_sub(&e->owners, 1) > 1)
        return;
    close(e->done_fd);
    free(e);
}

static void *end(void *arg)
{
    struct ending *e = arg;
    mpv_terminate_destroy(e->mpv);
    wake(e->done_fd);
    let_go(e);
    return NULL;
}

bool core_end(mpv_handle *mpv)
{
    pthread_t thread;
    if (!mpv)
        return true;
    mpv_set_wakeup_callback(mpv, NULL, NULL);
    struct ending *e = xcalloc(1, sizeof *e);
    *e = (struct ending){.mpv = mpv, .done_fd = eventfd(0, EFD_CLOEXEC), .owners = 2};
    if (e->done_fd < 0 || pthread_create(&thread, NULL, end, e) != 0) {
        mpv_terminate_destroy(mpv);
        if (e->done_fd >= 0)
            close(e->done_fd);
        free(e);
        return true;
    }
    pthread_detach(thread);
    struct pollfd p = {.fd = e->done_fd, .events = POLLIN};
    bool done = poll(&p, 1, END_MS) > 0;
    let_go(e);
    return done;
}
