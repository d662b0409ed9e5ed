#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "player/watch.h"
#include "sys/clock.h"

static void a_clip_plays_in_real_time_without_a_sound_device(void **state)
{
    (void)state;
    static const char *const clips[] = {"fast60.mp4", "turn90.mp4"}; /* with and without sound */
    static const double length_s[] = {3, 1};
    for (size_t i = 0; i < 2; i++) {
        struct watch w;
        watch_open(&w, clips[i], 0, true);
        watch_until(&w, watch_frame_past, 1);
        const int64_t begin = clock_mono_us(), from_us = w.s.at_us;
        WATCH(&w, watch_ended);
        const double took_s = (double)(clock_mono_us() - begin) / 1e6;
        assert_true(took_s > length_s[i] - (double)from_us / 1e6 - 0.15);
        assert_false(w.s.playing);
        assert_int_equal(w.s.frame, clip_row(clips[i])->frames - 1);
        assert_int_equal(w.bars, w.s.frame);
        /* Nearly every picture carries the time of its own frame, also while playing. */
        assert_true(w.strays * 10 <= w.pictures);
        watch_close(&w);
    }
}

static void at_its_end_a_clip_halts_and_plays_again_from_the_start(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "ntsc.mp4", 3800000, true);
    WATCH(&w, watch_ended);
    assert_int_equal(w.s.frame, 119);
    assert_int_equal(w.bars, 119);
    player_play(w.p, true);
    WATCH(&w, watch_settled);
    watch_until(&w, watch_frame_past, 3);
    assert_true(w.s.frame < 60);
    assert_true(w.s.playing);
    assert_false(w.s.ended);
    watch_close(&w);
}

static void a_halt_tells_the_time_of_the_frame_that_stays_on_screen(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "fast60.mp4", 0, true);
    for (int k = 0; k < 5; k++) {
        const int seen = w.pictures;
        player_play(w.p, true);
        watch_until(&w, watch_pictures, seen + 7);
        player_play(w.p, false);
        WATCH(&w, watch_settled);
        /* The last picture may be under way; a seek to the same frame brings it for certain. */
        const int64_t frame = w.s.frame;
        player_step(w.p, 1);
        WATCH(&w, watch_settled);
        assert_int_equal(w.s.frame, frame + 1);
        assert_int_equal(w.bars, frame + 1);
    }
    watch_close(&w);
}

static bool wrapped(const struct watch *w, int64_t arg)
{
    static int64_t last, times;
    if (arg == 0)
        last = times = 0;
    times += w->s.frame < last;
    last = w->s.frame;
    return arg > 0 && times >= arg;
}

static void a_loop_repeats_its_stretch(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    WATCH(&w, watch_settled);
    player_loop(w.p, 1001000, 1501500);
    player_seek(w.p, 1201200);
    WATCH(&w, watch_settled);
    player_play(w.p, true);
    wrapped(&w, 0);
    watch_until(&w, wrapped, 2);
    for (int k = 0; k < 20; k++) {
        const int seen = w.pictures;
        watch_until(&w, watch_pictures, seen);
        assert_in_range(w.bars, 30, 46);
    }
    assert_int_equal(w.s.loop_a_us, 1001000);
    assert_int_equal(w.s.loop_b_us, 1501500);
    player_loop(w.p, 5, 5);
    watch_until(&w, watch_frame_past, 50);
    assert_int_equal(w.s.loop_a_us, -1);
    watch_close(&w);
}

static void a_loop_to_the_very_end_goes_on(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "turn180.mp4", 0, false);
    WATCH(&w, watch_settled);
    player_loop(w.p, 600000, 5000000);
    player_seek(w.p, 700000);
    player_play(w.p, true);
    wrapped(&w, 0);
    watch_until(&w, wrapped, 2);
    assert_true(w.s.playing);
    watch_close(&w);
}

static void speed_is_clamped_and_changes_how_long_a_stretch_takes(void **state)
{
    (void)state;
    int64_t took[2];
    for (int k = 0; k < 2; k++) {
        struct watch w;
        watch_open(&w, "ntsc.mp4", 0, false);
        WATCH(&w, watch_settled);
        player_speed(w.p, k ? 99 : 0.5);
        player_play(w.p, true);
        watch_until(&w, watch_frame_past, 0);
        assert_true(w.s.speed == (k ? 2 : 0.5));
        const int64_t begin = clock_mono_us(), from_us = w.s.at_us;
        watch_until(&w, watch_frame_past, 25);
        took[k] = (clock_mono_us() - begin) * 1000 / (w.s.at_us - from_us);
        player_speed(w.p, 0);
        w.s = player_poll(w.p);
        assert_true(w.s.speed == 0.25);
        watch_close(&w);
    }
    assert_true(took[0] > 2 * took[1]); /* a ratio within the run; 4 when nothing disturbs */
}

static void a_clip_without_picture_plays_and_says_so(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "sound.mp4", 0, false);
    WATCH(&w, watch_settled);
    assert_int_equal(w.s.status, PLAYER_READY);
    assert_false(w.s.has_video);
    assert_true(w.s.has_sound);
    assert_int_equal(w.s.frame, -1);
    assert_non_null(strstr(w.s.message, "sound only"));
    player_seek(w.p, 2500000);
    WATCH(&w, watch_settled);
    assert_in_range(w.s.at_us, 2400000, 2600000);
    player_step(w.p, 3); /* there is nothing to step by */
    WATCH(&w, watch_settled);
    assert_in_range(w.s.at_us, 2400000, 2600000);
    player_play(w.p, true);
    WATCH(&w, watch_ended);
    watch_close(&w);
}

static void another_pane_size_brings_the_same_picture_again(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "ntsc.mp4", 1001000, false);
    WATCH(&w, watch_settled);
    const int64_t serial = w.f.serial;
    static const int sizes[][2] = {{384, 216}, {64, 36}, {1, 1}, {1001, 563}};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes; i++) {
        const int seen = w.pictures;
        player_pane_size(w.p, sizes[i][0], sizes[i][1]);
        watch_until(&w, watch_pictures, seen);
        assert_int_equal(w.f.width, sizes[i][0]);
        assert_int_equal(w.f.height, sizes[i][1]);
        assert_int_equal(w.f.serial, serial);
        if (sizes[i][0] > 1)
            assert_int_equal(w.bars, 30);
    }
    watch_close(&w);
}

static void a_picture_stays_as_it_is_until_the_next_is_taken(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "fast60.mp4", 0, true);
    watch_until(&w, watch_pictures, 3);
    const size_t bytes = w.f.stride * (size_t)w.f.height;
    uint8_t *copy = malloc(bytes);
    memcpy(copy, w.f.rgba, bytes);
    const uint8_t *held = w.f.rgba;
    const int64_t until = w.s.frame + 20;
    while (player_poll(w.p).frame < until)
        ;
    assert_memory_equal(copy, held, bytes);
    free(copy);
    watch_close(&w);
}

/* HLG is not stretched beyond white: the bars are drawn at code value 220 of 235, so they must
 * stay below full white. */
static void bright_clips_are_not_blown_out(void **state)
{
    (void)state;
    struct watch w;
    watch_open(&w, "bright.mp4", 0, false);
    WATCH(&w, watch_settled);
    player_seek(w.p, 500000);
    WATCH(&w, watch_settled);
    const uint8_t *lower_left = w.f.rgba + w.f.stride * 80 + 40;
    assert_int_equal(w.bars, 15);
    assert_in_range(lower_left[1], 0, 60);
    const uint8_t *lower_right = w.f.rgba + w.f.stride * 80 + 150 * 4;
    assert_in_range(lower_right[1], 180, 250);
    watch_close(&w);
}

/* Cuts a copy of a clip after that part of its bytes. */
static char *cut_clip(const char *from, const char *name, int percent)
{
    char *source = clip_path(from), *path = clip_path(name);
    assert_non_null(source);
    char line[9000];
    snprintf(line, sizeof line, "head -c $(($(stat -c %%s '%s') * %d / 100)) '%s' > '%s'", source,
             percent, source, path);
    assert_int_equal(system(line), 0);
    free(source);
    return path;
}

static void of_a_cut_clip_what_is_there_can_be_seen(void **state)
{
    (void)state;
    char *path = cut_clip("front.mp4", "cut.mp4", 60);
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    watch_load(&w, path, 0, false);
    WATCH(&w, watch_settled);
    assert_int_equal(w.s.status, PLAYER_READY);
    assert_true(w.s.length_us < 3500000);
    for (int k = 0; k < 3; k++) {
        player_seek(w.p, 3900000 - k * 1000000);
        WATCH(&w, watch_settled);
        assert_int_equal(w.s.at_us, player_frame_time(w.p, w.s.frame));
        assert_int_equal(w.bars, w.s.frame);
    }
    player_play(w.p, true);
    WATCH(&w, watch_ended);
    watch_close(&w);
    free(path);
}

static void what_is_no_clip_fails_with_a_line_that_helps(void **state)
{
    (void)state;
    char *cut = cut_clip("ntsc.mp4", "headless.mp4", 50); /* its index was at the end */
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    watch_load(&w, cut, 0, true);
    WATCH(&w, watch_settled);
    assert_int_equal(w.s.status, PLAYER_FAILED);
    assert_non_null(strstr(w.s.message, "headless.mp4: not a clip this program can read"));
    assert_non_null(strstr(w.s.message, "copy it from the phone again"));
    assert_false(w.s.playing);
    struct err e = {0};
    assert_false(player_load(w.p, "/nowhere/clip.mp4", 0, false, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_false(player_load(w.p, "http://localhost/clip.mp4", 0, false, &e));
    /* and the next clip opens */
    watch_load(&w, w.path, 0, false);
    WATCH(&w, watch_settled);
    assert_int_equal(w.s.status, PLAYER_READY);
    assert_string_equal(w.s.message, "");
    assert_int_equal(w.bars, 0);
    watch_close(&w);
    free(cut);
}

static void of_two_loads_in_a_row_the_second_counts(void **state)
{
    (void)state;
    struct watch w;
    char *other = clip_path("trimmed.mp4");
    watch_open(&w, "ntsc.mp4", 2000000, true);
    watch_load(&w, other, 0, false);
    WATCH(&w, watch_settled);
    assert_int_equal(w.bars, 39);
    assert_int_equal(w.s.frame, 0);
    assert_int_equal(w.s.length_us, 2702700);
    assert_false(w.s.playing);
    assert_false(w.s.has_sound);
    watch_close(&w);
    free(other);
}

static void a_clips_name_may_hold_anything(void **state)
{
    (void)state;
    static const char *const names[] = {"it's 100% #1 [run] ${pid}.mp4", "-v.mp4", "a://b.mp4",
                                        "\xff\xfe bad.mp4", "two\nlines?t=1.mp4"};
    char *clip = clip_path("second.mp4");
    assert_non_null(clip);
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
        char path[4200], folder[4200];
        snprintf(folder, sizeof folder, "%.4000s/a:", clip_folder());
        mkdir(folder, 0777);
        snprintf(path, sizeof path, "%.4000s/%s", clip_folder(), names[i]);
        unlink(path);
        assert_int_equal(link(clip, path), 0);
        watch_load(&w, path, 0, false);
        WATCH(&w, watch_settled);
        assert_int_equal(w.s.status, PLAYER_READY);
        player_seek(w.p, 500500);
        WATCH(&w, watch_settled);
        assert_int_equal(w.bars, 15);
        unlink(path);
    }
    watch_close(&w);
    free(clip);
}

static void the_persons_own_player_settings_are_not_read(void **state)
{
    (void)state;
    char home[4096], file[9000];
    snprintf(home, sizeof home, "%s/home", clip_folder());
    snprintf(file, sizeof file, "mkdir -p '%s/.config/mpv/scripts' '%s/.mpv'", home, home);
    assert_int_equal(system(file), 0);
    static const char *const places[] = {".config/mpv/mpv.conf", ".mpv/config"};
    for (size_t i = 0; i < 2; i++) {
        snprintf(file, sizeof file, "%s/%s", home, places[i]);
        FILE *out = fopen(file, "w");
        assert_non_null(out);
        fputs("start=2\nspeed=1.7\nvf=hflip\nvideo-zoom=1\nno-video\n", out);
        fclose(out);
    }
    snprintf(file, sizeof file, "%s/.config/mpv/scripts/quit.lua", home);
    FILE *out = fopen(file, "w");
    assert_non_null(out);
    fputs("mp.command('quit')\n", out);
    fclose(out);
    char *kept = getenv("HOME") ? strdup(getenv("HOME")) : NULL;
    setenv("HOME", home, 1);
    unsetenv("XDG_CONFIG_HOME");
    struct watch w;
    watch_open(&w, "ntsc.mp4", 0, false);
    WATCH(&w, watch_settled);
    assert_int_equal(w.s.status, PLAYER_READY);
    assert_int_equal(w.s.at_us, 0);
    player_seek(w.p, 1001000);
    WATCH(&w, watch_settled);
    assert_int_equal(w.bars, 30);
    watch_close(&w);
    if (kept)
        setenv("HOME", kept, 1);
    free(kept);
}

/* The terminal belongs to the screen: nothing below may write on it. */
static void no_library_prints_on_standard_error(void **state)
{
    (void)state;
    char path[4096];
    snprintf(path, sizeof path, "%s/stderr.txt", clip_folder());
    int kept = dup(2), file = open(path, O_RDWR | O_CREAT | O_TRUNC, 0666);
    assert_true(kept >= 0 && file >= 0);
    struct err e = {0};
    struct watch w = {0};
    char *cut = cut_clip("front.mp4", "chatter.mp4", 70), *clip = clip_path("ntsc.mp4");
    dup2(file, 2);
    const bool opened =
        player_open(&w.p, &(struct player_want){.view = PLAYER_PANE, .sound = true}, &e);
    if (opened) {
        watch_load(&w, cut, 0, true);
        WATCH(&w, watch_ended);
        watch_load(&w, clip, 3500000, true);
        WATCH(&w, watch_ended);
    }
    watch_close(&w);
    dup2(kept, 2);
    close(kept);
    struct stat st;
    assert_int_equal(fstat(file, &st), 0);
    close(file);
    free(cut);
    free(clip);
    assert_true(opened);
    assert_int_equal(st.st_size, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_clip_plays_in_real_time_without_a_sound_device),
        cmocka_unit_test(at_its_end_a_clip_halts_and_plays_again_from_the_start),
        cmocka_unit_test(a_halt_tells_the_time_of_the_frame_that_stays_on_screen),
        cmocka_unit_test(a_loop_repeats_its_stretch),
        cmocka_unit_test(a_loop_to_the_very_end_goes_on),
        cmocka_unit_test(speed_is_clamped_and_changes_how_long_a_stretch_takes),
        cmocka_unit_test(a_clip_without_picture_plays_and_says_so),
        cmocka_unit_test(another_pane_size_brings_the_same_picture_again),
        cmocka_unit_test(a_picture_stays_as_it_is_until_the_next_is_taken),
        cmocka_unit_test(bright_clips_are_not_blown_out),
        cmocka_unit_test(of_a_cut_clip_what_is_there_can_be_seen),
        cmocka_unit_test(what_is_no_clip_fails_with_a_line_that_helps),
        cmocka_unit_test(of_two_loads_in_a_row_the_second_counts),
        cmocka_unit_test(a_clips_name_may_hold_anything),
        cmocka_unit_test(the_persons_own_player_settings_are_not_read),
        cmocka_unit_test(no_library_prints_on_standard_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
