/* From music to sets: where they begin, what they are called, what is counted, and how fast. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "count/tempo.h"
#include "lib/cases.h"
#include "score/made_midi.h"
#include "score/made_xml.h"
#include "score/sets.h"

enum { PPQ = 480 };

/* "A 16 132-120 4 name; B 8 ..." for each set: label, counts, tempo (to tempo_end), measures, name. */
static const char *sets_said(struct arena *a, const struct set_list *l)
{
    struct buf out = {0};
    for (size_t i = 0; i < l->n; i++) {
        const struct set *s = &l->at[i];
        buf_printf(&out, "%s%s %d %.6g", i ? "; " : "", s->label, s->counts, s->tempo);
        if (s->tempo_end != s->tempo)
            buf_printf(&out, "-%.6g", s->tempo_end);
        buf_printf(&out, " %d%s%s", s->measures, *s->name ? " " : "", s->name);
    }
    const char *said = arena_strdup(a, buf_text(&out));
    buf_free(&out);
    return said;
}

static bool sets_of(struct arena *a, const char *bytes, size_t n, const struct sets_wish *wish,
                    struct sets_made *out, struct score *score, struct err *e)
{
    return score_read(a, &(struct table_text){bytes, n, "song.mid", NULL}, score, e) &&
           score_sets(a, score, wish, out, e);
}

/* --- from MIDI ---------------------------------------------------------------------------------- */

/* At so many quarters. */
struct at {
    double quarter;
    int x, power;     /* meter: x over 2 to the power; tempo: microseconds of a quarter */
    const char *text; /* marker */
};

static struct buf song(const struct at *meters, const struct at *tempos, const struct at *marks,
                       double end)
{
    struct smf s = {.division = PPQ, .end = lround(end * PPQ)};
    for (; meters && meters->x; meters++)
        smf_meter(&s, lround(meters->quarter * PPQ), meters->x, meters->power);
    for (; tempos && tempos->x; tempos++)
        smf_tempo(&s, lround(tempos->quarter * PPQ), (unsigned)tempos->x);
    for (; marks && marks->text; marks++)
        smf_text(&s, 6, lround(marks->quarter * PPQ), marks->text);
    return smf_bytes(&s);
}

static const struct made {
    const char *name;
    struct at meters[4], tempos[12], marks[12];
    double end;
    struct sets_wish wish;
    const char *sets, *said; /* said: all that is pointed out, "" nothing */
} made[] = {
    {"a set begins at every marker", .tempos = {{0, 454545, 0, 0}},
     .marks = {{0, 0, 0, "A"}, {16, 0, 0, "B"}}, .end = 48, .sets = "A 16 132 4; B 32 132 8",
     .said = ""},
    {"with one marker, every eight measures", .marks = {{16, 0, 0, "A"}}, .end = 40,
     .sets = "1 32 120 8 measures 1 to 8; 2 8 120 2 measures 9 to 10",
     .said = "one marker alone, 'A', begins no set; --markers says that it does\n"},
    {"unless markers are asked for", .marks = {{16, 0, 0, "A"}}, .end = 40,
     .wish = {.markers = true}, .sets = "1 16 120 4 measures 1 to 4; A 24 120 6", .said = ""},
    {"every so many measures, whatever is marked", .marks = {{0, 0, 0, "A"}, {16, 0, 0, "B"}},
     .end = 36, .wish = {.every = 4},
     .sets = "1 16 120 4 measures 1 to 4; 2 16 120 4 measures 5 to 8; 3 4 120 1 measure 9",
     .said = ""},
    {"what comes before the first marker is a set", .marks = {{8, 0, 0, "A"}, {16, 0, 0, "B"}},
     .end = 24, .sets = "1 8 120 2 measures 1 to 2; A 8 120 2; B 8 120 2", .said = ""},
    {"long, odd and repeated markers become names",
     .marks = {{0, 0, 0, "A"},
               {8, 0, 0, "Drum break"},
               {16, 0, 0, "a"},
               {24, 0, 0, "1:05"},
               {32, 0, 0, "3"}},
     .end = 40, .sets = "A 8 120 2; 2 8 120 2 Drum break; 3a 8 120 2 a; 4 8 120 2 1:05; 3 8 120 2",
     .said = ""},
    /* Rehearsal marks as people write them into a program for music: common practice, no source. */
    {"a rehearsal mark before words names its set",
     .marks = {{0, 0, 0, "D Grand turn"},
               {8, 0, 0, "Letter E: float"},
               {16, 0, 0, "Set 12"},
               {24, 0, 0, "The 3 lines"},
               {32, 0, 0, "F"},
               {40, 0, 0, "F again"},
               {48, 0, 0, "D2 - Größe"},
               {56, 0, 0, "[B]"},
               {64, 0, 0, "T 4"}},
     .end = 72,
     .sets = "D 8 120 2 Grand turn; E 8 120 2 float; 12 8 120 2; 4 8 120 2 The 3 lines; F 8 120 2; "
             "6 8 120 2 F again; D2 8 120 2 Größe; B 8 120 2; T4 8 120 2",
     .said = ""},
    {"a tempo that comes late was assumed before", .tempos = {{8, 500000, 0, 0}},
     .marks = {{0, 0, 0, "A"}, {8, 0, 0, "B"}}, .end = 16, .sets = "A 8 120 2; B 8 120 2",
     .said = "the file says no tempo before measure 3; there 120 quarters a minute are assumed, as "
             "MIDI files mean it\n"},
    {"a change in small steps has the ends that are written",
     .tempos = {{0, 500000, 0, 0},
                {1, 504202, 0, 0},
                {2, 508475, 0, 0},
                {3, 512821, 0, 0},
                {4, 517241, 0, 0},
                {5, 521739, 0, 0},
                {6, 526316, 0, 0},
                {7, 530973, 0, 0}},
     .end = 8, .sets = "1 8 120-113 2 measures 1 to 2", .said = ""},
    {"one in great steps says that its line goes beyond them",
     .tempos = {{0, 500000, 0, 0}, {4, 517241, 0, 0}, {8, 535714, 0, 0}, {12, 555556, 0, 0}},
     .end = 16, .sets = "1 16 121.6-106.4 4 measures 1 to 4",
     .said = "1: the music goes from 120 to 108 in steps; the even change that keeps its counts in "
             "place goes from 121.6 to 106.4\n"},
    {"a marker a little off the beat is moved to it",
     .marks = {{0, 0, 0, "A"}, {8.125, 0, 0, "B"}, {15.9375, 0, 0, "C"}}, .end = 24,
     .sets = "A 8 120 2; B 8 120 2; C 8 120 2",
     .said =
         "the marker 'B' in measure 3 lies 0.12 counts behind the beat; its set begins on the "
         "beat\nthe marker 'C' in measure 5 lies 0.06 counts before the beat; its set begins on "
         "the beat\n"},
    {"a marker at the end begins no set", .marks = {{0, 0, 0, "A"}, {8, 0, 0, "end"}}, .end = 8,
     .sets = "A 8 120 2", .said = ""},
    {"6/8 counts the dotted quarter", .meters = {{0, 6, 3, 0}}, .tempos = {{0, 333333, 0, 0}},
     .end = 24, .sets = "1 16 120 8 measures 1 to 8", .said = ""},
    {"12/8 counts four", .meters = {{0, 12, 3, 0}}, .end = 24, .sets = "1 16 80 4 measures 1 to 4",
     .said = ""},
    {"3/8 counts eighths", .meters = {{0, 3, 3, 0}}, .end = 12,
     .sets = "1 24 240 8 measures 1 to 8", .said = ""},
    {"6/4 counts quarters", .meters = {{0, 6, 2, 0}}, .end = 12,
     .sets = "1 12 120 2 measures 1 to 2", .said = ""},
    {"7/8 counts eighths", .meters = {{0, 7, 3, 0}}, .end = 14,
     .sets = "1 28 240 4 measures 1 to 4", .said = ""},
    {"2/2 counts halves", .meters = {{0, 2, 1, 0}}, .end = 32, .sets = "1 16 60 8 measures 1 to 8",
     .said = ""},
    {"or quarters, when that is asked for", .meters = {{0, 2, 1, 0}}, .end = 32,
     .wish = {.beat = BEAT_QUARTER}, .sets = "1 32 120 8 measures 1 to 8", .said = ""},
    {"two measures of 7/8 are seven quarters", .meters = {{0, 7, 3, 0}}, .end = 14,
     .wish = {.beat = BEAT_QUARTER, .every = 2},
     .sets = "1 7 120 2 measures 1 to 2; 2 7 120 2 measures 3 to 4", .said = ""},
    {"an odd measure at the end is held out", .meters = {{0, 7, 3, 0}}, .end = 10.5,
     .wish = {.beat = BEAT_QUARTER, .every = 2},
     .sets = "1 7 120 2 measures 1 to 2; 2 4 120 1 measure 3",
     .said = "the music ends 0.50 counts before a beat; the last count is held out\n"},
    {"a set that changes its tempo at a measure is parted there",
     .tempos = {{0, 416667, 0, 0}, {8, 500000, 0, 0}}, .marks = {{0, 0, 0, "A"}, {16, 0, 0, "B"}},
     .end = 24, .sets = "A 8 144 2; A+8 8 120 2; B 8 120 2",
     .said = "the tempo changes within A, which becomes 2 sets: A, A+8\n"},
    {"and where the beat changes with the meter", .meters = {{0, 4, 2, 0}, {8, 6, 3, 0}}, .end = 20,
     .sets = "1 8 120 2 measures 1 to 6; 1+8 8 80 4 measures 1 to 6",
     .said = "another note is counted from measure 3 on, within 1 (--beat says one for all), which "
             "becomes 2 sets: 1, 1+8\n"},
    {"a tempo of its own for every measure makes as many sets",
     .tempos = {{0, 400000, 0, 0},
                {4, 600000, 0, 0},
                {8, 400000, 0, 0},
                {12, 600000, 0, 0},
                {16, 400000, 0, 0},
                {20, 600000, 0, 0}},
     .end = 24,
     .sets = "1 4 150 1 measures 1 to 6; 1+4 4 100 1 measures 1 to 6; 1+8 4 150 1 measures 1 to 6; "
             "1+12 4 100 1 measures 1 to 6; 1+16 4 150 1 measures 1 to 6; "
             "1+20 4 100 1 measures 1 to 6",
     .said = "the tempo changes within 1, which becomes 6 sets: 1, 1+4, 1+8, 1+12, 1+16, 1+20\n"},
    {"a tempo that wavers from count to count does not, and is told",
     .tempos = {{0, 400000, 0, 0},
                {1, 600000, 0, 0},
                {2, 400000, 0, 0},
                {3, 600000, 0, 0},
                {4, 400000, 0, 0},
                {5, 600000, 0, 0},
                {6, 400000, 0, 0},
                {7, 600000, 0, 0},
                {8, 400000, 0, 0},
                {9, 600000, 0, 0},
                {10, 400000, 0, 0}},
     .end = 12, .sets = "1 12 116.65-131.94 3 measures 1 to 3",
     .said = "1: a count of it may come 0.2 counts from where the music has it, since its "
             "tempo wavers\n"},
    {"a new tempo at a marker parts nothing", .tempos = {{0, 416667, 0, 0}, {8, 500000, 0, 0}},
     .marks = {{0, 0, 0, "A"}, {8, 0, 0, "B"}}, .end = 16, .sets = "A 8 144 2; B 8 120 2",
     .said = ""},
};

static void sets_come_out(void **row)
{
    const struct made *r = *row;
    struct arena a = {0};
    struct sets_made m;
    struct score score;
    struct err e = {0};
    struct buf b = song(r->meters, r->tempos, r->marks, r->end), said = {0}, wanted = {0};
    if (!sets_of(&a, b.p, b.n, &r->wish, &m, &score, &e))
        fail_msg("%s", e.text);
    assert_string_equal(sets_said(&a, &m.list), r->sets);
    for (size_t i = 0; i < m.n_said; i++)
        buf_printf(&said, "%s\n", m.said[i]);
    if (!r->tempos[0].x) /* Standard MIDI Files 1.0: 120 are assumed */
        buf_str(&wanted, "the file says no tempo; a MIDI file without one means 120 quarters a "
                         "minute, which is assumed\n");
    buf_str(&wanted, r->said);
    assert_string_equal(buf_text(&said), buf_text(&wanted));
    arena_free(&a);
    buf_free(&b);
    buf_free(&said);
    buf_free(&wanted);
}

static const struct refused {
    const char *name;
    struct at meters[4], tempos[4], marks[4];
    double end;
    struct sets_wish wish;
    const char *said;
} refused[] = {
    {"a marker half a count off", .marks = {{0, 0, 0, "A"}, {9.5, 0, 0, "B"}}, .end = 16,
     .said = "measure 3: the marker 'B' lies 0.50 counts behind a beat, and a set begins on one; "
             "move it, or choose another beat (--beat eighth)"},
    {"a measure that begins off the beat", .meters = {{0, 7, 3, 0}}, .end = 14,
     .wish = {.beat = BEAT_QUARTER, .every = 1},
     .said = "measure 2: its beginning lies 0.50 counts behind a beat, and a set begins on one; "
             "move it, or choose another beat (--beat eighth)"},
    {"a set of more counts than a table holds", .marks = {{0, 0, 0, "A"}, {8, 0, 0, "B"}},
     .end = 1200,
     .said = "set B would have 1192 counts, and a set has 999 at most; set more "
             "markers, or say --every N"},
    {"a tempo beyond what a table holds", .tempos = {{0, 250000, 0, 0}}, .end = 16,
     .wish = {.beat = BEAT_EIGHTH},
     .said = "measure 1: 480 counts a minute, and a set has 20 to 400; choose another beat "
             "(--beat)"},
    {"markers that are not there", .end = 16, .wish = {.markers = true},
     .said = "no markers or rehearsal marks; leave --markers out, or set some in the score"},
};

static void no_sets_come_out(void **row)
{
    const struct refused *r = *row;
    struct arena a = {0};
    struct sets_made m;
    struct score score;
    struct err e = {0};
    struct buf b = song(r->meters, r->tempos, r->marks, r->end);
    assert_false(sets_of(&a, b.p, b.n, &r->wish, &m, &score, &e));
    assert_string_equal(e.text, r->said);
    assert_int_equal(e.code, ERR_INPUT);
    arena_free(&a);
    buf_free(&b);
}

/* --- tempos ------------------------------------------------------------------------------------- */

static struct move move_of(const struct set *s)
{
    return (struct move){.counts = s->counts, .bpm0 = s->tempo, .bpm1 = s->tempo_end};
}

/* The times by which boxcall places counts (count/tempo.h) against those of the score. */
static double worst_count(const struct sets_made *m, const struct score *score, double beat)
{
    double worst = 0, passed = 0;
    for (size_t i = 0; i < m->list.n; i++) {
        const struct move move = move_of(&m->list.at[i]);
        for (int c = 0; c <= move.counts; c++) {
            const double due = score_seconds(score, (passed + c) * beat) - m->place[i].s;
            worst = fmax(worst, fabs(tempo_seconds(&move, c + 1) - due));
        }
        passed += move.counts;
    }
    return worst;
}

/* 16 counts at 132 bpm are 7.272727 s (16 * 60 / 132), though the file can only say 454545
 * microseconds, which are 7.272720 s. */
static void a_plain_tempo_comes_out_plain(void **unused)
{
    (void)unused;
    struct arena a = {0};
    struct sets_made m;
    struct score score;
    struct err e = {0};
    struct buf b = song(NULL, (struct at[2]){{0, 454545, 0, 0}}, NULL, 16);
    assert_true(sets_of(&a, b.p, b.n, &(struct sets_wish){0}, &m, &score, &e));
    const struct move move = move_of(&m.list.at[0]);
    assert_true(m.list.at[0].tempo == 132);
    assert_true(fabs(tempo_seconds(&move, 17) - 7.272727) < 5e-7);
    arena_free(&a);
    buf_free(&b);
}

/* A ramp that is linear in counts, 120 to 160 over 16, takes 60 * 16 * ln(160/120) / 40 s =
 * 6.904369739 s. Written into the file as a tempo for every 32nd, each with its middle's. */
static void a_ritardando_in_steps_comes_out_as_the_line_it_was(void **unused)
{
    (void)unused;
    static const double ways[][2] = {{120, 160}, {160, 120}, {144, 92}};
    for (size_t w = 0; w < 3; w++) {
        enum { STEPS = 16 * 8 };
        struct at tempos[STEPS + 1] = {{0}};
        for (int i = 0; i < STEPS; i++) {
            const double bpm = ways[w][0] + (ways[w][1] - ways[w][0]) * (i + 0.5) / STEPS;
            tempos[i] = (struct at){i / 8.0, (int)lround(60e6 / bpm), 0, 0};
        }
        struct arena a = {0};
        struct sets_made m;
        struct score score;
        struct err e = {0};
        struct buf b = song(NULL, tempos, NULL, 16);
        assert_true(sets_of(&a, b.p, b.n, &(struct sets_wish){0}, &m, &score, &e));
        assert_int_equal(m.list.n, 1);
        assert_true(fabs(m.list.at[0].tempo - ways[w][0]) < 0.05);
        assert_true(fabs(m.list.at[0].tempo_end - ways[w][1]) < 0.05);
        const struct move move = move_of(&m.list.at[0]);
        if (w < 2)
            assert_true(fabs(tempo_seconds(&move, 17) - 6.904369739) < 0.0006);
        assert_true(worst_count(&m, &score, 1) < 0.002);
        arena_free(&a);
        buf_free(&b);
    }
}

static void a_ritardando_at_the_end_of_a_set_begins_a_part_of_its_own(void **unused)
{
    (void)unused;
    struct at tempos[10] = {{0, 416667, 0, 0}};
    for (int i = 0; i < 8; i++)
        tempos[i + 1] = (struct at){24 + i, (int)lround(60e6 / (144 - 44 * (i + 0.5) / 8)), 0, 0};
    struct arena a = {0};
    struct sets_made m;
    struct score score;
    struct err e = {0};
    struct buf b = song(NULL, tempos, NULL, 32);
    assert_true(sets_of(&a, b.p, b.n, &(struct sets_wish){0}, &m, &score, &e));
    assert_int_equal(m.list.n, 2);
    assert_string_equal(m.list.at[1].label, "1+24");
    assert_true(m.list.at[0].tempo == 144 && m.list.at[0].tempo_end == 144);
    assert_true(fabs(m.list.at[1].tempo - 144) < 0.5 && fabs(m.list.at[1].tempo_end - 100) < 0.5);
    assert_true(worst_count(&m, &score, 1) < 0.01);
    arena_free(&a);
    buf_free(&b);
}

/* A player's tempo, which wavers by three in a thousand at every count, and one new tempo. */
static void a_change_is_found_among_many_small_ones(void **unused)
{
    (void)unused;
    enum { COUNTS = 80, AT = 56 };
    struct at tempos[COUNTS + 1] = {{0}};
    for (int i = 0; i < COUNTS; i++)
        tempos[i] = (struct at){i, (i < AT ? 416667 : 500000) + (i % 2) * 1250, 0, 0};
    struct arena a = {0};
    struct sets_made m;
    struct score score;
    struct err e = {0};
    struct buf b = song(NULL, tempos, NULL, COUNTS);
    assert_true(sets_of(&a, b.p, b.n, &(struct sets_wish){.every = 20}, &m, &score, &e));
    assert_int_equal(m.list.n, 2);
    assert_string_equal(m.list.at[1].label, "1+56");
    assert_true(worst_count(&m, &score, 1) < 0.005);
    arena_free(&a);
    buf_free(&b);
}

/* Whatever the tempos: every set takes as long as its music to half a millisecond, counts add up,
 * and no count is more than half a count away, unless that was said. */
static void sets_last_as_long_as_their_music(void **unused)
{
    (void)unused;
    uint64_t state = 1;
    for (int round = 0; round < 60; round++) {
        struct at tempos[40] = {{0}}, marks[9] = {{0}};
        double at = 0;
        for (int i = 0; i < 38; i++) {
            state = state * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
            tempos[i] = (struct at){at, 300000 + (int)(state >> 33) % 400000, 0, 0};
            at += 0.25 + (double)(state >> 40 & 15) / (1 + round % 4);
        }
        for (int i = 0; i < 8; i++)
            marks[i] = (struct at){12.0 * i, 0, 0, "A"};
        struct arena a = {0};
        struct sets_made m;
        struct score score;
        struct err e = {0};
        struct buf b = song(NULL, tempos, marks, 96);
        if (!sets_of(&a, b.p, b.n, &(struct sets_wish){0}, &m, &score, &e))
            fail_msg("%s", e.text);
        int counts = 0;
        for (size_t i = 0; i < m.list.n; i++) {
            const struct move move = move_of(&m.list.at[i]);
            assert_true(fabs(tempo_length(&move) - m.place[i].seconds) <= 0.0005 + 1e-9);
            assert_true(fabs(score_seconds(&score, counts) - m.place[i].s) < 1e-9);
            counts += move.counts;
        }
        assert_int_equal(counts, lround(score.length));
        arena_free(&a);
        buf_free(&b);
    }
}

/* --- pickups, MusicXML --------------------------------------------------------------------------- */

static void a_pickup_of_half_a_count_is_left_out_and_one_of_a_count_is_a_set(void **unused)
{
    (void)unused;
    static const char *const units[] = {"1", "2", "3"};
    static const char *const want[] = {"1 32 96 8 measures 1 to 8; 2 8 96 2 measures 9 to 10",
                                       "1 33 96 9 measures 0 to 8; 2 8 96 2 measures 9 to 10",
                                       "1 33 96 9 measures 0 to 8; 2 8 96 2 measures 9 to 10"};
    for (size_t k = 0; k < 3; k++) {
        struct arena a = {0};
        struct sets_made m;
        struct score score;
        struct err e = {0};
        struct buf xml = {0};
        buf_printf(&xml,
                   XML_OPEN "<measure number=\"0\" implicit=\"yes\">%s%s<note><rest/>"
                            "<duration>%s</duration></note></measure>",
                   XML_44, XML_SOUND("tempo=\"96\""), units[k]);
        for (int i = 1; i <= 10; i++)
            buf_printf(&xml, "<measure number=\"%d\">" XML_NOTE("8") "</measure>", i);
        buf_str(&xml, XML_CLOSE);
        if (!sets_of(&a, xml.p, xml.n, &(struct sets_wish){0}, &m, &score, &e))
            fail_msg("%s", e.text);
        assert_string_equal(sets_said(&a, &m.list), want[k]);
        assert_int_equal(m.n_said, k != 1);
        arena_free(&a);
        buf_free(&xml);
    }
}

/* 8 measures of 4/4 at 132 with a repeat, then 4 of 6/8 that slow down, then 4 of 5/8: played out by
 * hand in the one, with signs in the other. */
static const int same_us[] = {454545, 333333, 363636, 400000, 444444, 300000};

static struct buf same_as_midi(void)
{
    struct smf s = {.format = 1, .tracks = 2, .division = PPQ};
    long tick = 0;
    smf_meter(&s, 0, 4, 2);
    smf_tempo(&s, 0, (unsigned)same_us[0]);
    for (int i = 0; i < 16; i++, tick += 4 * PPQ)
        if (i % 4 == 0)
            smf_text(&s, 6, tick, i % 8 ? "B" : "A");
    smf_meter(&s, tick, 6, 3);
    smf_text(&s, 6, tick, "The slow song");
    for (int i = 0; i < 4; i++, tick += 3 * PPQ)
        smf_tempo(&s, tick, (unsigned)same_us[i + 1]);
    smf_meter(&s, tick, 5, 3);
    smf_tempo(&s, tick, (unsigned)same_us[5]);
    smf_text(&s, 6, tick, "D");
    s.end = tick + 4 * 5 * PPQ / 2;
    return smf_bytes(&s);
}

static struct buf same_as_xml(void)
{
    struct buf xml = {0}, tempo = {0};
    buf_printf(&tempo, "%s<sound tempo=\"%.9f\"/>" XML_MARK("A"), XML_FORWARD, 60e6 / same_us[0]);
    buf_str(&xml, XML_OPEN);
    for (int i = 0; i < 8; i++)
        xml_measure(&xml, i + 1,
                    i == 0   ? buf_text(&tempo)
                    : i == 4 ? XML_MARK("B")
                             : "",
                    i == 7 ? XML_BACK : "");
    for (int i = 0; i < 8; i++) {
        buf_printf(&xml, "<measure number=\"%d\">", i + 9);
        if (i % 4 == 0)
            buf_printf(&xml,
                       "<attributes><time><beats>%s</beats><beat-type>8</beat-type></time>"
                       "</attributes>%s",
                       i ? "3+2" : "6", i ? XML_MARK("D") : XML_MARK("The slow song"));
        if (i <= 4)
            buf_printf(&xml, "<direction><sound tempo=\"%.9f\"/></direction>",
                       60e6 / same_us[i + 1]);
        buf_printf(&xml, "<note><rest/><duration>%d</duration></note></measure>", i < 4 ? 6 : 5);
    }
    buf_str(&xml, XML_CLOSE);
    buf_free(&tempo);
    return xml;
}

static void the_same_music_in_both_formats_gives_the_same_sets(void **unused)
{
    (void)unused;
    struct arena a = {0};
    struct sets_made midi, music;
    struct score from_midi, from_xml;
    struct err e = {0};
    struct buf b = same_as_midi(), xml = same_as_xml();
    if (!sets_of(&a, b.p, b.n, &(struct sets_wish){0}, &midi, &from_midi, &e) ||
        !sets_of(&a, xml.p, xml.n, &(struct sets_wish){0}, &music, &from_xml, &e))
        fail_msg("%s", e.text);
    assert_int_equal(from_midi.n_measures, 24);
    assert_int_equal(from_xml.n_measures, 24);
    for (size_t i = 0; i < 24; i++)
        assert_true(fabs(score_seconds(&from_midi, from_midi.measures[i].at) -
                         score_seconds(&from_xml, from_xml.measures[i].at)) < 0.001);
    assert_true(midi.list.n >= 6);
    /* what a measure is called is the one thing that differs */
    assert_string_equal(sets_said(&a, &midi.list), sets_said(&a, &music.list));
    arena_free(&a);
    buf_free(&b);
    buf_free(&xml);
}

int main(void)
{
    static struct cases all = {0};
    cases_of(&all, made, sets_come_out);
    cases_of(&all, refused, no_sets_come_out);
    case_test(&all, a_plain_tempo_comes_out_plain);
    case_test(&all, a_ritardando_in_steps_comes_out_as_the_line_it_was);
    case_test(&all, a_ritardando_at_the_end_of_a_set_begins_a_part_of_its_own);
    case_test(&all, a_change_is_found_among_many_small_ones);
    case_test(&all, sets_last_as_long_as_their_music);
    case_test(&all, a_pickup_of_half_a_count_is_left_out_and_one_of_a_count_is_a_set);
    case_test(&all, the_same_music_in_both_formats_gives_the_same_sets);
    return cases_run(&all, "sets");
}
