/* From the start of the program to the first painted review, and the memory it takes at its peak,
 * beside bare libmpv on the same 1080p clip. Bare libmpv is a program of its own that does nothing
 * but open the clip and render it in software to the same number of pixels: its start ends with the
 * first frame rendered. The review is painted when the picture stands in its pane and the transport
 * row knows the frame. Memory is taken after two more seconds of playing.
 *     start_bench                  medians of interleaved starts
 *     start_bench bare CLIP        the bare program: writes a byte at the first frame, then the CPU
 *                                  ms it took and its peak of memory in MB
 */
#include <locale.h>
#include <mpv/client.h>
#include <mpv/render.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

#include "bench.h"
#include "clips.h"
#include "lib/run.h"
#include "lib/term.h"

enum { ROUNDS = 7, SECONDS = 2, ROWS = 40, COLS = 120, WIDTH = 184, HEIGHT = 104 };

struct start {
    double ms, cpu_ms; /* to the first picture */
    double mb;         /* at the peak */
};

static double peak_mb(int pid)
{
    char path[64], line[200];
    long kb = 0;
    snprintf(path, sizeof path, "/proc/%d/status", pid);
    FILE *f = fopen(path, "re");
    while (f && fgets(line, sizeof line, f))
        if (sscanf(line, "VmHWM: %ld", &kb) == 1)
            break;
    if (f)
        fclose(f);
    return (double)kb / 1024;
}

/* CPU milliseconds of all threads of a process so far, to a hundredth of a second. */
static double cpu_ms(int pid)
{
    char path[64], line[1000] = "";
    unsigned long user = 0, system = 0;
    snprintf(path, sizeof path, "/proc/%d/stat", pid);
    FILE *f = fopen(path, "re");
    if (f && fgets(line, sizeof line, f) && strrchr(line, ')'))
        sscanf(strrchr(line, ')') + 1, " %*c %*d %*d %*d %*d %*d %*u %*u %*u %*u %*u %lu %lu",
               &user, &system);
    if (f)
        fclose(f);
    return (double)(user + system) * 1e3 / (double)sysconf(_SC_CLK_TCK);
}

/* --- bare libmpv --------------------------------------------------------------------------------
 */

static void on_update(void *user)
{
    const uint64_t one = 1;
    if (write(*(int *)user, &one, sizeof one) < 0)
        return;
}

static mpv_handle *bare_player(const char *clip)
{
    static const char *const options[][2] = {
        {"config", "no"}, {"load-scripts", "no"},      {"ytdl", "no"},  {"terminal", "no"},
        {"osc", "no"},    {"osd-level", "0"},          {"hwdec", "no"}, {"vo", "libmpv"},
        {"ao", "null"},   {"video-timing-offset", "0"}};
    mpv_handle *m = mpv_create();
    for (size_t i = 0; i < sizeof options / sizeof *options; i++)
        mpv_set_option_string(m, options[i][0], options[i][1]);
    mpv_initialize(m);
    mpv_command_async(m, 0, (const char *[]){"loadfile", clip, NULL});
    return m;
}

static int bare(const char *clip)
{
    setlocale(LC_NUMERIC, "C");
    int wake = eventfd(0, EFD_CLOEXEC), block = 0;
    size_t stride = WIDTH * 4;
    uint8_t *px = aligned_alloc(64, (stride * HEIGHT + 63) / 64 * 64);
    mpv_handle *m = bare_player(clip);
    mpv_render_context *r = NULL;
    mpv_render_context_create(
        &r, m,
        (mpv_render_param[]){{MPV_RENDER_PARAM_API_TYPE, (char *)(uintptr_t)MPV_RENDER_API_TYPE_SW},
                             {0}});
    mpv_render_context_set_update_callback(r, on_update, &wake);
    uint64_t count;
    double cpu = 0;
    for (double until = 0; until == 0 || bench_now() < until;) {
        if (read(wake, &count, sizeof count) != sizeof count)
            return 1;
        if (!(mpv_render_context_update(r) & MPV_RENDER_UPDATE_FRAME))
            continue;
        mpv_render_context_render(
            r, (mpv_render_param[]){{MPV_RENDER_PARAM_SW_SIZE, (int[]){WIDTH, HEIGHT}},
                                    {MPV_RENDER_PARAM_SW_FORMAT, (char[]){"rgba"}},
                                    {MPV_RENDER_PARAM_SW_STRIDE, &stride},
                                    {MPV_RENDER_PARAM_SW_POINTER, px},
                                    {MPV_RENDER_PARAM_BLOCK_FOR_TARGET_TIME, &block},
                                    {0}});
        if (until == 0 && write(STDOUT_FILENO, "f", 1) == 1) {
            until = bench_now() + SECONDS;
            cpu = bench_cpu() * 1e3;
        }
    }
    dprintf(STDOUT_FILENO, "%f %f\n", cpu, peak_mb(getpid()));
    mpv_render_context_free(r);
    mpv_terminate_destroy(m);
    free(px);
    return 0;
}

static struct start start_bare(const char *clip)
{
    int p[2];
    char text[64] = "";
    assert_int_equal(pipe(p), 0);
    const double from = bench_now();
    const pid_t child = fork();
    if (child == 0) {
        dup2(p[1], STDOUT_FILENO);
        execl("/proc/self/exe", "start_bench", "bare", clip, NULL);
        _exit(127);
    }
    close(p[1]);
    assert_int_equal(read(p[0], text, 1), 1);
    struct start s = {.ms = (bench_now() - from) * 1e3};
    size_t n = 0;
    for (ssize_t got; (got = read(p[0], text + n, sizeof text - 1 - n)) > 0;)
        n += (size_t)got;
    close(p[0]);
    waitpid(child, NULL, 0);
    sscanf(text, "%lf %lf", &s.cpu_ms, &s.mb);
    return s;
}

/* --- the review ---------------------------------------------------------------------------------
 */

static const char *new_show(const char *clip)
{
    const char *show = path_in(temp_dir(), "larkspur.show");
    const struct run made = run("boxcall", "new", show, "--title", "Larkspur", NULL);
    assert_exit(made, 0);
    const struct run added =
        run("boxcall", "add", show, "clip", clip, "--label", "run", "--date", "2026-09-14", NULL);
    assert_exit(added, 0);
    return show;
}

struct seen {
    struct term *t;
    double until;
};

/* The middle of the pane is painted, and the transport row has a frame's number. */
static bool is_painted(void *user)
{
    const struct seen *s = user;
    const struct term_cell c = term_cell(s->t, ROWS / 3, COLS * 5 / 8);
    return (c.bg != COLOR_NONE || c.fg != COLOR_NONE) && term_has(s->t, "x f0");
}

static bool has_played(void *user)
{
    const struct seen *s = user;
    term_forget_raw(s->t);
    return bench_now() > s->until;
}

static struct start start_review(const char *show, const char *home)
{
    const struct term_setup setup = {.rows = ROWS,
                                     .cols = COLS,
                                     .home = home,
                                     .env = (const char *const[]){"COLORTERM=truecolor", NULL}};
    const double from = bench_now();
    struct seen s = {.t = term_start(&setup, "boxcall", show, "--silent", "run", NULL)};
    term_wait_until(s.t, is_painted, &s, "the first picture");
    struct start out = {.ms = (bench_now() - from) * 1e3, .cpu_ms = cpu_ms(term_pid(s.t))};
    term_keys(s.t, "Space");
    s.until = bench_now() + SECONDS;
    term_wait_until(s.t, has_played, &s, "seconds of playing");
    out.mb = peak_mb(term_pid(s.t));
    term_keys(s.t, "Home Ctrl-q"); /* the next one begins at the beginning as well */
    assert_int_equal(term_wait_exit(s.t), 0);
    term_close(s.t);
    return out;
}

static void report(const struct start *bare, const struct start *ours)
{
    double more[ROUNDS], ms[2][ROUNDS], cpu[2][ROUNDS], mb[2][ROUNDS];
    for (int i = 0; i < ROUNDS; i++) {
        const struct start *both[] = {&bare[i], &ours[i]};
        more[i] = ours[i].ms - bare[i].ms;
        for (int k = 0; k < 2; k++) {
            ms[k][i] = both[k]->ms;
            cpu[k][i] = both[k]->cpu_ms;
            mb[k][i] = both[k]->mb;
        }
    }
    printf("bare libmpv to its first frame: median %.0f ms, %.0f CPU ms\n",
           bench_median(ms[0], ROUNDS), bench_median(cpu[0], ROUNDS));
    printf("to the first painted review: median %.0f ms, %.0f CPU ms\n",
           bench_median(ms[1], ROUNDS), bench_median(cpu[1], ROUNDS));
    bench_at_most("to the first painted review, more than bare libmpv", bench_median(more, ROUNDS),
                  100, "ms");
    const double least = bench_median(mb[0], ROUNDS), most = bench_median(mb[1], ROUNDS);
    printf("peak of memory: bare libmpv %.1f MB, the review %.1f MB\n", least, most);
    bench_at_most("peak of memory, more than bare libmpv", most - least, 30, "MB");
}

int main(int argc, char **argv)
{
    struct start bare_starts[ROUNDS], ours[ROUNDS];
    if (argc > 2)
        return bare(argv[2]);
    const char *clip = clip_marching(), *show = new_show(clip), *home = temp_dir();
    bench_ahead();
    for (int i = 0; i < ROUNDS; i++) {
        bare_starts[i] = start_bare(clip);
        ours[i] = start_review(show, home);
    }
    report(bare_starts, ours);
    return bench_end();
}
