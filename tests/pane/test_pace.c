/* The pane never holds up a key: what may be out, when, on lines that are slow, silent or stuck.
 * Time is counted, not slept. */
#include <setjmp.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include <fcntl.h>
#include <signal.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "pane/hole.h"
#include "pane/wire.h"

/* A larger hole, since these are about many bytes. */
enum { BIG_ROWS = 40, BIG_COLS = 120 };

struct slow {
    struct sink sink;
    struct pane *pane;
    uint8_t px[BIG_ROWS * 2 * BIG_COLS * 4];
    unsigned seed;
};

static void slow_open(struct slow *s, struct term_caps caps)
{
    struct err e = {0};
    s->seed = 11;
    sink_open(&s->sink, BIG_ROWS + 2, BIG_COLS + 2);
    assert_true(pane_open(&s->pane, s->sink.write_fd, &caps, &e));
    pane_hole(s->pane, 1, 1, BIG_ROWS, BIG_COLS);
}

static void slow_close(struct slow *s)
{
    pane_close(s->pane);
    sink_close(&s->sink);
}

static void offer_noise(struct slow *s, enum pane_pace pace)
{
    for (size_t i = 0; i < sizeof s->px; i++)
        s->px[i] = (uint8_t)rand_r(&s->seed);
    assert_true(pane_picture(
        s->pane, &(struct pane_image){s->px, BIG_COLS, 2 * BIG_ROWS, BIG_COLS * 4}, pace));
}

static int unread(const struct slow *s)
{
    int n = 0;
    assert_int_equal(ioctl(s->sink.read_fd, FIONREAD, &n), 0);
    return n;
}

static void answer_all(struct slow *s)
{
    for (; s->sink.answers > 0; s->sink.answers--)
        pane_acknowledge(s->pane, s->sink.now_us);
}

static int worst_of(struct slow *s)
{
    int worst = 0;
    for (int i = 0; i < BIG_ROWS * BIG_COLS; i++) {
        const int x = i % BIG_COLS, y = i / BIG_COLS;
        uint32_t half[2];
        sink_halves(&s->sink, 1 + y, 1 + x, &half[0], &half[1]);
        for (int k = 0; k < 6; k++) {
            const int have = (int)(half[k / 3] >> (16 - 8 * (k % 3)) & 255);
            const int want = s->px[((2 * y + k / 3) * BIG_COLS + x) * 4 + k % 3];
            worst = abs(have - want) > worst ? abs(have - want) : worst;
        }
    }
    return worst;
}

static void a_line_of_200_kilobytes_a_second_never_has_more_than_8_kilobytes_waiting(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    int most = 0;
    for (int ms = 0; ms < 3000; ms++) {
        s.sink.now_us += 1000;
        if (ms % 33 == 0)
            offer_noise(&s, PANE_MOVING); /* every cell of every picture is new */
        pane_pump(s.pane, s.sink.now_us);
        most = unread(&s) > most ? unread(&s) : most;
        sink_take(&s.sink, 200);
        answer_all(&s);
    }
    const struct pane_counts n = pane_counted(s.pane);
    assert_in_range(most, 4096, PANE_FLIGHT);
    assert_in_range(n.flight_most, 4096, PANE_FLIGHT);
    assert_true(n.bytes > 3000 * 200 * 9 / 10); /* and the line is kept busy */
    assert_true(n.dropped > 60 && n.frames > 2);
    offer_noise(&s, PANE_STILL);
    sink_settle(&s.sink, s.pane);
    assert_int_equal(worst_of(&s), 0);
    slow_close(&s);
}

static void every_segment_is_short_and_stands_for_itself(void **state)
{
    (void)state;
    struct slow s;
    struct term_caps caps = caps_of(TERM_TRUECOLOR, true);
    caps.synchronized = true;
    slow_open(&s, caps);
    offer_noise(&s, PANE_STILL);
    sink_settle(&s.sink, s.pane);
    static const char head[] = "\033[?2026h\0337\033[m\033[", tail[] = "\0338\033[?2026l\033[5n";
    const char *p = s.sink.raw.p, *const end = p + s.sink.raw.n;
    int segments = 0;
    while (p < end) {
        const char *stop = memmem(p, (size_t)(end - p), tail, strlen(tail));
        assert_non_null(stop);
        stop += strlen(tail);
        assert_memory_equal(p, head, strlen(head));
        assert_in_range(stop - p, 1, PANE_SEGMENT);
        p = stop;
        segments++;
    }
    assert_int_equal(segments, pane_counted(s.pane).segments);
    assert_true(segments > 20);
    slow_close(&s);
}

/* Between two segments somebody else may move the cursor and change its colours. */
static void others_may_write_between_segments(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    offer_noise(&s, PANE_STILL);
    for (int i = 0; i < 1000 && pane_pending(s.pane); i++) {
        s.sink.now_us += 1000;
        pane_pump(s.pane, s.sink.now_us);
        sink_take(&s.sink, SIZE_MAX);
        assert_false(pane_busy(s.pane));
        sink_text(&s.sink, i % 2 ? "\033[1;1H\033[0;7mkey" : "\033[42;3H\033[0;31;44mother");
        answer_all(&s);
    }
    assert_int_equal(worst_of(&s), 0);
    assert_int_equal(sink_cell(&s.sink, 0, 0).chars[0], 'k');
    assert_int_equal(sink_cell(&s.sink, 41, 2).chars[0], 'o');
    slow_close(&s);
}

static void a_terminal_that_stops_answering_is_waited_for_two_seconds(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    offer_noise(&s, PANE_STILL);
    pane_pump(s.pane, s.sink.now_us);
    const int64_t first = pane_counted(s.pane).bytes;
    assert_in_range(first, 1, PANE_FLIGHT);
    assert_int_equal(pane_wait_ms(s.pane, s.sink.now_us), 2000);
    sink_take(&s.sink, SIZE_MAX);
    pane_pump(s.pane, s.sink.now_us + 1999999);
    assert_int_equal(pane_counted(s.pane).bytes, first);
    pane_pump(s.pane, s.sink.now_us + 2000000);
    assert_true(pane_counted(s.pane).bytes > first);
    /* the late answers are not taken for those to what was sent since */
    const size_t out = pane_counted(s.pane).flight;
    answer_all(&s);
    assert_int_equal(pane_counted(s.pane).flight, out);
    slow_close(&s);
}

static void a_terminal_without_answers_is_sent_a_quarter_megabyte_a_second(void **state)
{
    (void)state;
    struct slow s;
    struct term_caps caps = caps_of(TERM_TRUECOLOR, true);
    caps.dsr = false;
    slow_open(&s, caps);
    for (int ms = 0; ms < 2000; ms++) {
        s.sink.now_us += 1000;
        if (ms % 33 == 0)
            offer_noise(&s, PANE_MOVING);
        pane_pump(s.pane, s.sink.now_us);
        assert_in_range(unread(&s), 0, PANE_SEGMENT);
        sink_take(&s.sink, SIZE_MAX);
    }
    assert_null(memmem(s.sink.raw.p, s.sink.raw.n, "\033[5n", 4));
    assert_in_range(pane_counted(s.pane).bytes, 400 * 1024, 520 * 1024);
    slow_close(&s);
}

static void a_segment_that_is_partly_out_is_told_and_finished_first(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    /* leave room for about one and a half segments */
    char ballast[4096];
    memset(ballast, 0, sizeof ballast);
    assert_int_equal(fcntl(s.sink.write_fd, F_SETPIPE_SZ, 8192), 8192);
    fcntl(s.sink.write_fd, F_SETFL, O_NONBLOCK);
    offer_noise(&s, PANE_STILL);
    assert_int_equal(write(s.sink.write_fd, ballast, sizeof ballast), sizeof ballast);
    pane_pump(s.pane, s.sink.now_us);
    assert_true(pane_busy(s.pane));
    assert_int_equal(pane_wait_ms(s.pane, s.sink.now_us), -1); /* poll for POLLOUT instead */
    pane_hide(s.pane); /* waits its turn behind the segment */
    assert_true(pane_busy(s.pane));
    sink_settle(&s.sink, s.pane);
    assert_false(pane_busy(s.pane));
    const VTermScreenCell c = sink_cell(&s.sink, 1, 1);
    assert_int_equal(c.chars[0], 0);
    offer_noise(&s, PANE_STILL);
    sink_settle(&s.sink, s.pane);
    assert_int_equal(worst_of(&s), 0);
    slow_close(&s);
}

/* As after su, when the terminal may not be opened anew: the descriptor would block. */
static void a_descriptor_that_would_block_is_written_only_where_there_is_room(void **state)
{
    (void)state;
    int fds[2];
    assert_int_equal(pipe(fds), 0);
    struct wire w = {.fd = fds[1], .shared = true, .bound = PANE_FLIGHT};
    char bytes[1 << 17], got[1 << 17];
    memset(bytes, 'x', sizeof bytes);
    buf_add(&w.segment, bytes, sizeof bytes);
    assert_false(wire_write(&w, 0)); /* a pipe holds 64 KiB: hangs here if it blocks */
    assert_true(wire_busy(&w) && w.sent > 0);
    size_t have = 0;
    while (have < sizeof got) {
        const ssize_t n = read(fds[0], got + have, sizeof got - have);
        assert_true(n > 0);
        have += (size_t)n;
        wire_write(&w, 0);
    }
    assert_memory_equal(got, bytes, sizeof got);
    assert_false(wire_busy(&w));
    close(fds[0]);
    wire_close(&w);
}

static void a_moving_picture_spends_about_a_megabyte_a_second_at_most(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    for (int ms = 0; ms < 4000; ms++) {
        s.sink.now_us += 1000;
        if (ms % 33 == 0)
            offer_noise(&s, PANE_MOVING);
        pane_pump(s.pane, s.sink.now_us);
        while (sink_take(&s.sink, SIZE_MAX) > 0) {
            answer_all(&s);
            pane_pump(s.pane, s.sink.now_us);
        }
    }
    /* the savings of half a second come on top, and the picture that ends after the money */
    assert_in_range(pane_counted(s.pane).bytes, 4000000, 4700000);
    slow_close(&s);
}

static void the_newest_of_the_pictures_offered_meanwhile_is_shown(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    offer_noise(&s, PANE_MOVING);
    pane_pump(s.pane, s.sink.now_us);
    for (int i = 0; i < 5; i++)
        offer_noise(&s, PANE_MOVING);
    sink_settle(&s.sink, s.pane);
    assert_int_equal(pane_counted(s.pane).frames, 2);
    assert_int_equal(pane_counted(s.pane).dropped, 4);
    assert_in_range(worst_of(&s), 0, 24);
    slow_close(&s);
}

static void a_still_takes_over_from_a_moving_picture_at_once(void **state)
{
    (void)state;
    struct slow s;
    slow_open(&s, caps_of(TERM_TRUECOLOR, true));
    offer_noise(&s, PANE_MOVING);
    pane_pump(s.pane, s.sink.now_us);
    offer_noise(&s, PANE_STILL);
    sink_settle(&s.sink, s.pane);
    assert_int_equal(pane_counted(s.pane).frames, 1);
    assert_int_equal(worst_of(&s), 0);
    slow_close(&s);
}

static void a_terminal_that_is_gone_is_written_to_no_more(void **state)
{
    (void)state;
    struct hole h;
    unsigned seed = 5;
    signal(SIGPIPE, SIG_IGN);
    hole_open(&h, caps_of(TERM_TRUECOLOR, true));
    hole_noise(&h, &seed, 256);
    pane_picture(h.pane, &(struct pane_image){h.px, WIDE, 2 * TALL, WIDE * 4}, PANE_STILL);
    close(h.sink.read_fd);
    pane_pump(h.pane, h.sink.now_us);
    assert_false(pane_busy(h.pane));
    assert_false(pane_pending(h.pane));
    int w, ht;
    assert_false(pane_wanted(h.pane, PANE_STILL, &w, &ht));
    pane_hide(h.pane);
    pane_close(h.pane);
    h.sink.read_fd = -1;
    sink_close(&h.sink);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_of_200_kilobytes_a_second_never_has_more_than_8_kilobytes_waiting),
        cmocka_unit_test(every_segment_is_short_and_stands_for_itself),
        cmocka_unit_test(others_may_write_between_segments),
        cmocka_unit_test(a_terminal_that_stops_answering_is_waited_for_two_seconds),
        cmocka_unit_test(a_terminal_without_answers_is_sent_a_quarter_megabyte_a_second),
        cmocka_unit_test(a_segment_that_is_partly_out_is_told_and_finished_first),
        cmocka_unit_test(a_descriptor_that_would_block_is_written_only_where_there_is_room),
        cmocka_unit_test(a_moving_picture_spends_about_a_megabyte_a_second_at_most),
        cmocka_unit_test(the_newest_of_the_pictures_offered_meanwhile_is_shown),
        cmocka_unit_test(a_still_takes_over_from_a_moving_picture_at_once),
        cmocka_unit_test(a_terminal_that_is_gone_is_written_to_no_more),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
