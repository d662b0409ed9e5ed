/* What the field costs, in CPU time of one core: a camera out of 20 picks, the lock of a frame of 1080
 * lines besides its decoding, who it was among 400. */
#include <math.h>
#include <string.h>

#include "bench.h"
#include "field/lock.h"
#include "field/solve.h"
#include "field/who.h"

enum {
    WIDTH = 1920,
    HEIGHT = 1080,
    PICKS = 20,
    PEOPLE = 400,
    SOLVES = 200,
    LOCKS = 50,
    ASKS = 20000
};

static uint8_t pixels[WIDTH * HEIGHT];

static struct camera press_box(void)
{
    struct camera c = {.width = WIDTH, .height = HEIGHT, .half = 960};
    const double p[CAMERA_PARAMETERS] = {48, -900, 540, -0.05, 0.32, 0.012, 1190, 0, 0};
    memcpy(c.p, p, sizeof p);
    return c;
}

/* White where the ground is. */
static void draw(const struct camera *c)
{
    for (int y = 0; y < HEIGHT; y++)
        for (int x = 0; x < WIDTH; x++) {
            struct field_place at;
            const bool ground = camera_place(c, (struct pixel){x + 0.5, y + 0.5}, &at);
            const double off = ground ? fabs(at.x - round(at.x / 180) * 180) : 90;
            pixels[y * WIDTH + x] = off < 3 && at.y > 0 && at.y < 1920 ? 220 : 90;
        }
}

/* CPU milliseconds of one. */
static double solve_ms(const struct camera *truth)
{
    struct pick picks[PICKS];
    struct camera_ask ask = {.picks = picks, .n = PICKS, .free = {1, 1, 1, 1, 1, 1, 1, 1}};
    struct camera start = {.width = WIDTH, .height = HEIGHT, .half = 960};
    struct camera_fit fit;
    struct err e;
    bool ok = true;
    for (int i = 0; i < PICKS; i++) {
        picks[i] = (struct pick){.on = {(i % 5 - 2) * 360, (i / 5) * 640.0}, .sd = 1.5};
        ok = camera_sees(truth, picks[i].on, &picks[i].at, NULL) && ok;
        picks[i].at.x += i % 3 - 1;
        picks[i].at.y += i % 2 - 0.5;
    }
    const double began = bench_cpu();
    for (int n = 0; n < SOLVES; n++)
        ok = camera_start(picks, PICKS, &start, &e) && camera_improve(&ask, &start, &fit, &e) && ok;
    const double ms = (bench_cpu() - began) * 1e3 / SOLVES;
    bench_holds("a camera is found", ok);
    return ms;
}

static double lock_ms(const struct camera *truth)
{
    const struct luma luma = {pixels, WIDTH, HEIGHT, WIDTH};
    struct paint_list paint;
    struct lock_fit fit;
    struct err e;
    bool ok = true;
    paint_of(grid_named("high-school"), 24, 18, &paint);
    struct lock_ask ask = {.picture = &luma,
                           .paint = &paint,
                           .reach = 20,
                           .rounds = 2,
                           .free = {[CAMERA_PAN] = true,
                                    [CAMERA_TILT] = true,
                                    [CAMERA_ROLL] = true,
                                    [CAMERA_FOCAL] = true}};
    struct camera start = *truth;
    start.p[CAMERA_PAN] += 0.004;
    const double began = bench_cpu();
    for (int n = 0; n < LOCKS; n++)
        ok = lock_camera(&ask, &start, &fit, &e) && ok;
    const double ms = (bench_cpu() - began) * 1e3 / LOCKS;
    bench_holds("the lines are held", ok && fit.held > 500);
    paint_free(&paint);
    return ms;
}

static double who_ms(void)
{
    static struct field_place dots[PEOPLE];
    struct candidate who[3];
    size_t found = 0;
    for (int i = 0; i < PEOPLE; i++)
        dots[i] = (struct field_place){(i % 20) * 45, (i / 20) * 45};
    const double began = bench_cpu();
    for (int n = 0; n < ASKS; n++) {
        const struct who_ask ask = {.at = {n % 900, n % 877},
                                    .cov = {{9, 0}, {0, 90}},
                                    .usual_sd = WHO_USUAL_SD_IN,
                                    .dots = dots,
                                    .n = PEOPLE};
        found += who_is(&ask, who, 3);
    }
    const double ms = (bench_cpu() - began) * 1e3 / ASKS;
    bench_holds("somebody is found", found == 3 * ASKS);
    return ms;
}

int main(void)
{
    const struct camera c = press_box();
    draw(&c);
    bench_at_most("a camera out of 20 picks", solve_ms(&c), 2, "ms");
    bench_at_most("the lock of a 1080p frame", lock_ms(&c), 5, "ms");
    bench_at_most("who it was among 400", who_ms(), 0.02, "ms");
    return bench_end();
}
