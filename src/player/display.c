/* Is there a display, and what happens when it goes away. libX11 is only borrowed at run time: the
 * program works on machines without it. */
#include <dlfcn.h>
#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <time.h>
#include <unistd.h>

#include "base/arena.h"
#include "player/inside.h"

typedef void *open_display(const char *name);
typedef int close_display(void *display);
typedef int connection_number(void *display);
typedef int io_error_handler(void *display);
typedef io_error_handler *set_io_error_handler(io_error_handler *handler);

/* Xlib's handler is given nothing of ours, so these cannot live in struct player. */
static atomic_bool died;
static atomic_int died_wake_fd = -1;
/* A connection of our own, the first that was opened: nothing is asked through it, it is only
 * watched. Once the server is gone libmpv's video thread may be where no handler is called from:
 * Mesa's software renderer puts its picture for ever. Written by the threads that try a display. */
static atomic_uintptr_t line;
static atomic_int line_fd = -1;

static void *x11(const char *name)
{
    void *lib = dlopen("libX11.so.6", RTLD_NOW | RTLD_LOCAL);
    return lib ? dlsym(lib, name) : NULL; /* never closed: Xlib keeps threads' data */
}

/* Runs on libmpv's video thread, or on one that tries a display. Xlib ends the program when this
 * returns, so it never does. */
static int on_io_error(void *display)
{
    (void)display;
    atomic_store(&died, true);
    wake(atomic_load(&died_wake_fd));
    for (;;)
        pause();
    return 0;
}

static void take_io_errors(void)
{
    set_io_error_handler *set;
    *(void **)&set = x11("XSetIOErrorHandler");
    if (set)
        set(on_io_error);
}

void display_guard(int wake_fd)
{
    atomic_store(&died_wake_fd, wake_fd);
    take_io_errors();
}

bool display_died(void)
{
    struct pollfd p = {.fd = atomic_load(&line_fd), .events = POLLRDHUP};
    if (p.fd >= 0 && poll(&p, 1, 0) > 0) {
        /* Closing it would tell the handler; what it holds stays until the program ends. */
        atomic_store(&line_fd, -1);
        atomic_store(&line, 0);
        atomic_store(&died, true);
    }
    return atomic_exchange(&died, false);
}

/* Keeps a connection as the line to watch; false when there is one. */
static bool watch_line(void *display)
{
    connection_number *number;
    *(void **)&number = x11("XConnectionNumber");
    int none = -1;
    if (!number || !atomic_compare_exchange_strong(&line_fd, &none, number(display)))
        return false;
    atomic_store(&line, (uintptr_t)display);
    return true;
}

bool display_is_wayland(void)
{
    const char *name = getenv("WAYLAND_DISPLAY"), *dir = getenv("XDG_RUNTIME_DIR");
    struct sockaddr_un to = {.sun_family = AF_UNIX};
    if (!name || !*name || (name[0] != '/' && (!dir || !*dir)))
        return false;
    const int n = name[0] == '/' ? snprintf(to.sun_path, sizeof to.sun_path, "%s", name)
                                 : snprintf(to.sun_path, sizeof to.sun_path, "%s/%s", dir, name);
    if (n < 0 || (size_t)n >= sizeof to.sun_path)
        return false;
    int fd = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    const bool ok = fd >= 0 && connect(fd, (const void *)&to, sizeof to) == 0;
    if (fd >= 0)
        close(fd);
    return ok;
}

/* XOpenDisplay on a stale forwarded connection can hang, so a thread does it; the one who comes
 * last frees. */
struct trial {
    pthread_mutex_t lock;
    pthread_cond_t done;
    bool finished, opened, abandoned;
};

static void trial_free(struct trial *t)
{
    pthread_mutex_destroy(&t->lock);
    pthread_cond_destroy(&t->done);
    free(t);
}

static void *try_x11(void *arg)
{
    struct trial *t = arg;
    open_display *open_it;
    close_display *close_it;
    take_io_errors(); /* a server may go while it is asked, too */
    *(void **)&open_it = x11("XOpenDisplay");
    *(void **)&close_it = x11("XCloseDisplay");
    void *display = open_it && close_it ? open_it(NULL) : NULL;
    if (display && !watch_line(display))
        close_it(display);
    pthread_mutex_lock(&t->lock);
    t->finished = true;
    t->opened = display != NULL;
    const bool last = t->abandoned;
    pthread_cond_signal(&t->done);
    pthread_mutex_unlock(&t->lock);
    if (last)
        trial_free(t);
    return NULL;
}

static bool x11_answers(void)
{
    const char *name = getenv("DISPLAY");
    if (!name || !*name)
        return false;
    struct trial *t = xcalloc(1, sizeof *t);
    pthread_mutex_init(&t->lock, NULL);
    pthread_cond_init(&t->done, NULL);
    pthread_t thread;
    if (pthread_create(&thread, NULL, try_x11, t) != 0) {
        trial_free(t);
        return false;
    }
    pthread_detach(thread);
    struct timespec until;
    clock_gettime(CLOCK_REALTIME, &until);
    until.tv_sec += 1;
    pthread_mutex_lock(&t->lock);
    while (!t->finished && pthread_cond_timedwait(&t->done, &t->lock, &until) != ETIMEDOUT)
        ;
    const bool finished = t->finished, opened = t->opened;
    t->abandoned = !finished;
    pthread_mutex_unlock(&t->lock);
    if (finished)
        trial_free(t);
    return opened;
}

bool player_display(void)
{
    return display_is_wayland() || x11_answers();
}
