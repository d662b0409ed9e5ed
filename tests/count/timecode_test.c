#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <cmocka.h>

#include "count/moment.h"
#include "count/timecode.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

static const struct rate ntsc = {30000, 1001}, ntsc_double = {60000, 1001};

static void times_print_nearest_and_carry(void **state)
{
    (void)state;
    /* Arithmetic; 59.9994 s and the carries are the rows of the WebVTT rounding table that any
     * writer of hh:mm:ss.mmm has to meet (W3C WebVTT, 'WebVTT timestamp'). */
    static const struct {
        int64_t us;
        const char *full, *brief;
    } rows[] = {
        {0, "0:00.000", "0:00.0"},
        {358200000, "5:58.200", "5:58.2"},
        {499, "0:00.000", "0:00.0"},
        {500, "0:00.001", "0:00.0"},
        {59999400, "0:59.999", "1:00.0"},
        {59999500, "1:00.000", "1:00.0"},
        {3599949999, "59:59.950", "59:59.9"},
        {3599950000, "59:59.950", "1:00:00.0"},
        {3599999500, "1:00:00.000", "1:00:00.0"},
        {359999999000, "99:59:59.999", "100:00:00.0"},
        {360000000000, "100:00:00.000", "100:00:00.0"},
        {-1500000, "-0:01.500", "-0:01.5"},
        {-400, "0:00.000", "0:00.0"},
        {INT64_MIN, "-2562047788:00:54.776", "-2562047788:00:54.8"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        char out[24];
        time_format(rows[i].us, out);
        assert_string_equal(out, rows[i].full);
        time_format_short(rows[i].us, out);
        assert_string_equal(out, rows[i].brief);
    }
}

static void times_are_read_as_people_write_them(void **state)
{
    (void)state;
    static const struct {
        const char *s;
        int64_t us;
    } rows[] = {
        {"358.2", 358200000},
        {"5:58.2", 358200000},
        {"0:05:58.200", 358200000},
        {" 12.5s ", 12500000},
        {"12.5 s", 12500000},
        {"0", 0},
        {".5", 500000},
        {"7.", 7000000},
        {"1:00", 60000000},
        {"90:00", 5400000000},
        {"99:59:59.999999", 359999999999},
        {"1.0000005", 1000001},
        {"0:27,5", 27500000},
        {"12,5s", 12500000},
        {"3,25", 3250000},
        {"00:01:02,345", 62345000}, /* as SubRip has it */
        {"1.0000004", 1000000},
        {"0.0000005999", 1},
        {"100:00:00", 360000000000},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct err e = {0};
        int64_t us = -1;
        assert_true(time_parse(rows[i].s, &us, &e));
        assert_int_equal(us, rows[i].us);
    }
}

static void what_is_no_time_is_refused_with_the_remedy(void **state)
{
    (void)state;
    static const struct {
        const char *s, *says;
    } rows[] = {
        {"", "not a time"},
        {"five", "write seconds (358.2)"},
        {"5:8", "5:8: behind a colon stand two digits"},
        {"5:98", "00 to 59"},
        {"1:60:00", "00 to 59"},
        {"1:2:3:4", "two digits"},
        {"01:02:03:04", "not a time"},
        {"-4", "begins at 0:00"},
        {"+4", "not a time"},
        {"00:01:00;02", "frame rate"},
        {"12.5x", "not a time"},
        {"5:58s", "not a time"},
        {"1,234", "not a time"}, /* a thousand and some, or a second and some? */
        {"3,", "not a time"},
        {"3,5,1", "not a time"},
        {"1,5:00", "not a time"},
        {"1e3", "not a time"},
        {"360000.1", "100 hours"},
        {"99999999999999999999", "100 hours"},
        {"4999999999:12:58.2", "100 hours"}, /* in microseconds past what 64 bits hold */
        {":30", "not a time"},
        {"nan", "not a time"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct err e = {0};
        int64_t us = 77;
        assert_false(time_parse(rows[i].s, &us, &e));
        assert_int_equal(us, 77);
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, rows[i].says));
    }
}

static void what_is_printed_reads_back_as_the_same_millisecond(void **state)
{
    (void)state;
    for (int64_t ms = 0; ms < 8000000; ms += 997) {
        char out[24];
        struct err e = {0};
        int64_t us = -1;
        time_format(ms * 1000, out);
        assert_true(time_parse(out, &us, &e));
        assert_int_equal(us, ms * 1000);
    }
}

static void shifts_carry_their_sign(void **state)
{
    (void)state;
    struct err e = {0};
    int64_t us = 0;
    assert_true(time_parse_shift("+2.5", &us, &e));
    assert_int_equal(us, 2500000);
    assert_true(time_parse_shift("- 0:04", &us, &e));
    assert_int_equal(us, -4000000);
    assert_true(time_parse_shift("-2.5 s", &us, &e));
    assert_int_equal(us, -2500000);
    assert_false(time_parse_shift("2.5", &us, &e));
    assert_false(time_parse_shift("+-2", &us, &e));
    assert_int_equal(us, -2500000);
}

/* Labels as FFmpeg libavutil 57.28.100 and, independently, GStreamer 1.22.0 give them; the rule is
 * SMPTE ST 12-1 (two labels skipped a minute, not in every tenth; four at 59.94). */
static const struct {
    struct rate rate;
    bool drop;
    int64_t frame;
    const char *label;
} labels[] = {
    {{30000, 1001}, true, 0, "00:00:00;00"},       {{30000, 1001}, true, 1799, "00:00:59;29"},
    {{30000, 1001}, true, 1800, "00:01:00;02"},    {{30000, 1001}, true, 3597, "00:01:59;29"},
    {{30000, 1001}, true, 3598, "00:02:00;02"},    {{30000, 1001}, true, 17981, "00:09:59;29"},
    {{30000, 1001}, true, 17982, "00:10:00;00"},   {{30000, 1001}, true, 19781, "00:10:59;29"},
    {{30000, 1001}, true, 19782, "00:11:00;02"},   {{30000, 1001}, true, 107891, "00:59:59;29"},
    {{30000, 1001}, true, 107892, "01:00:00;00"},  {{30000, 1001}, true, 100000, "00:55:36;20"},
    {{30000, 1001}, true, 1000000, "09:16:06;22"}, {{30000, 1001}, true, 1364833, "12:38:59;29"},
    {{30000, 1001}, true, 1364834, "12:39:00;02"}, {{30000, 1001}, true, 2589407, "23:59:59;29"},
    {{60000, 1001}, true, 3599, "00:00:59;59"},    {{60000, 1001}, true, 3600, "00:01:00;04"},
    {{60000, 1001}, true, 7195, "00:01:59;59"},    {{60000, 1001}, true, 35963, "00:09:59;59"},
    {{60000, 1001}, true, 35964, "00:10:00;00"},   {{60000, 1001}, true, 39563, "00:10:59;59"},
    {{60000, 1001}, true, 39564, "00:11:00;04"},   {{60000, 1001}, true, 215784, "01:00:00;00"},
    {{60000, 1001}, true, 1000000, "04:38:03;24"}, {{60000, 1001}, true, 5178815, "23:59:59;59"},
    {{30000, 1001}, false, 107892, "00:59:56:12"}, {{30000, 1001}, false, 2589407, "23:58:33:17"},
    {{60000, 1001}, false, 100000, "00:27:46:40"}, {{25, 1}, false, 100000, "01:06:40:00"},
    {{24, 1}, false, 100000, "01:09:26:16"},       {{24000, 1001}, false, 100000, "01:09:26:16"},
    {{50, 1}, false, 100000, "00:33:20:00"},       {{60, 1}, false, 3600, "00:01:00:00"},
};

static void smpte_labels_agree_with_two_libraries_both_ways(void **state)
{
    (void)state;
    for (size_t i = 0; i < COUNT(labels); i++) {
        char out[16];
        struct err e = {0};
        int64_t frame = -1;
        assert_true(smpte_format(labels[i].frame, labels[i].rate, labels[i].drop, out));
        assert_string_equal(out, labels[i].label);
        assert_true(smpte_parse(labels[i].label, labels[i].rate, &frame, &e));
        assert_int_equal(frame, labels[i].frame);
    }
}

static void every_frame_of_twenty_minutes_has_a_label_of_its_own(void **state)
{
    (void)state;
    const struct rate rates[] = {ntsc, ntsc_double};
    for (size_t i = 0; i < COUNT(rates); i++) {
        for (int64_t f = 0; f < 72000; f++) {
            char out[16];
            struct err e = {0};
            int64_t back = -1;
            assert_true(smpte_format(f, rates[i], true, out));
            assert_true(smpte_parse(out, rates[i], &back, &e));
            assert_int_equal(back, f);
        }
    }
}

static void labels_that_drop_frame_skips_are_refused(void **state)
{
    (void)state;
    /* GStreamer 1.22.0 calls them invalid (FFmpeg maps 00:01:00;00 to frame 1798, which already
     * is 00:00:59;28). */
    static const struct {
        const char *s;
        struct rate rate;
        const char *says;
    } rows[] = {
        {"00:01:00;00", {30000, 1001}, "00:01:00;02"},
        {"00:01:00;01", {30000, 1001}, "skips this label"},
        {"00:59:00;01", {30000, 1001}, "skips this label"},
        {"00:01:00;03", {60000, 1001}, "00:01:00;04"},
        {"00:01:00;30", {30000, 1001}, "frames to 29"},
        {"24:00:00;00", {30000, 1001}, "hours go to 23"},
        {"00:60:00:00", {25, 1}, "minutes and seconds to 59"},
        {"00:01:00;02", {25, 1}, "29.97 and 59.94 only"},
        {"00:01:00:02", {240, 1}, "another rate"},
        {"00:01:00", {25, 1}, "not a time code"},
        {"00:01:00:002", {25, 1}, "not a time code"},
        {"1:2:3:4x", {25, 1}, "not a time code"},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct err e = {0};
        int64_t frame = 77;
        assert_false(smpte_parse(rows[i].s, rows[i].rate, &frame, &e));
        assert_int_equal(frame, 77);
        assert_non_null(strstr(e.text, rows[i].says));
    }
    struct err e = {0};
    int64_t frame = 0;
    assert_true(smpte_parse("00:10:00;00", ntsc, &frame, &e));
    assert_int_equal(frame, 17982);
}

static void a_label_is_not_made_where_none_exists(void **state)
{
    (void)state;
    char out[16];
    assert_false(smpte_format(0, (struct rate){25, 1}, true, out));
    assert_string_equal(out, "--:--:--:--");
    assert_false(smpte_format(-1, ntsc, true, out));
    assert_false(smpte_format(2589408, ntsc, true, out)); /* 24 h of labels, ST 12-1 */
    assert_false(smpte_format(0, (struct rate){240, 1}, false, out));
    assert_false(smpte_format(0, (struct rate){0, 0}, false, out));
}

static void frames_and_microseconds_are_exact_inverses(void **state)
{
    (void)state;
    /* Frame 2 at 29.97 is 66.733 ms and ten minutes of frames end 0.6 ms early: arithmetic from
     * the definition of the rate. */
    assert_int_equal(frame_time(2, ntsc), 66733);
    assert_int_equal(frame_time(17982, ntsc), 599999400);
    assert_int_equal(frame_at(66000, ntsc), 2);
    assert_int_equal(frame_at(33000, ntsc), 1);
    assert_int_equal(frame_at(599999000, ntsc), 17982);
    static const struct rate rates[] = {
        {24000, 1001}, {24, 1},       {25, 1}, {30000, 1001}, {30, 1},
        {50, 1},       {60000, 1001}, {60, 1}, {240, 1},      {27000000, 900901}};
    for (size_t i = 0; i < COUNT(rates); i++)
        for (int64_t n = -5; n < 3000000; n += 9973)
            assert_int_equal(frame_at(frame_time(n, rates[i]), rates[i]), n);
}

static void rates_that_containers_round_are_recognised(void **state)
{
    (void)state;
    assert_int_equal(rate_standard(2997, 100).num, 30000);
    assert_int_equal(rate_standard(60, 2).num, 30);
    assert_int_equal(rate_standard(23976, 1000).num, 24000);
    assert_int_equal(rate_standard(2398, 100).num, 0); /* 0.016 % off */
    assert_int_equal(rate_standard(240, 1).num, 0);
    assert_int_equal(rate_standard(0, 1).num, 0);
    assert_int_equal(rate_standard(30, 0).num, 0);
}

static void moments_in_time_read_frames_when_the_rate_is_known(void **state)
{
    (void)state;
    static const struct {
        const char *s;
        struct rate fps;
        enum moment_kind kind;
        int64_t us;
    } rows[] = {
        {"358.2", {0, 0}, MOMENT_TIME, 358200000},
        {"5:58.2", {30000, 1001}, MOMENT_TIME, 358200000},
        {"00:01:00;02", {30000, 1001}, MOMENT_TIME, 60060000},
        {"00:01:00:02", {25, 1}, MOMENT_TIME, 60080000},
        {"1234f", {30000, 1001}, MOMENT_TIME, 41174467},
        {" 1800F ", {60, 1}, MOMENT_TIME, 30000000},
        {"24f", {240, 1}, MOMENT_TIME, 100000},
        {"+2.5 s", {0, 0}, MOMENT_SHIFT_TIME, 2500000},
        {"-0:04", {0, 0}, MOMENT_SHIFT_TIME, -4000000},
    };
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct err e = {0};
        struct moment m = {0};
        assert_true(moment_parse_time(rows[i].s, rows[i].fps, &m, &e));
        assert_int_equal(m.kind, rows[i].kind);
        assert_int_equal(m.us, rows[i].us);
    }
    static const char *const unknown[] = {"00:01:00;02", "00:01:00:02", "1234f"};
    for (size_t i = 0; i < COUNT(unknown); i++) {
        struct err e = {0};
        struct moment m = {0};
        assert_false(moment_parse_time(unknown[i], (struct rate){0}, &m, &e));
        assert_non_null(strstr(e.text, "frame rate is not known"));
    }
    struct err e = {0};
    struct moment m = {0};
    assert_false(moment_parse_time("99999999999f", ntsc, &m, &e));
    assert_false(moment_parse_time("12fx", ntsc, &m, &e));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(times_print_nearest_and_carry),
        cmocka_unit_test(times_are_read_as_people_write_them),
        cmocka_unit_test(what_is_no_time_is_refused_with_the_remedy),
        cmocka_unit_test(what_is_printed_reads_back_as_the_same_millisecond),
        cmocka_unit_test(shifts_carry_their_sign),
        cmocka_unit_test(smpte_labels_agree_with_two_libraries_both_ways),
        cmocka_unit_test(every_frame_of_twenty_minutes_has_a_label_of_its_own),
        cmocka_unit_test(labels_that_drop_frame_skips_are_refused),
        cmocka_unit_test(a_label_is_not_made_where_none_exists),
        cmocka_unit_test(frames_and_microseconds_are_exact_inverses),
        cmocka_unit_test(rates_that_containers_round_are_recognised),
        cmocka_unit_test(moments_in_time_read_frames_when_the_rate_is_known),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
