/* Standard MIDI Files: what is read, what is refused, and when every measure begins. */
#include <math.h>
#include <stdio.h>

#include "lib/cases.h"
#include "score/midi.h"
#include "score/made_midi.h"

#ifdef HAVE_SMF
#include <smf.h>
#endif

/* --- music made with a fixed seed ------------------------------------------------------------- */

static uint64_t state;

static unsigned chance(unsigned below)
{
    state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407); /* Knuth, MMIX */
    return (unsigned)(state >> 33) % below;
}

enum { MADE = 30, BARS_MOST = 120 };

struct made {
    struct buf bytes;
    long bar[BARS_MOST]; /* tick of each measure, reckoned here */
    size_t bars;
    unsigned division;
};

static void add_noise(struct smf *s, long from, long length)
{
    const int track = s->tracks > 1 ? 1 + (int)chance((unsigned)s->tracks - 1) : 0;
    for (int i = 0; i < 4; i++) {
        const int key = 40 + (int)chance(40);
        const long at = from + (long)chance((unsigned)length);
        smf_voice(s, track, at, 0x90, key, 64);
        smf_voice(s, track, at, 0x90, key + 4, 64);
        smf_voice(s, track, at + 1, 0x80, key, 0);
    }
    smf_voice(s, track, from, 0xc3, (int)chance(100), 0);
    struct smf_event *x = smf_add(s, track, from);
    x->n = 6;
    memcpy(x->bytes, "\xf0\x04\x43\x10\x4c\xf7", 6);
}

static void add_tempos(struct smf *s, long from, long length)
{
    for (unsigned i = chance(6); i > 0; i--)
        smf_tempo(s, from + (long)chance((unsigned)length), 200000 + chance(800000));
}

/* Some 30 to 100 measures. A text event (FF 01) stands at each, for a reader to tell its time. */
static struct made make(unsigned seed)
{
    static const unsigned divisions[] = {24, 96, 120, 192, 384, 480, 960, 1024};
    static const int meters[][2] = {{4, 2}, {3, 2}, {2, 1}, {6, 3}, {7, 3}, {5, 3}, {12, 3}};
    struct made m = {.bars = 0};
    state = seed * UINT64_C(0x9e3779b97f4a7c15) + 1;
    m.division = divisions[chance(8)];
    struct smf s = {.format = seed % 2 ? 1 : 0,
                    .tracks = seed % 2 ? 2 + (int)chance(3) : 1,
                    .division = m.division,
                    .running = chance(2)};
    const size_t bars = 30 + chance(70);
    long tick = 0, length = 4 * (long)m.division;
    for (size_t i = 0; i < bars; i++) {
        if (i == 0 || chance(5) == 0) {
            const int *meter = meters[chance(7)];
            length = 4 * (long)m.division * meter[0] >> meter[1];
            smf_meter(&s, tick, meter[0], meter[1]);
        }
        m.bar[m.bars++] = tick;
        smf_text(&s, 1, tick, "bar");
        if (chance(6) == 0)
            smf_text(&s, 6, tick, "mark");
        add_tempos(&s, tick, length);
        add_noise(&s, tick, length - 1);
        tick += length;
    }
    s.end = tick;
    m.bytes = smf_bytes(&s);
    return m;
}

static bool read_score(struct arena *a, const struct buf *b, struct score *out, struct err *e)
{
    const struct table_text text = smf_text_of(b);
    return midi_read(a, &text, out, e);
}

/* --- times ------------------------------------------------------------------------------------ */

static void measures_begin_where_the_meters_put_them(void **unused)
{
    (void)unused;
    for (unsigned seed = 0; seed < MADE; seed++) {
        struct made m = make(seed);
        struct arena a = {0};
        struct score s;
        struct err e = {0};
        if (!read_score(&a, &m.bytes, &s, &e))
            fail_msg("seed %u: %s", seed, e.text);
        assert_int_equal(s.n_measures, m.bars);
        for (size_t i = 0; i < m.bars; i++)
            assert_true(fabs(s.measures[i].at * m.division - (double)m.bar[i]) < 1e-6);
        arena_free(&a);
        buf_free(&m.bytes);
    }
}

#ifdef HAVE_SMF
/* Times of the text events of a whole file, by libsmf 1.3. */
static size_t libsmf_bars(const struct buf *b, double *out)
{
    smf_t *smf = smf_load_from_memory(b->p, b->n);
    size_t n = 0;
    assert_non_null(smf);
    for (smf_event_t *x; (x = smf_get_next_event(smf));)
        if (x->midi_buffer_length > 1 && x->midi_buffer[0] == 0xff && x->midi_buffer[1] == 1)
            out[n++] = x->time_seconds;
    smf_delete(smf);
    return n;
}

static void every_measure_begins_when_libsmf_says_it_does_to_a_millisecond(void **unused)
{
    (void)unused;
    double worst = 0;
    size_t checked = 0;
    for (unsigned seed = 0; seed < MADE; seed++) {
        struct made m = make(seed);
        struct arena a = {0};
        struct score s;
        struct err e = {0};
        double theirs[BARS_MOST];
        assert_true(read_score(&a, &m.bytes, &s, &e));
        assert_int_equal(libsmf_bars(&m.bytes, theirs), m.bars);
        for (size_t i = 0; i < m.bars; i++, checked++) {
            const double ours = score_seconds(&s, s.measures[i].at);
            worst = fmax(worst, fabs(ours - theirs[i]));
            if (fabs(ours - theirs[i]) > 0.001)
                fail_msg("seed %u measure %zu: %.6f, libsmf %.6f", seed, i + 1, ours, theirs[i]);
        }
        arena_free(&a);
        buf_free(&m.bytes);
    }
    print_message("%zu measures of %d files; worst difference %.9f s\n", checked, MADE, worst);
}
#endif

/* 132 a minute is written as 454545 microseconds: 16 quarters are 7.272720 s of the file, and
 * 7.272727 s (16 * 60 / 132) of the music. */
static void sixteen_quarters_at_132_are_what_the_file_says(void **unused)
{
    (void)unused;
    struct smf s = {.division = 480, .end = 16 * 480};
    struct arena a = {0};
    struct score score;
    struct err e = {0};
    smf_tempo(&s, 0, 454545);
    struct buf b = smf_bytes(&s);
    assert_true(read_score(&a, &b, &score, &e));
    assert_true(fabs(score_seconds(&score, 16) - 7.272720) < 1e-9);
    assert_int_equal(score.n_measures, 4);
    arena_free(&a);
    buf_free(&b);
}

/* SMF 1.0: with a division in SMPTE frames a tick is a time: 1 / (frames a second * ticks a frame);
 * 29 is 30 drop-frame, 30000/1001 (SMPTE ST 12-1). */
static const struct smpte {
    const char *name;
    unsigned division;
    double ticks_a_second;
} smpte[] = {
    {"24 frames of 4 ticks", 0xe804, 96},
    {"25 frames of 40 ticks are milliseconds", 0xe728, 1000},
    {"29.97 frames of 80 ticks", 0xe350, 30000.0 / 1001 * 80},
    {"30 frames of 100 ticks", 0xe264, 3000},
};

static void ticks_of_smpte_frames_are_times(void **row)
{
    const struct smpte *r = *row;
    static const long ticks[] = {0, 700, 1500, 4001, 9000};
    struct smf s = {.division = r->division, .end = 10000};
    struct arena a = {0};
    struct score score;
    struct err e = {0};
    for (size_t i = 0; i < 5; i++)
        smf_text(&s, 6, ticks[i], "mark");
    smf_tempo(&s, 0, 400000);
    smf_tempo(&s, 1000, 600000);
    smf_tempo(&s, 4000, 250000);
    struct buf b = smf_bytes(&s);
    if (!read_score(&a, &b, &score, &e))
        fail_msg("%s", e.text);
    assert_int_equal(score.n_markers, 5);
    for (size_t i = 0; i < 5; i++)
        assert_true(fabs(score_seconds(&score, score.markers[i].at) -
                         (double)ticks[i] / r->ticks_a_second) < 1e-6);
    arena_free(&a);
    buf_free(&b);
}

/* --- what is read ------------------------------------------------------------------------------ */

static void markers_are_cue_points_only_where_there_are_no_markers(void **unused)
{
    (void)unused;
    for (int with = 0; with < 2; with++) {
        struct smf s = {.division = 96, .end = 96 * 16};
        struct arena a = {0};
        struct score score;
        struct err e = {0};
        smf_text(&s, 3, 0, "Larkspur");
        smf_text(&s, 7, 96 * 4, "cue");
        smf_text(&s, 7, 96 * 8, "caf\xe9"); /* Latin-1 */
        if (with)
            smf_text(&s, 6, 96 * 12, " A\t\n1 ");
        struct buf b = smf_bytes(&s);
        assert_true(read_score(&a, &b, &score, &e));
        assert_string_equal(score.title, "Larkspur");
        assert_int_equal(score.n_markers, with ? 1 : 2);
        assert_string_equal(score.markers[0].text, with ? "A 1" : "cue");
        if (!with)
            assert_string_equal(score.markers[1].text, "caf\xc3\xa9");
        arena_free(&a);
        buf_free(&b);
    }
}

static void a_change_of_meter_ends_its_measure(void **unused)
{
    (void)unused;
    struct smf s = {.division = 96, .end = 96 * 13, .unknown = true};
    struct arena a = {0};
    struct score score;
    struct err e = {0};
    smf_meter(&s, 96 * 6, 3, 2); /* in the middle of the second measure of 4/4 */
    smf_meter(&s, 96 * 9, 4, 2);
    struct buf b = smf_bytes(&s);
    assert_true(read_score(&a, &b, &score, &e));
    static const double at[] = {0, 4, 6, 9};
    assert_int_equal(score.n_measures, 4);
    for (size_t i = 0; i < 4; i++)
        assert_true(fabs(score.measures[i].at - at[i]) < 1e-9);
    assert_true(fabs(score.length - 13) < 1e-9);
    assert_int_equal(score.measures[2].meter.beats, 3);
    arena_free(&a);
    buf_free(&b);
}

/* A tick before, and a tick behind: measures of 3, 3 and 4 quarters. */
static void a_change_of_meter_beside_a_barline_stands_on_it(void **unused)
{
    (void)unused;
    struct smf s = {.division = 96, .end = 96 * 10};
    struct arena a = {0};
    struct score score;
    struct err e = {0};
    smf_meter(&s, 0, 3, 2);
    smf_meter(&s, 96 * 3 + 1, 6, 3);
    smf_meter(&s, 96 * 6 - 1, 4, 2);
    struct buf b = smf_bytes(&s);
    assert_true(read_score(&a, &b, &score, &e));
    static const double length[] = {3, 3, 4};
    assert_int_equal(score.n_measures, 3);
    for (size_t i = 0; i < 3; i++)
        assert_true(fabs(score.measures[i].length - length[i]) < 1e-9);
    arena_free(&a);
    buf_free(&b);
}

static void the_longest_track_is_the_end(void **unused)
{
    (void)unused;
    struct smf s = {.format = 1, .tracks = 3, .division = 96, .end = 96 * 4};
    struct arena a = {0};
    struct score score;
    struct err e = {0};
    smf_voice(&s, 1, 96 * 22, 0x80, 60, 0);
    struct buf b = smf_bytes(&s);
    assert_true(read_score(&a, &b, &score, &e));
    assert_int_equal(score.n_measures, 6);
    arena_free(&a);
    buf_free(&b);
}

static void of_two_tempos_at_one_tick_the_later_holds(void **unused)
{
    (void)unused;
    struct smf s = {.division = 96, .end = 96 * 4};
    struct arena a = {0};
    struct score score;
    struct err e = {0};
    smf_tempo(&s, 0, 1000000);
    smf_tempo(&s, 0, 250000);
    struct buf b = smf_bytes(&s);
    assert_true(read_score(&a, &b, &score, &e));
    assert_true(fabs(score_seconds(&score, 4) - 1) < 1e-9);
    assert_int_equal(score.n_tempos, 1);
    arena_free(&a);
    buf_free(&b);
}

/* --- refusals ---------------------------------------------------------------------------------- */

#define HEAD(format, tracks, division) "MThd\0\0\0\6\0" format "\0" tracks division
#define TRACK(n)                       "MTrk\0\0\0" n
#define BYTES(s)                       s, sizeof s - 1

static const struct refusal {
    const char *name, *bytes;
    size_t n;
    const char *said;
} refusals[] = {
    {"a cut header", BYTES("MThd\0\0"),
     "song.mid: byte 1: the file ends within its header; copy or "
     "save it again"},
    {"format 2", BYTES(HEAD("\2", "\1", "\0\x60")),
     "song.mid: byte 9: a file of format 2 holds patterns without a time in common; save it as "
     "format 0 or 1"},
    {"a format of the future", BYTES(HEAD("\7", "\1", "\0\x60")),
     "song.mid: byte 9: format 7 is not known; save it as format 0 or 1"},
    {"no tracks", BYTES(HEAD("\1", "\0", "\0\x60")),
     "song.mid: byte 9: no tracks; save the file again"},
    {"a quarter of no ticks", BYTES(HEAD("\0", "\1", "\0\0")),
     "song.mid: byte 13: a quarter of no ticks; the file is damaged"},
    {"frames that are none", BYTES(HEAD("\0", "\1", "\xf0\x50")),
     "song.mid: byte 13: 16 frames of 80 ticks are no time code; save the file with ticks a "
     "quarter"},
    {"a missing track", BYTES(HEAD("\1", "\2", "\0\x60") TRACK("\4") "\0\xff\x2f\0"),
     "song.mid: byte 27: the file ends before its track 2 does; copy or save it again"},
    {"a track that is cut", BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\x10") "\0\xff\x2f\0"),
     "song.mid: byte 23: the file ends before its track 1 does; copy or save it again"},
    {"an event beyond its track",
     BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\4") "\0\xff\x51\3"
                                                  "\1\2\3\0\xff\x2f\0"),
     "song.mid: byte 27: track 1 ends within an event; save the file again"},
    {"a data byte without a status", BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\3") "\0\x40\x40"),
     "song.mid: byte 24: a message without a status; the file is damaged"},
    {"a value beyond 127", BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\4") "\0\x90\x40\x80"),
     "song.mid: byte 26: a message's value beyond 127; the file is damaged"},
    {"a status that no file holds", BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\2") "\0\xf8"),
     "song.mid: byte 24: a message (f8) that no file may hold; the file is damaged"},
    {"a delta of five bytes",
     BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\7") "\xff\xff\xff\xff\1\x90\x40"),
     "song.mid: byte 27: a number has more than four bytes; the file is damaged"},
    {"a tempo of nothing", BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\7") "\0\xff\x51\3\0\0\0"),
     "song.mid: byte 27: a tempo without a length of its quarter; the file is damaged"},
    {"a meter of no beats",
     BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\x8") "\0\xff\x58\4\0\2\x18\x8"),
     "song.mid: byte 27: a meter that is none (0 over 2 to the power of 2); set it again"},
    {"a meter over 2 to the 200th",
     BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\x8") "\0\xff\x58\4\4\xc8\x18\x8"),
     "song.mid: byte 27: a meter that is none (4 over 2 to the power of 200); set it again"},
    {"no music", BYTES(HEAD("\0", "\1", "\0\x60") TRACK("\4") "\0\xff\x2f\0"),
     "song.mid: no music: its tracks end where they begin"},
    {"ages of silence", BYTES(HEAD("\0", "\1", "\0\1") TRACK("\7") "\xff\xff\xff\x7f\xff\x2f\0"),
     "song.mid: more than 10000 measures; no show is so long"},
};

static void is_refused_by_its_byte(void **row)
{
    const struct refusal *r = *row;
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    assert_false(midi_read(&a, &(struct table_text){r->bytes, r->n, "song.mid", NULL}, &s, &e));
    assert_string_equal(e.text, r->said);
    assert_int_equal(e.code, ERR_INPUT);
    arena_free(&a);
}

/* A buffer of its own size each, so that the sanitizer sees a read past its end. */
static void every_beginning_of_a_file_is_refused_in_a_line(void **unused)
{
    (void)unused;
    for (unsigned seed = 0; seed < 2; seed++) {
        struct made m = make(seed);
        for (size_t n = 0; n < m.bytes.n; n++) {
            char *cut = xcalloc(n ? n : 1, 1);
            struct arena a = {0};
            struct score s;
            struct err e = {0};
            memcpy(cut, m.bytes.p, n);
            assert_false(midi_read(&a, &(struct table_text){cut, n, "song.mid", NULL}, &s, &e));
            assert_int_equal(e.code, ERR_INPUT);
            assert_memory_equal(e.text, "song.mid: byte ", 15);
            arena_free(&a);
            free(cut);
        }
        buf_free(&m.bytes);
    }
}

int main(void)
{
    static struct cases all = {0};
    case_test(&all, measures_begin_where_the_meters_put_them);
#ifdef HAVE_SMF
    case_test(&all, every_measure_begins_when_libsmf_says_it_does_to_a_millisecond);
#endif
    case_test(&all, sixteen_quarters_at_132_are_what_the_file_says);
    cases_of(&all, smpte, ticks_of_smpte_frames_are_times);
    case_test(&all, markers_are_cue_points_only_where_there_are_no_markers);
    case_test(&all, a_change_of_meter_ends_its_measure);
    case_test(&all, a_change_of_meter_beside_a_barline_stands_on_it);
    case_test(&all, the_longest_track_is_the_end);
    case_test(&all, of_two_tempos_at_one_tick_the_later_holds);
    cases_of(&all, refusals, is_refused_by_its_byte);
    case_test(&all, every_beginning_of_a_file_is_refused_in_a_line);
    return cases_run(&all, "midi");
}
