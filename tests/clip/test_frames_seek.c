/* Going on from another moment. What the clip holds is known from decoding it once from end to end,
 * which seeks nowhere and skips nothing: every picture that comes after a seek is held against that
 * one to the bit, and its time too. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "clip/frames.h"
#include "lib/cases.h"
#include "clip/clip_file.h"

enum { WIDTH = 96, AFTER = 3 };

struct whole {
    size_t n, cap, bytes;
    int64_t *us;
    uint8_t *px; /* one picture after the other */
};

static struct frames *open_at(const char *path, int64_t from_us, bool showing)
{
    struct frames *f;
    struct err e;
    if (!frames_open(&f,
                     &(struct frames_want){.path = path,
                                           .kind = FRAMES_RGB,
                                           .width = WIDTH,
                                           .from_us = from_us,
                                           .showing = showing},
                     &e))
        fail_msg("%s", e.text);
    return f;
}

static struct whole decode_whole(const char *path)
{
    struct whole w = {0};
    struct frames *f = open_at(path, 0, false);
    struct frame fr;
    struct err e;
    while (frames_next(f, &fr, &e)) {
        w.bytes = (size_t)fr.width * (size_t)fr.height * 3;
        if (w.n == w.cap) {
            w.cap = w.cap ? 2 * w.cap : 64;
            w.us = xrealloc(w.us, w.cap * sizeof *w.us);
            w.px = xrealloc(w.px, w.cap * w.bytes);
        }
        w.us[w.n] = fr.at_us;
        memcpy(w.px + w.n++ * w.bytes, fr.px, w.bytes);
    }
    assert_int_equal(e.code, ERR_NONE);
    assert_true(w.n > 10);
    frames_close(f);
    return w;
}

static void whole_free(struct whole *w)
{
    free(w->us);
    free(w->px);
}

/* What must come first. */
static size_t first_of(const struct whole *w, int64_t from_us, bool showing)
{
    size_t k = 0;
    while (k < w->n && w->us[k] < from_us)
        k++;
    const bool exact = k < w->n && w->us[k] == from_us;
    return showing && k > 0 && !exact ? k - 1 : k;
}

static void these_come(struct frames *f, const struct whole *w, size_t from)
{
    struct frame fr;
    struct err e;
    for (size_t k = from; k < from + AFTER; k++) {
        const bool got = frames_next(f, &fr, &e);
        assert_int_equal(got, k < w->n);
        if (!got) {
            assert_int_equal(e.code, ERR_NONE);
            return;
        }
        assert_int_equal(fr.at_us, w->us[k]);
        assert_memory_equal(fr.px, w->px + k * w->bytes, w->bytes);
    }
}

static int64_t some_moment(const struct whole *w, unsigned *chance)
{
    const unsigned a = *chance = *chance * 1664525 + 1013904223;
    const size_t k = (a >> 8) % w->n;
    switch (a >> 28) {
    case 0:
        return w->us[k] - 1;
    case 1:
        return w->us[k] + 1;
    case 2:
        return w->us[0] / 2;
    case 3:
        return w->us[w->n - 1] + 500000;
    default:
        return w->us[k];
    }
}

static void hops(const char *path, bool showing)
{
    struct whole w = decode_whole(path);
    struct frames *f = open_at(path, 0, showing);
    struct err e;
    unsigned chance = 7;
    for (int i = 0; i < 60; i++) {
        const int64_t at = some_moment(&w, &chance);
        const size_t first = first_of(&w, at, showing && at > 0);
        if (!frames_seek(f, at, &e))
            fail_msg("%s", e.text);
        these_come(f, &w, first);
        if (i % 6 == 0) { /* a fresh one does the same */
            struct frames *fresh = open_at(path, at, showing);
            these_come(fresh, &w, first);
            frames_close(fresh);
        }
    }
    frames_close(f);
    whole_free(&w);
}

/* In order of time, as the marks of a clip are: twice the same moment, the next frame, far ahead. */
static void strides(const char *path, bool showing)
{
    static const int64_t steps[] = {0, 1, 33000, 40000, 200000, 700000, 0, 1100000, 5000};
    struct whole w = decode_whole(path);
    struct frames *f = open_at(path, 0, showing);
    struct err e;
    int64_t at = 1;
    for (size_t i = 0; at < w.us[w.n - 1] + 400000; i++) {
        if (!frames_seek(f, at, &e))
            fail_msg("%s", e.text);
        these_come(f, &w, first_of(&w, at, showing));
        at += steps[i % (sizeof steps / sizeof *steps)];
    }
    frames_close(f);
    whole_free(&w);
}

static const struct row {
    const char *name;
} clips[] = {{"ntsc.mp4"},      {"fast240.mp4"}, {"varying.mp4"},     {"turn90.mp4"},
             {"turn180.mp4"},   {"turn270.mp4"}, {"late.mkv"},        {"stream.ts"},
             {"deep.mp4"},      {"bright.mp4"},  {"opengop.mp4"},     {"wide.mp4"},
             {"still.avi"},     {"trimmed.mp4"}, {"opus.webm"},       {"leading.ts"},
             {"mpeg2.ts"},      {"pyramid.mp4"}, {"sparse.mp4"},      {"layers.mp4"},
             {"latesound.mp4"}, {"front.mp4"},   {"latepicture.mp4"}, {"order.avi"},
             {"inorder.avi"},   {"order2.avi"},  {"pyramid.avi"}};

static void from_any_moment_the_same_pictures_come(void **state)
{
    const struct row *r = *state;
    hops(clip_file_of(r->name), false);
    strides(clip_file_of(r->name), false);
}

static void the_picture_that_shows_comes_first(void **state)
{
    const struct row *r = *state;
    hops(clip_file_of(r->name), true);
    strides(clip_file_of(r->name), true);
}

/* What the index of each kind of file is called in it; other bytes there, and nothing is found. */
static const struct broken {
    const char *name, *ending, *from, *tag;
    size_t n;
} broken[] = {
    {"an AVI without its index", ".avi", "still.avi", "idx1", 4},
    {"a Matroska file without its cues", ".mkv", "late.mkv", "\x1c\x53\xbb\x6b", 4},
    {"a Matroska file without its seek head", ".mkv", "late.mkv", "\x11\x4d\x9b\x74", 4},
    {"an MP4 where every frame says it can be begun at", ".mp4", "ntsc.mp4", "stss", 4},
};

static void a_broken_index_changes_nothing_that_a_fresh_start_shows(void **state)
{
    const struct broken *b = *state;
    size_t n, hits = 0;
    char *bytes = read_file(clip_file_of(b->from), &n);
    for (size_t i = 0; i + b->n < n; i++)
        if (memcmp(bytes + i, b->tag, b->n) == 0)
            bytes[i + 3] ^= 0x20, hits++;
    assert_true(hits > 0);
    const char *path =
        write_bytes(temp_dir(), arena_printf(test_arena(), "b%s", b->ending), bytes, n);
    struct whole w = decode_whole(path);
    struct frames *f = open_at(path, 0, false);
    struct err e;
    unsigned chance = 3;
    for (int i = 0; i < 40; i++) {
        const int64_t at = some_moment(&w, &chance);
        struct frames *fresh = open_at(path, at, false);
        struct frame want, got;
        const bool any = frames_next(fresh, &want, &e);
        assert_true(frames_seek(f, at, &e));
        assert_int_equal(frames_next(f, &got, &e), any);
        if (any) {
            assert_int_equal(got.at_us, want.at_us);
            assert_int_equal(got.at_us, w.us[first_of(&w, at, false)]);
            if (strcmp(b->tag, "stss") != 0) /* there each begins with other rubbish */
                assert_memory_equal(got.px, want.px, w.bytes);
        }
        frames_close(fresh);
    }
    frames_close(f);
    whole_free(&w);
}

static void a_cancelled_seek_ends_without_a_word_and_the_next_one_works(void **state)
{
    (void)state;
    atomic_bool cancel = false;
    struct frames *f;
    struct frame fr;
    struct err e;
    assert_true(frames_open(
        &f, &(struct frames_want){.path = clip_file_of("ntsc.mp4"), .width = 64, .cancel = &cancel},
        &e));
    atomic_store(&cancel, true);
    for (int64_t at = 0; at < 3000000; at += 1500000) {
        if (frames_seek(f, at, &e))
            assert_false(frames_next(f, &fr, &e));
        assert_int_equal(e.code, ERR_NONE);
    }
    atomic_store(&cancel, false);
    assert_true(frames_seek(f, 2000000, &e));
    assert_true(frames_next(f, &fr, &e));
    assert_in_range(fr.at_us, 2000000, 2034000);
    frames_close(f);
}

static void a_file_that_went_away_is_an_error_in_words(void **state)
{
    (void)state;
    size_t n;
    const char *bytes = read_file(clip_file_of("ntsc.mp4"), &n);
    const char *path = write_bytes(temp_dir(), "gone.mp4", bytes, n);
    struct frames *f = open_at(path, 1000000, false);
    struct frame fr;
    struct err e;
    assert_true(frames_next(f, &fr, &e));
    assert_int_equal(remove(path), 0);
    for (int i = 0; i < 2; i++) {
        assert_false(frames_seek(f, 0, &e));
        assert_int_equal(e.code, ERR_FAILED);
        assert_non_null(strstr(e.text, "gone.mp4: cannot be read"));
        assert_false(frames_next(f, &fr, &e));
        assert_int_equal(e.code, ERR_FAILED);
        assert_false(frames_seek(f, 500000, &e));
    }
    frames_close(f);
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, clips, from_any_moment_the_same_pictures_come);
    cases_of(&all, clips, the_picture_that_shows_comes_first);
    cases_of(&all, broken, a_broken_index_changes_nothing_that_a_fresh_start_shows);
    case_test(&all, a_cancelled_seek_ends_without_a_word_and_the_next_one_works);
    case_test(&all, a_file_that_went_away_is_an_error_in_words);
    return cases_run(&all, "going on from another moment");
}
