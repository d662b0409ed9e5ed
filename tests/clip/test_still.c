/* One picture aside: the frame of a moment, in the middle of the room it was asked for; the newest
 * wish alone is answered. Every clip carries its frame numbers in its pictures (player/clips.h). */
#include <poll.h>
#include <stdlib.h>
#include <string.h>

#include "clip/packets.h"
#include "clip/still.h"
#include "lib/cases.h"
#include "lib/files.h"
#include "lib/run.h"
#include "clip/clip_file.h"

static struct still_picture answer(struct still *s)
{
    struct still_picture got;
    struct pollfd fd = {still_fd(s), POLLIN, 0};
    do
        if (poll(&fd, 1, 30000) <= 0)
            fail_msg("no answer came");
    while (!still_take(s, &got));
    return got;
}

/* The number in the part of the picture that the clip fills; a black frame stands around it. */
static int64_t number_in(const struct still_picture *p, int width, int height)
{
    const int left = (p->width - width) / 2, top = (p->height - height) / 2;
    for (int y = 0; y < p->height; y++)
        for (int x = 0; x < p->width; x++) {
            const uint8_t *px = p->rgba + 4 * ((size_t)y * (size_t)p->width + (size_t)x);
            if (x < left || x >= left + width || y < top || y >= top + height)
                assert_int_equal(px[0] | px[1] | px[2], 0);
        }
    return bars_read(p->rgba + 4 * ((size_t)top * (size_t)p->width + (size_t)left),
                     (size_t)p->width * 4, width, height, 0);
}

static void the_frame_of_the_moment_keeps_its_shape(void **state)
{
    (void)state;
    const struct clip *clip = clip_row("ntsc.mp4");
    const char *path = clip_file_of("ntsc.mp4");
    struct still *s = still_open();
    struct media m = {0};
    struct err e;
    assert_non_null(s);
    assert_true(packets_read(path, NULL, &m, &e));
    for (size_t n = 0; n < m.frames; n += m.frames / 5) {
        /* as stored: to the millisecond, rounded either way */
        const int64_t at = (m.frame_us[n] + 500) / 1000 * 1000;
        still_ask(s, &(struct still_want){path, at, clip->width + 40, clip->height});
        struct still_picture p = answer(s);
        assert_int_equal(p.at_us, at);
        assert_int_equal(number_in(&p, clip->width, clip->height), clip->first + (int)n);
        still_ask(s, &(struct still_want){path, at, clip->width, clip->height + 30});
        p = answer(s);
        assert_int_equal(number_in(&p, clip->width, clip->height), clip->first + (int)n);
    }
    media_free(&m);
    still_close(s);
}

static void the_newest_wish_is_answered_and_no_other(void **state)
{
    (void)state;
    const struct clip *clip = clip_row("ntsc.mp4");
    const char *path = clip_file_of("ntsc.mp4");
    struct still *s = still_open();
    for (int k = 0; k < 200; k++)
        still_ask(s, &(struct still_want){path, k * 10000, clip->width, clip->height});
    struct still_picture p = answer(s);
    assert_int_equal(p.at_us, 1990000);
    while (still_busy(s))
        assert_false(still_take(s, &p));
    assert_false(still_take(s, &p));
    still_close(s);
}

static void what_is_no_picture_is_answered_with_none(void **state)
{
    (void)state;
    static const struct still_want none[] = {{"/nowhere/at-all.mp4", 0, 64, 36},
                                             {"/dev/null", 0, 64, 36}};
    struct still *s = still_open();
    struct still_picture p;
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        still_ask(s, &none[i]);
        p = answer(s);
        assert_null(p.rgba);
    }
    still_ask(s, &(struct still_want){clip_file_of("ntsc.mp4"), INT64_C(3600000000), 64, 36});
    p = answer(s);
    assert_null(p.rgba);
    still_close(s);
}

/* Closed in the middle of its work. */
static void it_ends_at_once(void **state)
{
    (void)state;
    for (int k = 0; k < 20; k++) {
        struct still *s = still_open();
        still_ask(s, &(struct still_want){clip_file_of("ntsc.mp4"), 3000000, 640, 360});
        still_close(s);
    }
    still_close(NULL);
}

int main(void)
{
    struct cases all = {0};
    case_test(&all, the_frame_of_the_moment_keeps_its_shape);
    case_test(&all, the_newest_wish_is_answered_and_no_other);
    case_test(&all, what_is_no_picture_is_answered_with_none);
    case_test(&all, it_ends_at_once);
    return cases_run(&all, "stills");
}
