/* The frame number in each picture is drawn by the ffmpeg program, and the frames' times follow
 * from how the clip was made; neither comes from the code under test. */
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

#include <cmocka.h>

#include "player/inside.h"
#include "player/watch.h"

static const struct timing {
    const char *clip;
    int64_t first_us; /* of frame 0 */
    int64_t tick_us;  /* the container's clock, to which times are rounded */
} timings[] = {
    {"ntsc.mp4", 0, 1},       {"silent.mp4", 0, 1},  {"fast60.mp4", 0, 1},  {"fast240.mp4", 0, 1},
    {"varying.mp4", 0, 12},   {"turn90.mp4", 0, 1},  {"turn180.mp4", 0, 1}, {"turn270.mp4", 0, 1},
    {"late.mkv", 0, 1000},    {"stream.ts", -1, 12}, {"deep.mp4", 0, 1},    {"bright.mp4", 0, 1},
    {"opengop.mp4", 0, 1},    {"uhd.mp4", 0, 1},     {"wide.mp4", 0, 1},    {"still.avi", 0, 1},
    {"trimmed.mp4", 0, 1000},
};

/* Times of varying.mp4: the setpts expression of clips.c. */
static double due_us(const struct clip *clip, int64_t n)
{
    if (clip->fps > 0)
        return (double)n / clip->fps * 1e6;
    return (double)(n * 33 + n * 7 % 11 + 150 * (n / 20)) * 1000;
}

static void check_shown(const struct watch *w, int64_t frame)
{
    assert_string_equal(w->s.message, "");
    assert_int_equal(w->s.frame, frame);
    assert_int_equal(w->bars, frame);
    assert_int_equal(w->s.at_us, player_frame_time(w->p, frame));
    assert_int_equal(w->f.at_us, w->s.at_us);
}

static void seek_frame(struct watch *w, int64_t frame)
{
    player_seek(w->p, player_frame_time(w->p, frame));
    WATCH(w, watch_settled);
    check_shown(w, frame);
}

static void a_seek_to_a_frames_time_shows_that_frame(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof timings / sizeof *timings; i++) {
        const struct clip *clip = clip_row(timings[i].clip);
        struct watch w;
        watch_open(&w, clip->name, 0, false);
        WATCH(&w, watch_settled);
        print_message("%s\n", clip->name);
        check_shown(&w, 0);
        for (int k = 0; k < 14; k++)
            seek_frame(&w, k < 3 ? clip->frames - 1 - k : rand() % clip->frames);
        assert_int_equal(player_frame_time(w.p, clip->frames), -1);
        watch_close(&w);
    }
}

static void a_frames_time_is_that_of_the_container(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof timings / sizeof *timings; i++) {
        const struct timing *t = &timings[i];
        const struct clip *clip = clip_row(t->clip);
        struct watch w;
        watch_open(&w, clip->name, 0, false);
        WATCH(&w, watch_settled);
        const int64_t first = player_frame_time(w.p, 0);
        if (t->first_us >= 0)
            assert_int_equal(first, t->first_us);
        for (int64_t n = 0; n < clip->frames; n++) {
            const double off = (double)(player_frame_time(w.p, n) - first) - due_us(clip, n);
            assert_true(fabs(off) <= (double)t->tick_us);
        }
        assert_int_equal(w.s.width, clip->width);
        assert_int_equal(w.s.height, clip->height);
        assert_true(w.s.has_video);
        assert_int_equal(w.s.fps_varies, clip->fps == 0);
        if (clip->fps > 0)
            assert_true(fabs((double)w.s.fps_num / w.s.fps_den - clip->fps) < 1e-6);
        watch_close(&w);
    }
}

/* An AVI says only in which order its pictures are decoded. Of its last two libmpv may show one for
 * the other where some are decoded ahead. */
static void in_an_avi_pictures_stand_in_the_places_at_which_they_are_decoded(void **state)
{
    (void)state;
    static const char *const clips[] = {"inorder.avi", "order.avi", "order2.avi", "pyramid.avi"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        const struct clip *clip = clip_row(clips[i]);
        struct watch w;
        watch_open(&w, clip->name, 0, false);
        WATCH(&w, watch_settled);
        print_message("%s\n", clip->name);
        check_shown(&w, 0);
        for (int k = 0; k < 14; k++)
            seek_frame(&w, rand() % (clip->frames - 2));
        for (int64_t n = 0; n < clip->frames; n++)
            assert_true(fabs((double)player_frame_time(w.p, n) - due_us(clip, n)) <= 1);
        watch_close(&w);
    }
}

static void a_time_between_two_frames_shows_the_nearest(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "varying.mp4", 0, false);
    WATCH(&w, watch_settled);
    static const int64_t frames[] = {19, 5, 40, 88, 59}; /* 19, 59: before a hole of 183 ms */
    for (size_t i = 0; i < sizeof frames / sizeof *frames; i++) {
        const int64_t n = frames[i];
        const int64_t middle = (player_frame_time(w.p, n) + player_frame_time(w.p, n + 1)) / 2;
        player_seek(w.p, middle - 1000);
        WATCH(&w, watch_settled);
        check_shown(&w, n);
        player_seek(w.p, middle + 1000);
        WATCH(&w, watch_settled);
        check_shown(&w, n + 1);
    }
    watch_close(&w);
}

static void times_outside_the_clip_show_its_first_or_last_frame(void **state)
{
    (void)state;
    static const char *const clips[] = {"ntsc.mp4", "stream.ts", "late.mkv"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        struct watch w;
        watch_open(&w, clips[i], 0, false);
        WATCH(&w, watch_settled);
        player_seek(w.p, 3600000000);
        WATCH(&w, watch_settled);
        check_shown(&w, 119);
        player_seek(w.p, -5);
        WATCH(&w, watch_settled);
        check_shown(&w, 0);
        watch_close(&w);
    }
}

static void of_many_seeks_at_once_the_newest_wins(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "fast60.mp4", 0, false);
    WATCH(&w, watch_settled);
    for (int64_t n = 0; n < 100; n++) {
        player_seek(w.p, player_frame_time(w.p, n * 7 % 180));
        w.s = player_poll(w.p);
    }
    player_seek(w.p, player_frame_time(w.p, 77));
    WATCH(&w, watch_settled);
    check_shown(&w, 77);
    watch_close(&w);
}

static void steps_move_exactly_as_many_frames(void **state)
{
    (void)state;
    static const char *const clips[] = {"ntsc.mp4",  "fast240.mp4", "varying.mp4",
                                        "stream.ts", "turn270.mp4", "trimmed.mp4"};
    static const int moves[] = {1, 1, 1, -1, 3, -2, 20, -1, -1, -1, 5, -14, 2};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        struct watch w;
        watch_open(&w, clips[i], 0, false);
        WATCH(&w, watch_settled);
        int64_t frame = 2;
        seek_frame(&w, frame);
        for (size_t k = 0; k < sizeof moves / sizeof *moves; k++) {
            player_step(w.p, moves[k]);
            WATCH(&w, watch_settled);
            frame += moves[k];
            check_shown(&w, frame);
        }
        watch_close(&w);
    }
}

static void bursts_of_steps_add_up(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "fast60.mp4", 0, false);
    WATCH(&w, watch_settled);
    seek_frame(&w, 90);
    for (int i = 0; i < 25; i++) {
        player_step(w.p, 1);
        w.s = player_poll(w.p);
    }
    for (int i = 0; i < 40; i++) {
        player_step(w.p, -1);
        w.s = player_poll(w.p);
    }
    WATCH(&w, watch_settled);
    check_shown(&w, 75);
    watch_close(&w);
}

static void steps_stop_at_the_first_and_the_last_frame(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    WATCH(&w, watch_settled);
    player_step(w.p, -3);
    WATCH(&w, watch_settled);
    check_shown(&w, 0);
    seek_frame(&w, 117);
    for (int i = 0; i < 4; i++) {
        player_step(w.p, 1);
        WATCH(&w, watch_settled);
    }
    check_shown(&w, 119);
    player_step(w.p, -1);
    WATCH(&w, watch_settled);
    check_shown(&w, 118);
    watch_close(&w);
}

static void a_step_while_playing_halts_at_a_known_frame(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "fast60.mp4", 0, true);
    WATCH(&w, watch_settled);
    watch_until(&w, watch_frame_past, 20);
    const int64_t before = w.s.frame;
    player_step(w.p, -10);
    WATCH(&w, watch_settled);
    assert_false(w.s.playing);
    assert_in_range(w.s.frame, before - 10, before + 170);
    check_shown(&w, w.s.frame);
    const int64_t halted = w.s.frame;
    player_step(w.p, 2);
    WATCH(&w, watch_settled);
    check_shown(&w, halted + 2);
    watch_close(&w);
}

static void a_clip_opens_at_the_moment_asked_for(void **state)
{
    (void)state;
    static const char *const clips[] = {"ntsc.mp4", "stream.ts", "opengop.mp4", "fast240.mp4"};
    for (size_t i = 0; i < sizeof clips / sizeof *clips; i++) {
        struct watch w;
        watch_open(&w, clips[i], 900000, false);
        WATCH(&w, watch_settled);
        check_shown(&w, player_frame_at(w.p, 900000));
        assert_true(w.s.frame > 0);
        watch_close(&w);
    }
}

/* Takes the frame list away, as while a worker still reads it from a slow disk. */
static bool opened_without_list(const struct watch *w, int64_t arg)
{
    (void)arg;
    index_stop(w->p->job);
    w->p->job = NULL;
    return w->s.status == PLAYER_READY;
}

static bool unsought(const struct watch *w, int64_t arg)
{
    (void)arg;
    return !w->s.seeking && w->p->hunt.phase == PHASE_IDLE;
}

static void before_the_frame_list_is_read_seeks_and_steps_work(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    index_stop(w.p->job);
    w.p->job = NULL;
    WATCH(&w, opened_without_list);
    assert_int_equal(w.s.frame, -1);
    assert_int_equal(player_frame_time(w.p, 0), -1);
    player_seek(w.p, 1001000);
    WATCH(&w, unsought);
    assert_int_equal(w.bars, 30);
    assert_int_equal(w.s.at_us, 1001000);
    player_step(w.p, 2);
    WATCH(&w, unsought);
    assert_int_equal(w.bars, 32);
    player_step(w.p, -1);
    WATCH(&w, unsought);
    assert_int_equal(w.bars, 31);
    assert_int_equal(w.s.frame, -1);
    watch_close(&w);
}

static void halfway_between_two_frames_the_earlier_is_the_nearest(void **state)
{
    (void)state;
    int64_t us[] = {0, 1000, 3000};
    const struct player p = {.listed = true, .list = {.frame_us = us, .frames = 3}};
    assert_int_equal(player_frame_at(&p, 500), 0);
    assert_int_equal(player_frame_at(&p, 2000), 1);
    assert_int_equal(player_frame_at(&p, 2001), 2);
}

/* A key held in the window for 200 ms is repeated by libmpv: what types a sign is meant once. */
static void a_held_sign_is_one_key_and_a_held_arrow_many(void **state)
{
    (void)state;
    struct player p = {0};
    struct player_event ev;
    const char *const keys[][2] = {{"=", "="}, {"t", "t"}, {"LEFT", ""}};
    for (size_t k = 0; k < 3; k++)
        for (int i = 0; i < 3; i++)
            window_message(
                &p, 5,
                (const char *[]){"key-binding", "key", i ? "r-" : "d-", keys[k][0], keys[k][1]});
    const char *const want[] = {"=", "t", "Left", "Left", "Left"};
    for (size_t i = 0; i < 5; i++) {
        assert_true(player_event(&p, &ev));
        assert_string_equal(ev.key, want[i]);
    }
    assert_false(player_event(&p, &ev));
}

int main(void)
{
    srand(20260401);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_seek_to_a_frames_time_shows_that_frame),
        cmocka_unit_test(a_frames_time_is_that_of_the_container),
        cmocka_unit_test(in_an_avi_pictures_stand_in_the_places_at_which_they_are_decoded),
        cmocka_unit_test(a_time_between_two_frames_shows_the_nearest),
        cmocka_unit_test(halfway_between_two_frames_the_earlier_is_the_nearest),
        cmocka_unit_test(times_outside_the_clip_show_its_first_or_last_frame),
        cmocka_unit_test(of_many_seeks_at_once_the_newest_wins),
        cmocka_unit_test(steps_move_exactly_as_many_frames),
        cmocka_unit_test(bursts_of_steps_add_up),
        cmocka_unit_test(steps_stop_at_the_first_and_the_last_frame),
        cmocka_unit_test(a_step_while_playing_halts_at_a_known_frame),
        cmocka_unit_test(a_clip_opens_at_the_moment_asked_for),
        cmocka_unit_test(before_the_frame_list_is_read_seeks_and_steps_work),
        cmocka_unit_test(a_held_sign_is_one_key_and_a_held_arrow_many),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
