#include "lib/xdisplay.h"

#include <errno.h>
#include <fcntl.h>
#include <poll.h>
#include <setjmp.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/prctl.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "lib/run.h"

struct xdisplay {
    struct xdisplay *next; /* every running one, so that none outlives the test program */
    pid_t pid;
    char env[32];
    const char *dir; /* holds the frame buffer file */
    struct term *served;
    unsigned char *rgb; /* of the last look */
};

static struct xdisplay *running;

/* SIGTERM, so that the server takes its lock and socket away. */
static void stop_running(void)
{
    for (struct xdisplay *x = running; x; x = x->next)
        if (x->pid > 0)
            kill(x->pid, SIGTERM);
}

static void become_server(int number_fd, int width, int height, const char *dir)
{
    char fd[16], screen[48];
    snprintf(fd, sizeof fd, "%d", number_fd);
    snprintf(screen, sizeof screen, "%dx%dx24", width, height);
    fcntl(number_fd, F_SETFD, 0);
    int null = open("/dev/null", O_RDWR);
    dup2(null, STDIN_FILENO);
    dup2(null, STDOUT_FILENO);
    dup2(null, STDERR_FILENO);
    prctl(PR_SET_PDEATHSIG, SIGTERM);
    execlp("Xvfb", "Xvfb", "-displayfd", fd, "-screen", "0", screen, "-fbdir", dir, "-noreset",
           "-br", "-nolisten", "tcp", (char *)NULL);
    _exit(127);
}

/* The server writes its number and a newline once it takes connections. */
static int read_number(int fd)
{
    char text[16] = "";
    size_t n = 0;
    long long until = now_ms() + DEADLINE_MS;
    while (n < sizeof text - 1 && !strchr(text, '\n')) {
        struct pollfd in = {.fd = fd, .events = POLLIN};
        if (poll(&in, 1, (int)(until - now_ms())) <= 0)
            break;
        ssize_t got = read(fd, text + n, 1);
        if (got <= 0)
            break;
        n += (size_t)got;
    }
    return strchr(text, '\n') ? atoi(text) : -1;
}

struct xdisplay *xdisplay_start(int width, int height)
{
    if (!have_program("Xvfb"))
        skip();
    struct xdisplay *x = arena_alloc(test_arena(), sizeof *x);
    x->dir = temp_dir();
    int number[2];
    if (pipe2(number, O_CLOEXEC) != 0)
        fail_msg("cannot make a pipe: %s", strerror(errno));
    fflush(NULL);
    x->pid = fork();
    if (x->pid == 0)
        become_server(number[1], width, height, x->dir);
    close(number[1]);
    int n = read_number(number[0]);
    close(number[0]);
    if (!running)
        atexit(stop_running);
    x->next = running;
    running = x;
    if (n < 0)
        fail_msg("Xvfb did not start");
    snprintf(x->env, sizeof x->env, "DISPLAY=:%d", n);
    return x;
}

static void end(struct xdisplay *x, int sig)
{
    if (x->pid <= 0)
        return;
    kill(x->pid, sig);
    waitpid(x->pid, NULL, 0);
    x->pid = 0;
}

void xdisplay_stop(struct xdisplay *x)
{
    if (x)
        end(x, SIGTERM);
}

void xdisplay_kill(struct xdisplay *x)
{
    char path[64];
    int number = atoi(strchr(x->env, ':') + 1);
    end(x, SIGKILL);
    snprintf(path, sizeof path, "/tmp/.X%d-lock", number); /* what it could not take away itself */
    unlink(path);
    snprintf(path, sizeof path, "/tmp/.X11-unix/X%d", number);
    unlink(path);
}

void xdisplay_freeze(struct xdisplay *x, bool on)
{
    kill(x->pid, on ? SIGSTOP : SIGCONT);
}

const char *xdisplay_env(const struct xdisplay *x)
{
    return x->env;
}

void xdisplay_serve(struct xdisplay *x, struct term *t)
{
    x->served = t;
}

/* --- waiting ----------------------------------------------------------------------------- */

static void breathe(struct xdisplay *x)
{
    if (x->served)
        term_pump(x->served);
    poll(NULL, 0, 5);
}

static void give_up(struct xdisplay *x, const char *what)
{
    const char *path = path_in(x->dir, "failed.ppm");
    xdisplay_save(x, path);
    fail_msg("not so on the display: %s; its picture: %s (KEEP_TEMP=1 keeps it)\nterminal:\n%s",
             what, path, x->served ? term_screen(x->served) : "");
}

void xdisplay_wait_until(struct xdisplay *x, bool (*holds)(void *user), void *user,
                         const char *what)
{
    for (long long until = now_ms() + DEADLINE_MS; !holds(user); breathe(x))
        if (now_ms() > until)
            give_up(x, what);
}

void xdisplay_wait_picture(struct xdisplay *x, bool (*like)(const struct picture *p, void *user),
                           void *user, const char *what)
{
    for (long long until = now_ms() + DEADLINE_MS;; breathe(x)) {
        struct picture p = xdisplay_look(x);
        bool there = like(&p, user);
        if (there)
            return;
        if (now_ms() > until)
            give_up(x, what);
    }
}

/* --- windows and hands ------------------------------------------------------------------- */

static struct run xdotool(struct xdisplay *x, const char *a, const char *b, const char *c,
                          const char *d, const char *e)
{
    const char *const env[] = {x->env, NULL};
    const struct run_setup setup = {.env = env, .home = x->dir};
    if (x->served)
        term_pump(x->served);
    return run_with(&setup, "xdotool", a, b, c, d, e, NULL);
}

static const char *window(struct xdisplay *x, const char *name)
{
    struct run r = xdotool(x, "search", "--onlyvisible", "--name", name, NULL);
    return r.status == 0 && r.out_n ? arena_strndup(test_arena(), r.out, strcspn(r.out, "\n"))
                                    : NULL;
}

bool xdisplay_has_window(struct xdisplay *x, const char *name)
{
    return window(x, name);
}

static void wait_window(struct xdisplay *x, const char *name, bool wanted)
{
    for (long long until = now_ms() + DEADLINE_MS; xdisplay_has_window(x, name) != wanted;
         breathe(x))
        if (now_ms() > until)
            give_up(x, arena_printf(test_arena(), "%s window '%s'", wanted ? "a" : "no", name));
}

void xdisplay_wait_window(struct xdisplay *x, const char *name)
{
    wait_window(x, name, true);
}

void xdisplay_wait_no_window(struct xdisplay *x, const char *name)
{
    wait_window(x, name, false);
}

static const char *need_window(struct xdisplay *x, const char *name)
{
    const char *id = window(x, name);
    if (!id)
        give_up(x, arena_printf(test_arena(), "a window '%s'", name));
    return id;
}

struct xdisplay_place xdisplay_place(struct xdisplay *x, const char *name)
{
    struct run r = xdotool(x, "getwindowgeometry", "--shell", need_window(x, name), NULL, NULL);
    struct xdisplay_place at;
    if (sscanf(r.out, "WINDOW=%*d X=%d Y=%d WIDTH=%d HEIGHT=%d", &at.x, &at.y, &at.w, &at.h) != 4)
        fail_msg("no place in '%s'", r.out);
    return at;
}

void xdisplay_focus(struct xdisplay *x, const char *name)
{
    struct run r = xdotool(x, "windowfocus", "--sync", need_window(x, name), NULL, NULL);
    assert_exit(r, 0);
}

void xdisplay_keys(struct xdisplay *x, const char *names)
{
    for (size_t n; names += strspn(names, " "), n = strcspn(names, " "), n > 0; names += n) {
        const char *key = arena_strndup(test_arena(), names, n);
        struct run r = xdotool(x, "key", "--clearmodifiers", key, NULL, NULL);
        assert_quiet(r); /* xdotool only complains about a key it does not know */
    }
}

void xdisplay_type(struct xdisplay *x, const char *text)
{
    struct run r = xdotool(x, "type", text, NULL, NULL, NULL);
    assert_quiet(r);
}

void xdisplay_click(struct xdisplay *x, int px, int py, int button)
{
    char x_text[16], y_text[16], button_text[16];
    snprintf(x_text, sizeof x_text, "%d", px);
    snprintf(y_text, sizeof y_text, "%d", py);
    snprintf(button_text, sizeof button_text, "%d", button);
    struct run r = xdotool(x, "mousemove", x_text, y_text, "click", button_text);
    assert_quiet(r);
}

/* --- pictures ---------------------------------------------------------------------------- */

static uint32_t big_endian(const char *p)
{
    const unsigned char *b = (const unsigned char *)p;
    return (uint32_t)b[0] << 24 | (uint32_t)b[1] << 16 | (uint32_t)b[2] << 8 | b[3];
}

/* Xvfb keeps its frame buffer in a file of the X window dump format (X11/XWDFile.h): 32-bit
 * big-endian fields, of which 0 is the header's size, 4 and 5 the width and height, 12 the bytes
 * of a row, 19 the number of 12-byte colour map entries. A pixel of depth 24 is B G R x here. */
static void copy_pixels(const char *file, size_t n, struct xdisplay *x, struct picture *p)
{
    enum { HEADER = 0, WIDTH = 4, HEIGHT = 5, ROW = 12, COLOURS = 19, FIELDS = 25 };
    if (n < FIELDS * 4)
        fail_msg("the frame buffer file has only %zu bytes", n);
    uint32_t f[FIELDS];
    for (size_t i = 0; i < FIELDS; i++)
        f[i] = big_endian(file + 4 * i);
    size_t start = f[HEADER] + 12 * (size_t)f[COLOURS];
    if (n < start + (size_t)f[ROW] * f[HEIGHT])
        fail_msg("the frame buffer file is cut short");
    x->rgb = xrealloc(x->rgb, (size_t)f[WIDTH] * f[HEIGHT] * 3);
    *p = (struct picture){.w = (int)f[WIDTH], .h = (int)f[HEIGHT], .rgb = x->rgb};
    unsigned char *to = p->rgb;
    for (uint32_t y = 0; y < f[HEIGHT]; y++) {
        const char *from = file + start + (size_t)y * f[ROW];
        for (uint32_t i = 0; i < f[WIDTH]; i++, from += 4) {
            *to++ = (unsigned char)from[2];
            *to++ = (unsigned char)from[1];
            *to++ = (unsigned char)from[0];
        }
    }
}

struct picture xdisplay_look(struct xdisplay *x)
{
    const char *path = path_in(x->dir, "Xvfb_screen0");
    struct stat st;
    int fd = open(path, O_RDONLY | O_CLOEXEC);
    if (fd < 0 || fstat(fd, &st) != 0)
        fail_msg("%s: %s", path, strerror(errno));
    size_t n = (size_t)st.st_size;
    char *file = mmap(NULL, n, PROT_READ, MAP_SHARED, fd, 0);
    close(fd);
    if (file == MAP_FAILED)
        fail_msg("%s: %s", path, strerror(errno));
    struct picture p = {0};
    copy_pixels(file, n, x, &p);
    munmap(file, n);
    return p;
}

struct picture picture_keep(const struct picture *p)
{
    struct picture kept = *p;
    size_t n = (size_t)p->w * (size_t)p->h * 3;
    kept.rgb = arena_alloc(test_arena(), n);
    memcpy(kept.rgb, p->rgb, n);
    return kept;
}

void xdisplay_save(struct xdisplay *x, const char *path)
{
    struct picture p = xdisplay_look(x);
    size_t len = strlen(path);
    bool png = len > 4 && strcmp(path + len - 4, ".png") == 0;
    const char *ppm = png ? path_in(x->dir, "save.ppm") : path;
    FILE *f = fopen(ppm, "wb");
    if (!f)
        fail_msg("%s: %s", ppm, strerror(errno));
    fprintf(f, "P6\n%d %d\n255\n", p.w, p.h);
    fwrite(p.rgb, 3, (size_t)p.w * (size_t)p.h, f);
    fclose(f);
    if (!png)
        return;
    struct run r = run("convert", ppm, path, NULL);
    assert_exit(r, 0);
}

unsigned picture_at(const struct picture *p, int px, int py)
{
    if (px < 0 || py < 0 || px >= p->w || py >= p->h)
        fail_msg("no pixel %d,%d in a picture of %dx%d", px, py, p->w, p->h);
    const unsigned char *c = p->rgb + 3 * ((size_t)py * (size_t)p->w + (size_t)px);
    return (unsigned)c[0] << 16 | (unsigned)c[1] << 8 | c[2];
}

static bool is_near(unsigned a, unsigned b, int off)
{
    for (int shift = 0; shift <= 16; shift += 8)
        if (abs((int)(a >> shift & 0xFF) - (int)(b >> shift & 0xFF)) > off)
            return false;
    return true;
}

double picture_share(const struct picture *p, struct xdisplay_place at, unsigned rgb, int off)
{
    long n = 0;
    for (int y = at.y; y < at.y + at.h; y++)
        for (int px = at.x; px < at.x + at.w; px++)
            n += is_near(picture_at(p, px, y), rgb, off);
    return at.w > 0 && at.h > 0 ? (double)n / ((double)at.w * at.h) : 0;
}
