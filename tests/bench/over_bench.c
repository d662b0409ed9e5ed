/* What is drawn over each picture, in CPU time: the field's lines and 240 dots with their labels, made
 * out of the show and the camera, made into shapes for the window, and into the pixels of a pane's
 * picture. */
#include <poll.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "bench.h"
#include "command/clip.h"
#include "command/ground.h"
#include "command/run.h"
#include "command/session.h"
#include "lib/files.h"
#include "lib/run.h"
#include "screen/over.h"
#include "screen/screens.h"

enum { DOTS = 240, FRAMES = 300, WIDTH = 1280, HEIGHT = 720 };

/* --- a show of 240 on a drawn field -------------------------------------------------------------- */

static void must(struct run r)
{
    if (r.status != 0) {
        fprintf(stderr, "%s: %s\n", r.said, r.err);
        exit(1);
    }
}

static void add_people(const char *show)
{
    struct buf roster = {0}, where = {0};
    buf_str(&roster, "performer,name,section\n");
    buf_str(&where, "performer,set,x,y\n");
    for (int i = 0; i < DOTS; i++) {
        buf_printf(&roster, "T%d,P %d,trumpets\n", i + 1, i + 1);
        buf_printf(&where, "T%d,1,%d,%d\nT%d,2,%d,%d\n", i + 1, i % 20 * 3 - 30, i / 20 * 5 + 10,
                   i + 1, i % 20 * 3 - 28, i / 20 * 5 + 12);
    }
    must(run_in(buf_text(&roster), "boxcall", "add", show, "roster", "-", NULL));
    must(run_in("set,counts,tempo\n1,16,120\n2,16,120\n", "boxcall", "add", show, "sets", "-",
                NULL));
    must(run_in(buf_text(&where), "boxcall", "add", show, "dots", "-", NULL));
    buf_free(&roster);
    buf_free(&where);
}

/* Pixels of the drawn camera as it is by default, 60 ft up (demo/options.c), at 640 x 360. */
static const char *make_show(void)
{
    static const char *const picks[][2] = {{"319.9,180.9", "on 50; on front hash"},
                                           {"325.8,125.8", "on 50; on back hash"},
                                           {"96.2,177.9", "side 1, on 30; on front hash"},
                                           {"502.5,127.6", "side 2, on 30; on back hash"}};
    const char *dir = temp_dir(), *show = path_in(dir, "a.show"), *clip = path_in(dir, "d.mp4");
    must(run("sh", "-c",
             arena_printf(test_arena(),
                          "exec '%s' --sets 1 --seconds 1 --size 640x360 --no-sound --preset "
                          "ultrafast --out '%s' 2>&1",
                          getenv("DEMO_CLIP"), clip),
             NULL));
    must(run("boxcall", "new", show, NULL));
    add_people(show);
    must(run("boxcall", "add", show, "clip", clip, "--label", "d", NULL));
    must(run("boxcall", "count", show, "d", "tie", "0", "1", NULL));
    for (size_t i = 0; i < sizeof picks / sizeof *picks; i++)
        must(run("boxcall", "field", show, "d", "pick", "0", picks[i][0], picks[i][1], NULL));
    must(run("boxcall", "field", show, "d", "camera", NULL));
    return show;
}

static void open_desk(struct desk *d, struct app *app)
{
    struct err e;
    if (!app_open(app, make_show(), &e) || !desk_open(d, app, &review_tools, &e) ||
        !desk_clip(d, &app->clips.at[0], 0, false, &e)) {
        fprintf(stderr, "%s\n", e.text);
        exit(1);
    }
    for (int i = 0; i < 5000 && d->play.status != PLAYER_READY; i++) {
        struct pollfd fd = {.fd = player_fd(d->player), .events = POLLIN};
        poll(&fd, 1, 20);
        desk_poll(d);
    }
    desk_run(d, "grid");
    desk_run(d, "ghosts");
    desk_run(d, "ghosts");
}

static double make_ms(const struct desk *d, struct arena *mem, struct over *o)
{
    const double begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++) {
        over_free(o);
        arena_free(mem);
        over_make(d, mem, o);
    }
    return (bench_cpu() - begun) * 1e3 / FRAMES;
}

int main(void)
{
    static struct desk d;
    static struct app app;
    struct arena mem = {0};
    struct over o = {0};
    open_desk(&d, &app);
    const double make = make_ms(&d, &mem, &o);
    const struct over_frame whole = {0, 0, 1, 1};
    const size_t bytes = 4 * (size_t)WIDTH * HEIGHT;
    uint8_t *px = calloc(bytes, 1), *copy = calloc(bytes, 1);
    const struct pane_image f = {px, WIDTH, HEIGHT, 4 * (size_t)WIDTH};
    struct buf ass = {0}, memory = {0};
    bench_holds("every dot is over the picture", o.n_dots == DOTS && o.n_lines > 300);
    double begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++) {
        buf_clear(&ass);
        over_shapes(&o, &whole, &ass);
    }
    const double shapes = (bench_cpu() - begun) / FRAMES;
    begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++)
        over_paint(&o, &whole, &f, &(struct over_room){WIDTH, HEIGHT, &memory});
    const double painted = (bench_cpu() - begun) / FRAMES;
    begun = bench_cpu();
    for (int i = 0; i < FRAMES; i++) {
        px[i] = (uint8_t)i;
        memcpy(copy, px, bytes);
    }
    const double copied = (bench_cpu() - begun) / FRAMES;
    printf("a picture of %d x %d copied: %.2f ms of CPU\n", WIDTH, HEIGHT, copied * 1e3);
    printf("lines and 240 labelled dots, of the show and the camera: %.2f ms\n", make);
    bench_at_most("made, and as shapes of the window", make + shapes * 1e3, 1, "ms");
    bench_at_most("made, and in the pane's pixels, their copy included", make + painted * 1e3, 1,
                  "ms");
    printf("  in copies of the picture: made %.2f, shapes %.2f, pixels %.2f (%u)\n",
           make / 1e3 / copied, shapes / copied, painted / copied, copy[bytes - 1]);
    over_free(&o);
    arena_free(&mem);
    desk_close(&d);
    app_close(&app);
    buf_free(&ass);
    buf_free(&memory);
    free(px);
    free(copy);
    return bench_end();
}
