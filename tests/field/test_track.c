/* The camera of every frame: which one a time shows, what the whole says, and its bytes, whose layout
 * is that of man/boxcall-show.5 (camera_track, camera_piece). */
#include <math.h>
#include <string.h>

#include "field/track.h"
#include "lib/cases.h"

/* --- looking a time up ---------------------------------------------------------------------------- */

enum { MS = 1000, PIECES = 3, FRAMES = 4 };

/* Three pieces of four frames: at 100, 140 ... 220 ms, 300 ... 420, 500 ... 620. The second frame of the
 * second piece is not held. What moves tells piece and frame. */
struct followed {
    struct track track;
    struct track_piece piece[PIECES];
    struct track_frame frame[PIECES][FRAMES];
};

static void follow(struct followed *f)
{
    *f = (struct followed){.track = {.fixed = {.width = 1280, .height = 720, .half = 960},
                                     .from_us = 100 * MS,
                                     .to_us = 620 * MS,
                                     .n = PIECES}};
    f->track.at = f->piece;
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        f->track.fixed.p[i] = 100 + i;
    for (int p = 0; p < PIECES; p++) {
        f->piece[p] =
            (struct track_piece){.from_us = (100 + 200 * p) * MS, .at = f->frame[p], .n = FRAMES};
        f->piece[p].cov[CAMERA_PAN][CAMERA_PAN] = p + 1;
        for (int k = 0; k < FRAMES; k++)
            f->frame[p][k] = (struct track_frame){
                .us = f->piece[p].from_us + 40 * MS * k,
                .held = !(p == 1 && k == 1),
                .moving = {(float)(p * 0.125 + k * 0.03125), 0.25F, 0.5F, (float)(1000 + 100 * p)}};
    }
}

/* Pieces that come from the middle outwards, as they are followed, are the same track in the end. */
static void a_track_grows_both_ways(void **state)
{
    (void)state;
    static const int order[PIECES] = {1, 2, 0};
    struct followed f;
    struct arena a = {0};
    struct track t = {.from_us = 1, .to_us = 0};
    follow(&f);
    for (int i = 0; i < PIECES; i++) {
        struct track_piece one = f.piece[order[i]];
        struct track_frame own[FRAMES];
        memcpy(own, one.at, sizeof own);
        one.at = own;
        const struct track by_then = {.from_us = 1000 + i, .to_us = 2000 + i, .whole = i == 2};
        track_extend(&a, &t, &by_then, &one);
        memset(own, 0, sizeof own); /* what it was given is not what it keeps */
        assert_int_equal(t.n, i + 1);
        assert_true(t.from_us == 1000 + i && t.to_us == 2000 + i && t.whole == (i == 2));
    }
    track_extend(&a, &t, &f.track, NULL);
    assert_true(t.n == PIECES && t.from_us == f.track.from_us && t.to_us == f.track.to_us);
    for (int p = 0; p < PIECES; p++) {
        assert_int_equal(t.at[p].from_us, f.piece[p].from_us);
        assert_memory_equal(t.at[p].at, f.frame[p], sizeof f.frame[p]);
        assert_memory_equal(t.at[p].cov, f.piece[p].cov, sizeof f.piece[p].cov);
    }
    arena_free(&a);
}

static const struct look {
    const char *name;
    int64_t us;
    bool whole;
    int piece, frame; /* -1: none */
} looks[] = {
    {"before the first frame nothing is known", 100 * MS - 1, false, -1, 0},
    {"nor in a track of all of the clip, whose first frame comes late", 99 * MS, true, -1, 0},
    {"the first frame", 100 * MS, false, 0, 0},
    {"shows until the next one", 140 * MS - 1, false, 0, 0},
    {"the next one", 140 * MS, false, 0, 1},
    {"the last of a piece shows until the next piece", 300 * MS - 1, false, 0, 3},
    {"the first of another piece", 300 * MS, false, 1, 0},
    {"a frame that is not held", 350 * MS, false, 1, 1},
    {"the last frame", 620 * MS, false, 2, 3},
    {"shows a while behind it", 620 * MS + 499 * MS, false, 2, 3},
    {"not for ever while the rest was not followed", 620 * MS + 500 * MS, false, -1, 0},
    {"but to the end when it is the clip's last", 60000 * MS, true, 2, 3},
};

static void shows(void **state)
{
    const struct look *l = *state;
    struct followed f;
    struct seen_by by;
    bool held;
    follow(&f);
    f.track.whole = l->whole;
    const struct track_frame *got = track_frame_at(&f.track, l->us);
    assert_int_equal(track_at(&f.track, l->us, &by, &held), l->piece >= 0);
    if (l->piece < 0) {
        assert_null(got);
        return;
    }
    const struct track_frame *want = &f.frame[l->piece][l->frame];
    assert_ptr_equal(got, want);
    assert_int_equal(held, want->held);
    assert_true(by.cov[CAMERA_PAN][CAMERA_PAN] == l->piece + 1);
    const double camera[CAMERA_PARAMETERS] = {
        100, 101, 102, (double)want->moving[0], 0.25, 0.5, (double)want->moving[3], 107, 108};
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        assert_true(by.camera.p[i] == camera[i]);
    assert_true(by.camera.width == 1280 && by.camera.height == 720 && by.camera.half == 960);
}

static void of_nothing_nothing_is_known(void **state)
{
    (void)state;
    const struct track none = {.from_us = 1, .to_us = 0};
    const struct track_sum s = track_sum(&none);
    assert_null(track_frame_at(&none, 0));
    assert_true(s.frames == 0 && s.lost == 0 && s.turned == 0 && s.zoomed == 0);
}

/* pan from 0 to 0.25 + 3 * 0.03125, the frame that is not held left out; focal length 1000 to 1200. */
static void the_sum_is_of_the_frames_that_are_held(void **state)
{
    (void)state;
    struct followed f;
    follow(&f);
    f.frame[1][1].moving[0] = 3;
    f.frame[1][1].moving[3] = 1;
    const struct track_sum s = track_sum(&f.track);
    assert_int_equal(s.frames, 12);
    assert_int_equal(s.lost, 1);
    assert_true(s.turned == 0.34375);
    assert_true(fabs(s.zoomed - 0.2) < 1e-12);
    f.frame[0][0].moving[1] = 0.25F + 0.5F; /* tilt counts as pan does */
    assert_true(fabs(track_sum(&f.track).turned - hypot(0.34375, 0.5)) < 1e-12);
}

/* --- bytes ----------------------------------------------------------------------------------------- */

/* By hand. 40000 us after from_us = 0x00009c40, held; then IEEE 754 binary32: pan 0.5 = 3f000000,
 * tilt 0.25 = 3e800000, roll -2 = c0000000, focal 1000 = 447a0000. */
static const unsigned char one_frame[TRACK_FRAME_BYTES] = {
    0x40, 0x9c, 0, 0, 1, 0, 0, 0, 0x3f, 0, 0, 0x80, 0x3e, 0, 0, 0, 0xc0, 0, 0, 0x7a, 0x44};

static void bytes_are_laid_out_as_the_man_page_says(void **state)
{
    (void)state;
    struct track_frame at[1];
    struct track_piece p = {.from_us = 7000000, .at = at};
    unsigned char again[TRACK_FRAME_BYTES];
    assert_true(track_frames_take(one_frame, sizeof one_frame, &p));
    assert_int_equal(p.n, 1);
    assert_int_equal(at[0].us, 7040000);
    assert_true(at[0].held);
    assert_true(at[0].moving[0] == 0.5F && at[0].moving[1] == 0.25F && at[0].moving[2] == -2.0F &&
                at[0].moving[3] == 1000.0F);
    track_frames_put(&p, again);
    assert_memory_equal(again, one_frame, sizeof again);
}

/* The k-th number of the upper triangle, row by row, is k + 1: x's own first, then x with y; the second
 * row begins at the tenth. */
static void the_covariance_is_the_upper_triangle_row_by_row(void **state)
{
    (void)state;
    unsigned char bytes[TRACK_COV_BYTES] = {0}, again[TRACK_COV_BYTES];
    struct track_piece p = {0};
    int k = 0;
    for (; k < 45; k++) { /* whole numbers to 45 as binary32, by frexp */
        int e;
        const double m = frexp(k + 1, &e); /* 0.5 <= m < 1 */
        const uint32_t bits = (uint32_t)(126 + e) << 23 | (uint32_t)((m * 2 - 1) * 8388608);
        for (int i = 0; i < 4; i++)
            bytes[4 * k + i] = (unsigned char)(bits >> 8 * i);
    }
    assert_true(track_cov_take(bytes, sizeof bytes, &p));
    k = 0;
    for (int i = 0; i < CAMERA_PARAMETERS; i++)
        for (int j = i; j < CAMERA_PARAMETERS; j++, k++)
            assert_true(p.cov[i][j] == k + 1 && p.cov[j][i] == k + 1);
    assert_true(p.cov[CAMERA_Y][CAMERA_Y] == 10);
    track_cov_put(&p, again);
    assert_memory_equal(again, bytes, sizeof again);
    assert_false(track_cov_take(bytes, sizeof bytes - 4, &p));
    assert_false(track_cov_take(bytes, 0, &p));
    memcpy(bytes + 4 * 9, "\0\0\x80\x7f", 4); /* infinite */
    assert_false(track_cov_take(bytes, sizeof bytes, &p));
}

static void what_is_unsure_is_the_upper_triangle_of_five(void **state)
{
    (void)state;
    static const int fixed[] = {CAMERA_X, CAMERA_Y, CAMERA_Z, CAMERA_K1, CAMERA_CROWN};
    struct track t = {.views = 1}, back = {0};
    unsigned char bytes[TRACK_UNSURE_BYTES];
    for (int i = 0; i < 5; i++)
        for (int k = 0; k < 5; k++)
            t.unsure[fixed[i]][fixed[k]] = i == k ? 2 : 0.25 * (i + k);
    track_unsure_put(&t, bytes);
    /* 2 = 0x40000000, 0.25 = 0x3e800000 (IEEE 754), row by row: X X, X Y ... then Y Y */
    assert_memory_equal(bytes, "\0\0\0\x40\0\0\x80\x3e", 8);
    assert_memory_equal(bytes + 4 * 5, "\0\0\0\x40", 4);
    assert_memory_equal(bytes + 4 * 14, "\0\0\0\x40", 4);
    assert_true(track_unsure_take(bytes, sizeof bytes, &back));
    assert_memory_equal(back.unsure, t.unsure, sizeof t.unsure);
    assert_false(track_unsure_take(bytes, sizeof bytes - 1, &back));
    assert_false(track_unsure_take(bytes, 20, &back));
    bytes[3] = 0x7f, bytes[2] = 0xc0; /* no number */
    assert_false(track_unsure_take(bytes, sizeof bytes, &back));
    track_unsure_put(&t, bytes);
    bytes[3] = 0xc0; /* a variance below nothing */
    assert_false(track_unsure_take(bytes, sizeof bytes, &back));
    track_unsure_put(&t, bytes);
    bytes[7] = 0xbe; /* two that go against each other are well */
    assert_true(track_unsure_take(bytes, sizeof bytes, &back));
}

static void a_piece_comes_back_as_it_went(void **state)
{
    (void)state;
    struct followed f;
    unsigned char bytes[FRAMES * TRACK_FRAME_BYTES];
    struct track_frame at[FRAMES];
    follow(&f);
    f.frame[1][3].us = f.piece[1].from_us + INT64_C(3600000000); /* an hour */
    track_frames_put(&f.piece[1], bytes);
    struct track_piece back = {.from_us = f.piece[1].from_us, .at = at};
    assert_true(track_frames_take(bytes, sizeof bytes, &back));
    assert_int_equal(back.n, FRAMES);
    for (int k = 0; k < FRAMES; k++) {
        assert_int_equal(at[k].us, f.frame[1][k].us);
        assert_int_equal(at[k].held, f.frame[1][k].held);
        assert_memory_equal(at[k].moving, f.frame[1][k].moving, sizeof at[k].moving);
    }
}

/* A piece whose third frame is bent; the first of its numbers is one half, as IEEE 754 has it. */
static void bends_are_laid_out_as_the_man_page_says(void **state)
{
    (void)state;
    struct followed f;
    unsigned char bytes[FRAMES * TRACK_BEND_BYTES];
    static const unsigned char half[4] = {0, 0, 0, 0x3f}, eighth[4] = {0, 0, 0, 0xbe};
    follow(&f);
    assert_false(track_bent(&f.piece[0]));
    f.frame[0][2].bend[0] = 0.5F;
    f.frame[0][2].bend[BENDS - 1] = -0.125F;
    assert_true(track_bent(&f.piece[0]));
    assert_int_equal(track_sum(&f.track).bent, 1);
    track_bends_put(&f.piece[0], bytes);
    assert_memory_equal(bytes + 64, half, 4);
    assert_memory_equal(bytes + 92, eighth, 4);
    struct track_frame at[FRAMES] = {0};
    struct track_piece back = {.at = at, .n = FRAMES};
    assert_true(track_bends_take(bytes, sizeof bytes, &back));
    for (int k = 0; k < FRAMES; k++)
        assert_memory_equal(at[k].bend, f.frame[0][k].bend, sizeof at[k].bend);
    const struct camera c = track_camera(&f.track, &f.frame[0][2]);
    assert_true(c.bend[0] == 0.5 && c.bend[7] == -0.125);
}

static void bends_that_are_none_are_refused(void **state)
{
    (void)state;
    struct followed f;
    unsigned char bytes[FRAMES * TRACK_BEND_BYTES];
    follow(&f);
    track_bends_put(&f.piece[0], bytes);
    assert_true(track_bends_take(bytes, sizeof bytes, &f.piece[0]));
    assert_true(track_bends_take(bytes, 0, &f.piece[0]));
    assert_false(track_bends_take(bytes, sizeof bytes - 1, &f.piece[0]));
    assert_false(track_bends_take(bytes, TRACK_BEND_BYTES, &f.piece[0]));
    memcpy(bytes + 40, "\0\0\xc0\x7f", 4); /* no number */
    assert_false(track_bends_take(bytes, sizeof bytes, &f.piece[0]));
    memcpy(bytes + 40, "\0\0\x80\x40", 4); /* by two widths */
    assert_false(track_bends_take(bytes, sizeof bytes, &f.piece[0]));
}

static const struct broken {
    const char *name;
    size_t n;  /* bytes that are given of two frames */
    size_t at; /* where bytes are put */
    const char *bytes;
    size_t put;
} broken[] = {
    {"no frame", 0, 0, "", 0},
    {"less than a frame", 20, 0, "", 0},
    {"a frame and a bit", 41, 0, "", 0},
    {"a frame and one byte", 22, 0, "", 0},
    {"a pan that is no number", 42, 5, "\0\0\xc0\x7f", 4},
    {"a tilt without end", 42, 9, "\0\0\x80\x7f", 4},
    {"a roll without end the other way", 42, 13, "\0\0\x80\xff", 4},
    {"a focal length of nothing", 42, 17, "\0\0\0\0", 4},
    {"a focal length below nothing", 42, 38, "\0\0\x7a\xc4", 4},
    {"two frames at one time", 42, 21, "\x40\x9c\0\0", 4},
    {"a frame before the one before it", 42, 21, "\x3f\x9c\0\0", 4},
    {"a first frame beyond the hour of its piece", 21, 0, "\xff\xff\xff\xff", 4},
    {"a byte that is neither held nor lost", 42, 4, "\2", 1},
};

static void is_no_tracks(void **state)
{
    const struct broken *b = *state;
    unsigned char bytes[2 * TRACK_FRAME_BYTES];
    struct track_frame at[3];
    struct track_piece p = {.from_us = 0, .at = at};
    memcpy(bytes, one_frame, sizeof one_frame);
    memcpy(bytes + TRACK_FRAME_BYTES, one_frame, sizeof one_frame);
    bytes[TRACK_FRAME_BYTES] = 0x41;
    assert_true(track_frames_take(bytes, sizeof bytes, &p)); /* whole without the damage */
    memcpy(bytes + b->at, b->bytes, b->put);
    assert_false(track_frames_take(bytes, b->n, &p));
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, looks, shows);
    case_test(&all, of_nothing_nothing_is_known);
    case_test(&all, the_sum_is_of_the_frames_that_are_held);
    case_test(&all, bytes_are_laid_out_as_the_man_page_says);
    case_test(&all, the_covariance_is_the_upper_triangle_row_by_row);
    case_test(&all, what_is_unsure_is_the_upper_triangle_of_five);
    case_test(&all, a_piece_comes_back_as_it_went);
    case_test(&all, bends_are_laid_out_as_the_man_page_says);
    case_test(&all, bends_that_are_none_are_refused);
    cases_of(&all, broken, is_no_tracks);
    case_test(&all, a_track_grows_both_ways);
    return cases_run(&all, "tracks");
}
