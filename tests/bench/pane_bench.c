/* The pane against libmpv's own cell output (vo=tct) at 120 x 40 cells: bytes and CPU of the whole
 * way (decode, scale, encode), every frame shown, no waiting for its time. The pane's clock runs at
 * the clip's own rate, so that its budget of bytes holds as when watched.
 *     pane_bench                                   the band, a test pattern, a swaying camera
 *     pane_bench CLIP [COLS ROWS [true|256|16]]    one clip, without targets
 */
#include <fcntl.h>
#include <locale.h>
#include <mpv/client.h>
#include <mpv/render.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "bench.h"
#include "clips.h"
#include "pane/pane.h"

enum { START = 4, SECONDS = 3, FPS = 30 }; /* of each clip: the band is on the move by then */

struct job {
    const char *clip;
    int cols, rows;
    enum term_colors colors;
};

struct cost {
    double cpu_s;
    long long bytes, frames, dropped;
};

static mpv_handle *player(const char *vo)
{
    static const char *const options[][2] = {{"config", "no"},
                                             {"load-scripts", "no"},
                                             {"ytdl", "no"},
                                             {"aid", "no"},
                                             {"terminal", "no"},
                                             {"untimed", "yes"},
                                             {"framedrop", "no"},
                                             {"hwdec", "no"},
                                             {"osc", "no"},
                                             {"osd-level", "0"},
                                             {"access-references", "no"}};
    mpv_handle *m = mpv_create();
    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        mpv_set_option_string(m, options[i][0], options[i][1]);
    char number[16];
    snprintf(number, sizeof number, "%d", START);
    mpv_set_option_string(m, "start", number);
    snprintf(number, sizeof number, "%d", SECONDS);
    mpv_set_option_string(m, "length", number);
    mpv_set_option_string(m, "vo", vo);
    return m;
}

static void play_to_end(mpv_handle *m, const char *clip)
{
    mpv_command(m, (const char *[]){"loadfile", clip, NULL});
    while (mpv_wait_event(m, -1)->event_id != MPV_EVENT_END_FILE)
        ;
}

/* Runs in a child whose standard output is counted by the parent. */
static void cells_of_mpv(const struct job *job, const char *vo)
{
    mpv_handle *m = player(vo);
    char n[16];
    snprintf(n, sizeof n, "%d", job->cols);
    mpv_set_option_string(m, "vo-tct-width", n);
    snprintf(n, sizeof n, "%d", job->rows);
    mpv_set_option_string(m, "vo-tct-height", n);
    mpv_set_option_string(m, "vo-tct-256", job->colors == TERM_TRUECOLOR ? "no" : "yes");
    mpv_initialize(m);
    play_to_end(m, job->clip);
    mpv_terminate_destroy(m);
}

struct ours {
    mpv_handle *m;
    const char *clip;
    int *wake_fd;
    _Atomic bool over;
};

static void wake(void *user)
{
    const char c = 0;
    if (write(*(int *)user, &c, 1) < 0)
        return;
}

static void *play_thread(void *arg)
{
    struct ours *o = arg;
    play_to_end(o->m, o->clip);
    o->over = true;
    wake(o->wake_fd);
    return NULL;
}

struct screen {
    struct pane *pane;
    int pipe[2];
    int64_t now_us;
};

static bool read_and_answer(struct screen *s)
{
    static char bytes[1 << 16];
    long long n, all = 0;
    while ((n = read(s->pipe[0], bytes, sizeof bytes)) > 0) {
        all += n;
        for (long long i = 0; i + 3 < n; i++)
            if (memcmp(bytes + i, "\033[5n", 4) == 0)
                pane_acknowledge(s->pane, s->now_us);
    }
    return all > 0;
}

static void show(struct screen *s, const uint8_t *px, int w, int h)
{
    s->now_us += 1000000 / 30;
    pane_picture(s->pane, &(struct pane_image){px, w, h, (size_t)w * 4}, PANE_MOVING);
    do
        pane_pump(s->pane, s->now_us);
    while (read_and_answer(s));
}

static void render_all(const struct job *job, struct screen *s)
{
    mpv_handle *m = player("libmpv");
    mpv_set_option_string(m, "video-timing-offset", "0");
    mpv_initialize(m);
    int wakes[2];
    if (pipe(wakes) != 0)
        return;
    mpv_render_context *r = NULL;
    mpv_render_context_create(
        &r, m,
        (mpv_render_param[]){{MPV_RENDER_PARAM_API_TYPE, (char *)(uintptr_t)MPV_RENDER_API_TYPE_SW},
                             {0}});
    mpv_render_context_set_update_callback(r, wake, &wakes[1]);
    struct ours o = {m, job->clip, &wakes[1], false};
    pthread_t t;
    pthread_create(&t, NULL, play_thread, &o);
    int w, h, block = 0;
    pane_wanted(s->pane, PANE_MOVING, &w, &h);
    size_t stride = (size_t)w * 4;
    uint8_t *px = aligned_alloc(64, (stride * (size_t)h + 63) / 64 * 64);
    char c;
    while (read(wakes[0], &c, 1) == 1 && !o.over) {
        if (!(mpv_render_context_update(r) & MPV_RENDER_UPDATE_FRAME))
            continue;
        mpv_render_context_render(
            r, (mpv_render_param[]){{MPV_RENDER_PARAM_SW_SIZE, (int[]){w, h}},
                                    {MPV_RENDER_PARAM_SW_FORMAT, (char[]){"rgba"}},
                                    {MPV_RENDER_PARAM_SW_STRIDE, &stride},
                                    {MPV_RENDER_PARAM_SW_POINTER, px},
                                    {MPV_RENDER_PARAM_BLOCK_FOR_TARGET_TIME, &block},
                                    {0}});
        show(s, px, w, h);
    }
    pthread_join(t, NULL);
    free(px);
    mpv_render_context_free(r);
    mpv_terminate_destroy(m);
}

/* Runs in a child; prints bytes, pictures written and dropped on out. */
static void cells_of_ours(const struct job *job, int out)
{
    struct err e = {0};
    const struct term_caps caps = {.dsr = true,
                                   .utf8 = true,
                                   .colors = job->colors,
                                   .still = TERM_PANE_CELLS,
                                   .moving = TERM_PANE_CELLS};
    struct screen s = {.now_us = 1000000};
    if (pipe2(s.pipe, O_NONBLOCK) != 0 || !pane_open(&s.pane, s.pipe[1], &caps, &e))
        exit(1);
    pane_hole(s.pane, 0, 0, job->rows, job->cols);
    render_all(job, &s);
    const struct pane_counts n = pane_counted(s.pane);
    dprintf(out, "%lld %lld %lld\n", (long long)n.bytes, (long long)n.frames, (long long)n.dropped);
}

/* vo NULL: the pane. */
static struct cost run(const struct job *job, const char *vo)
{
    const bool ours = !vo;
    int p[2];
    if (pipe(p) != 0)
        exit(1);
    const double before = bench_cpu_children();
    const pid_t child = fork();
    if (child == 0) {
        close(p[0]);
        if (!ours)
            dup2(p[1], STDOUT_FILENO);
        if (ours)
            cells_of_ours(job, p[1]);
        else
            cells_of_mpv(job, vo);
        _exit(0);
    }
    close(p[1]);
    struct cost c = {0};
    static char bytes[1 << 16];
    ssize_t n;
    while ((n = read(p[0], bytes, sizeof bytes - 1)) > 0) {
        bytes[n] = '\0';
        if (ours)
            sscanf(bytes, "%lld %lld %lld", &c.bytes, &c.frames, &c.dropped);
        else
            c.bytes += n;
    }
    close(p[0]);
    waitpid(child, NULL, 0);
    c.cpu_s = bench_cpu_children() - before;
    return c;
}

static const char *color_name(enum term_colors colors)
{
    return colors == TERM_TRUECOLOR ? "true colour"
           : colors == TERM_256     ? "256 colours"
                                    : "16 colours";
}

static void compare(const struct job *job, const char *what, double cpu_most, double bytes_most)
{
    const struct cost tct = run(job, "tct"), pane = run(job, NULL), bare = run(job, "null");
    const double cpu = pane.cpu_s / tct.cpu_s, bytes = (double)pane.bytes / (double)tct.bytes;
    printf("%s, %s, %d x %d cells:\n", what, color_name(job->colors), job->cols, job->rows);
    printf(
        "  decoding alone %.2f CPU s; vo=tct %.2f CPU s, %.2f MB; pane %.2f CPU s, %.2f MB, %lld "
        "frames, %lld dropped\n",
        bare.cpu_s, tct.cpu_s, (double)tct.bytes / 1e6, pane.cpu_s, (double)pane.bytes / 1e6,
        pane.frames, pane.dropped);
    if (cpu_most > 0)
        bench_at_most("  CPU, pane / vo=tct", cpu, cpu_most, "");
    else
        printf("  CPU, pane / vo=tct: %.2f\n", cpu);
    if (bytes_most > 0)
        bench_at_most("  bytes, pane / vo=tct", bytes, bytes_most, "");
    else
        printf("  bytes, pane / vo=tct: %.3f\n", bytes);
    if (bytes_most > 0)
        bench_holds("  every frame drawn", pane.frames >= SECONDS * FPS && pane.dropped == 0);
}

static int one_clip(int argc, char **argv)
{
    struct job job = {argv[1], 120, 40, TERM_TRUECOLOR};
    if (argc > 3) {
        job.cols = atoi(argv[2]);
        job.rows = atoi(argv[3]);
    }
    if (argc > 4)
        job.colors = argv[4][0] == 't' ? TERM_TRUECOLOR : argv[4][0] == '2' ? TERM_256 : TERM_16;
    compare(&job, argv[1], 0, 0);
    return 0;
}

int main(int argc, char **argv)
{
    setlocale(LC_ALL, "");
    setlocale(LC_NUMERIC, "C");
    if (argc > 1)
        return one_clip(argc, argv);
    /* With a camera that sways without end every cell changes at every frame; nothing is promised
     * about its bytes. */
    const struct {
        const char *clip, *what;
        enum term_colors colors;
        double cpu, bytes;
    } cases[] = {
        {clip_marching(), "the band", TERM_TRUECOLOR, 0.5, 0.25},
        {clip_marching(), "the band", TERM_256, 0.5, 0.25},
        {clip_pattern(), "the test pattern", TERM_TRUECOLOR, 0.5, 0.25},
        {clip_pattern(), "the test pattern", TERM_256, 0.5, 0.25},
        {clip_swaying(), "the band, swaying", TERM_256, 0.5, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        compare(&(struct job){cases[i].clip, 120, 40, cases[i].colors}, cases[i].what, cases[i].cpu,
                cases[i].bytes);
    return bench_end();
}
