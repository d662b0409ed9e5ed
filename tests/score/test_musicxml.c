/* MusicXML: what is read, what is refused, and in which order its measures are played. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "score/made_xml.h"
#include "score/musicxml.h"

static bool read_score(struct arena *a, const char *xml, size_t n, struct score *out, struct err *e)
{
    return score_read(a, &(struct table_text){xml, n, "song.xml", NULL}, out, e);
}

static struct score score_of(struct arena *a, const char *xml)
{
    struct score s;
    struct err e = {0};
    if (!read_score(a, xml, strlen(xml), &s, &e))
        fail_msg("%s", e.text);
    return s;
}

/* --- the order of the measures ------------------------------------------------------------------
 * Worked out by hand, as a musician reads the signs. */

static const struct order {
    const char *name;
    const char *measure[10]; /* what each has besides its notes */
    const char *played;
} orders[] = {
    {"without signs, once through", {"", "", ""}, "1 2 3"},
    {"a repeat goes back to its sign", {"", XML_FORWARD, XML_BACK, ""}, "1 2 3 2 3 4"},
    {"a repeat without a sign goes back to the beginning", {"", XML_BACK, ""}, "1 2 1 2 3"},
    {"a second one goes back to behind the first", {XML_BACK, "", XML_BACK}, "1 1 2 3 2 3"},
    {"one measure is repeated", {"", XML_FORWARD XML_BACK, ""}, "1 2 2 3"},
    {"a repeat is played as often as it says",
     {"", XML_FORWARD XML_BACK_TIMES("4"), ""},
     "1 2 2 2 2 3"},
    {"two endings",
     {XML_FORWARD, XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_END("2"), ""},
     "1 2 1 3 4"},
    {"endings of two measures",
     {"", XML_FORWARD, XML_VOLTA("1"), XML_VOLTA_BACK("1"), XML_VOLTA("2"), XML_VOLTA_END("2"), ""},
     "1 2 3 4 2 5 6 7"},
    {"one ending for the first two times",
     {"", XML_VOLTA("1, 2") XML_VOLTA_BACK("1, 2"), XML_VOLTA("3") XML_VOLTA_END("3"), ""},
     "1 2 1 2 1 3 4"},
    {"three endings",
     {"", XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_BACK("2"),
      XML_VOLTA("3") XML_VOLTA_END("3")},
     "1 2 1 3 1 4"},
    {"a last ending that ends with a repeat sign is played once",
     {"", XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_BACK("2"), ""},
     "1 2 1 3 4"},
    {"a first ending without a second", {"", XML_VOLTA("1") XML_VOLTA_BACK("1"), ""}, "1 2 1 3"},
    {"a repeat behind endings begins behind them",
     {"", XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_END("2"), "", XML_BACK, ""},
     "1 2 1 3 4 5 4 5 6"},
    {"two repeats with endings",
     {XML_FORWARD, XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_END("2"),
      XML_FORWARD, XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_END("2")},
     "1 2 1 3 4 5 4 6"},
    {"da capo plays all again, to the end", {"", XML_SOUND("dacapo=\"yes\""), ""}, "1 2 1 2 3"},
    {"da capo al fine",
     {"", XML_SOUND("fine=\"yes\""), "", XML_SOUND("dacapo=\"yes\"")},
     "1 2 3 4 1 2"},
    {"dal segno al fine",
     {"", XML_SOUND("segno=\"s\""), XML_SOUND("fine=\"yes\""), XML_SOUND("dalsegno=\"s\"")},
     "1 2 3 4 2 3"},
    {"da capo al coda",
     {"", XML_SOUND("tocoda=\"c\""), "", XML_SOUND("dacapo=\"yes\""), XML_SOUND("coda=\"c\""), ""},
     "1 2 3 4 1 2 5 6"},
    {"dal segno al coda",
     {"", XML_SOUND("segno=\"s\""), XML_SOUND("tocoda=\"c\""), "", XML_SOUND("dalsegno=\"s\""),
      XML_SOUND("coda=\"c\""), ""},
     "1 2 3 4 5 2 3 6 7"},
    {"two jumps, each to its own coda",
     {"", XML_SOUND("segno=\"s\"") XML_SOUND("tocoda=\"c\""), XML_SOUND("tocoda=\"d\""),
      XML_SOUND("dalsegno=\"s\""), XML_SOUND("coda=\"c\""), XML_SOUND("dalsegno=\"s\""),
      XML_SOUND("coda=\"d\"")},
     "1 2 3 4 2 5 6 2 3 7"},
    {"behind a jump repeats are not played again",
     {"", XML_FORWARD XML_BACK, XML_SOUND("fine=\"yes\""), XML_SOUND("dacapo=\"yes\"")},
     "1 2 2 3 4 1 2 3"},
    {"unless the repeat says so",
     {"", XML_FORWARD "<barline><repeat direction=\"backward\" after-jump=\"yes\"/></barline>",
      XML_SOUND("fine=\"yes\""), XML_SOUND("dacapo=\"yes\"")},
     "1 2 2 3 4 1 2 2 3"},
    {"behind a jump the last ending is played",
     {"", XML_VOLTA("1") XML_VOLTA_BACK("1"), XML_VOLTA("2") XML_VOLTA_END("2"),
      XML_SOUND("fine=\"yes\""), XML_SOUND("dacapo=\"yes\"")},
     "1 2 1 3 4 5 1 3 4"},
    {"a jump at a repeat's end waits for its last time",
     {"", XML_BACK XML_SOUND("dacapo=\"yes\""), ""},
     "1 2 1 2 1 2 3"},
    {"a fine at the end of a piece with no jump means nothing",
     {"", "", XML_SOUND("fine=\"yes\"")},
     "1 2 3"},
};

static void put_measures(struct buf *xml, const char *const *measure)
{
    buf_str(xml, XML_OPEN);
    for (int i = 0; i < 10 && measure[i]; i++)
        xml_measure(xml, i + 1, measure[i], "");
    buf_str(xml, XML_CLOSE);
}

static void measures_are_played_in_this_order(void **row)
{
    const struct order *r = *row;
    struct arena a = {0};
    struct buf xml = {0}, played = {0};
    put_measures(&xml, r->measure);
    const struct score s = score_of(&a, buf_text(&xml));
    for (size_t i = 0; i < s.n_measures; i++) {
        buf_printf(&played, "%s%s", i ? " " : "", s.measures[i].number);
        assert_true(fabs(s.measures[i].at - 4.0 * (double)i) < 1e-9);
    }
    assert_string_equal(buf_text(&played), r->played);
    arena_free(&a);
    buf_free(&xml);
    buf_free(&played);
}

/* --- measures and meters ------------------------------------------------------------------------ */

#define TIME(inner) "<attributes><divisions>2</divisions><time>" inner "</time></attributes>"
#define BEATS(b, t) "<beats>" b "</beats><beat-type>" t "</beat-type>"

static const struct length {
    const char *name, *measures;
    int beats, unit; /* of the last measure */
    double at[5];    /* where measures begin, and the end; 0 ends them behind the first */
} lengths[] = {
    {"a composite meter adds up",
     "<measure number=\"1\">" TIME(BEATS("3+2", "8")) XML_NOTE("5") "</measure>",
     5,
     8,
     {0, 2.5}},
    {"meters of two units add up in the smaller one",
     "<measure number=\"1\">" TIME(BEATS("3", "8") BEATS("2", "4")) XML_NOTE("7") "</measure>",
     7,
     8,
     {0, 3.5}},
    {"a pickup is as long as its notes",
     "<measure number=\"0\" implicit=\"yes\">" TIME(BEATS("4", "4"))
         XML_NOTE("2") "</measure>"
                       "<measure number=\"1\">" XML_NOTE("8") "</measure>",
     4,
     4,
     {0, 1, 5}},
    {"a measure that a repeat parts is as long as its notes",
     "<measure number=\"1\">" TIME(BEATS("4", "4"))
         XML_NOTE("6") "</measure>"
                       "<measure number=\"X1\" implicit=\"yes\">" XML_NOTE("2") "</measure>",
     4,
     4,
     {0, 3, 4}},
    {"a measure without notes is as long as its meter",
     "<measure number=\"1\">" TIME(BEATS("3", "4")) "</measure><measure number=\"2\"></measure>",
     3,
     4,
     {0, 3, 6}},
    {"voices, chords and graces fill a measure once",
     "<measure number=\"1\">" TIME(
         BEATS("2", "4")) "<note><grace/><pitch/></note><note><pitch/><duration>2</duration></note>"
                          "<note><chord/><pitch/><duration>2</duration></note>" XML_NOTE(
                              "2") "<backup><duration>4</duration></backup><forward><duration>3</"
                                   "duration></forward>" XML_NOTE("1") "</measure>",
     2,
     4,
     {0, 2}},
    {"divisions may change within a part",
     "<measure number=\"1\">" TIME(BEATS("2", "4")) XML_NOTE(
         "4") "</measure>"
              "<measure number=\"2\"><attributes><divisions>480</divisions></attributes>" XML_NOTE(
                  "960") "</measure>",
     2,
     4,
     {0, 2, 4}},
    {"triplets in whole divisions do not make a measure longer",
     "<measure number=\"1\"><attributes><divisions>100</divisions><time>" BEATS(
         "1", "4") "</time></attributes>" XML_NOTE("33") XML_NOTE("33") XML_NOTE("33") "</measure>",
     1,
     4,
     {0, 1}},
};

static void measures_begin_there(void **row)
{
    const struct length *r = *row;
    struct arena a = {0};
    struct buf xml = {0};
    buf_printf(&xml, "%s%s%s", XML_OPEN, r->measures, XML_CLOSE);
    const struct score s = score_of(&a, buf_text(&xml));
    size_t i = 1;
    for (; i < 5 && r->at[i] > 0; i++)
        assert_true(fabs((i < s.n_measures ? s.measures[i].at : s.length) - r->at[i]) < 1e-9);
    assert_int_equal(s.n_measures, i - 1);
    assert_int_equal(s.measures[s.n_measures - 1].meter.beats, r->beats);
    assert_int_equal(s.measures[s.n_measures - 1].meter.unit, r->unit);
    arena_free(&a);
    buf_free(&xml);
}

/* --- tempos -------------------------------------------------------------------------------------- */

#define METRONOME(inner)                                                                           \
    "<direction><direction-type><metronome>" inner "</metronome></direction-type></direction>"

static const struct tempo {
    const char *name, *extra;
    double at, bpm; /* of the last tempo, in quarters; bpm 0: none */
} tempos[] = {
    {"of a sound in a direction",
     "<direction><direction-type><words>Fast</words></direction-type><sound tempo=\"144\"/>"
     "</direction>",
     0, 144},
    {"of a sound by itself", XML_NOTE("2") XML_SOUND("tempo=\"144.5\""), 0, 144.5},
    {"of a metronome mark", METRONOME("<beat-unit>quarter</beat-unit><per-minute>132</per-minute>"),
     0, 132},
    {"of a dotted beat",
     METRONOME("<beat-unit>quarter</beat-unit><beat-unit-dot/><per-minute>120</per-minute>"), 0,
     180},
    {"of a beat with two dots",
     METRONOME("<beat-unit>half</beat-unit><beat-unit-dot/><beat-unit-dot/>"
               "<per-minute>60</per-minute>"),
     0, 210},
    {"of about so many", METRONOME("<beat-unit>half</beat-unit><per-minute>c. 72</per-minute>"), 0,
     144},
    {"of the sound, where a metronome says something else",
     "<direction><direction-type><metronome><beat-unit>quarter</beat-unit>"
     "<per-minute>100</per-minute></metronome></direction-type><sound tempo=\"98\"/></direction>",
     0, 98},
    {"not of a relation of two notes",
     METRONOME("<beat-unit>quarter</beat-unit><beat-unit>half</beat-unit>"), 0, 0},
    {"not of words", "<direction><direction-type><words>rit.</words></direction-type></direction>",
     0, 0},
    {"later, when an offset sounds",
     "<sound tempo=\"100\"/><direction><direction-type><words>a tempo</words></direction-type>"
     "<offset sound=\"yes\">4</offset><sound tempo=\"120\"/></direction>",
     2, 120},
    {"not later, when an offset only moves the words",
     "<sound tempo=\"100\"/>" XML_NOTE(
         "2") "<direction><direction-type><words>a tempo</words>"
              "</direction-type><offset>4</offset><sound tempo=\"120\"/></direction>" XML_NOTE("6"),
     1, 120},
};

static void the_tempo_is(void **row)
{
    const struct tempo *r = *row;
    struct arena a = {0};
    struct buf xml = {0};
    buf_printf(&xml, "%s<measure number=\"1\">%s%s</measure>%s", XML_OPEN, XML_44, r->extra,
               XML_CLOSE);
    const struct score s = score_of(&a, buf_text(&xml));
    if (r->bpm <= 0) {
        assert_int_equal(s.n_tempos, 0);
    } else {
        const struct score_tempo *t = &s.tempos[s.n_tempos - 1];
        assert_true(fabs(t->at - r->at) < 1e-9);
        assert_true(fabs(t->bpm - r->bpm) < 1e-9);
    }
    arena_free(&a);
    buf_free(&xml);
}

#define WORDS(text)                                                                                \
    "<direction><direction-type><words>" text "</words></direction-type></direction>"

static const struct passed {
    const char *name, *extra; /* in measure 2 of 5 */
    const char *said;
} passed[] = {
    {"a jump in words", WORDS("D.S. al Coda"),
     "measure 2: 'D.S. al Coda' stands there for players alone, and is not played\n"},
    {"and a da capo", WORDS("Da Capo"),
     "measure 2: 'Da Capo' stands there for players alone, and is not played\n"},
    {"not one that is said to programs too", WORDS("D.C.") XML_SOUND("dacapo=\"yes\""), ""},
    {"a ritardando without a tempo", WORDS("molto rit. ") WORDS("rit."),
     "measure 2: 'rit.' has no tempo behind it, and changes none\n"},
    {"not one that is written out", WORDS("rit.") XML_SOUND("tempo=\"96\""), ""},
    {"no other words", WORDS("dscussion") WORDS("horns up"), ""},
    {"a relation of two notes",
     "<direction><direction-type><metronome><beat-unit>quarter</beat-unit><beat-unit>quarter"
     "</beat-unit><beat-unit-dot/></metronome></direction-type></direction>",
     "measure 2: 'a note = another' is a relation of two notes without a tempo, and changes "
     "none\n"},
};

static void words_for_players_are_told(void **row)
{
    const struct passed *r = *row;
    const char *measures[10] = {"", r->extra, "", "", ""};
    struct arena a = {0};
    struct buf xml = {0};
    put_measures(&xml, measures);
    const struct score s = score_of(&a, buf_text(&xml));
    assert_string_equal(s.passed, r->said);
    arena_free(&a);
    buf_free(&xml);
}

/* By hand: measures 1 2 3 2 3 4, of 2 s at 120 and of 4 s from measure 3 on. */
static void a_repeat_goes_back_to_the_tempo_that_the_page_has_there(void **unused)
{
    (void)unused;
    static const char *const measures[10] = {XML_SOUND("tempo=\"120\""), XML_FORWARD,
                                             XML_SOUND("tempo=\"60\"") XML_BACK, ""};
    static const double seconds[] = {0, 2, 4, 8, 10, 14, 18};
    struct arena a = {0};
    struct buf xml = {0};
    put_measures(&xml, measures);
    const struct score s = score_of(&a, buf_text(&xml));
    assert_int_equal(s.n_measures, 6);
    for (size_t i = 0; i < 7; i++)
        assert_true(fabs(score_seconds(&s, 4.0 * (double)i) - seconds[i]) < 1e-9);
    arena_free(&a);
    buf_free(&xml);
}

static void rehearsal_marks_of_all_parts_stand_once_and_again_in_a_repeat(void **unused)
{
    (void)unused;
    struct arena a = {0};
    struct buf xml = {0};
    buf_str(&xml, XML_OPEN);
    xml_measure(&xml, 1, XML_MARK("A"), "");
    xml_measure(&xml, 2, XML_FORWARD XML_MARK("B") XML_BACK, "");
    buf_str(&xml, "</part><part id=\"P2\">");
    xml_measure(&xml, 1, XML_MARK("A"), "");
    buf_str(&xml, "<measure number=\"2\">" XML_MARK("B") XML_NOTE("4") XML_MARK(" fill\n in ")
                      XML_NOTE("4") "</measure>" XML_CLOSE);
    const struct score s = score_of(&a, buf_text(&xml));
    static const struct score_marker want[] = {
        {0, "A"}, {4, "B"}, {6, "fill in"}, {8, "B"}, {10, "fill in"}};
    assert_int_equal(s.n_markers, 5);
    for (size_t i = 0; i < 5; i++) {
        assert_true(fabs(s.markers[i].at - want[i].at) < 1e-9);
        assert_string_equal(s.markers[i].text, want[i].text);
    }
    assert_string_equal(s.title, "Larkspur");
    arena_free(&a);
    buf_free(&xml);
}

static void a_timewise_score_is_read_as_a_partwise_one(void **unused)
{
    (void)unused;
    static const char timewise[] =
        "<score-timewise><part-list/>"
        "<measure number=\"1\"><part id=\"P1\">" XML_44 XML_MARK("A")
            XML_NOTE("8") "</part>"
                          "<part "
                          "id=\"P2\"><attributes><divisions>4</divisions></attributes>" XML_NOTE(
                              "16") "</part></measure><measure number=\"2\"><part "
                                    "id=\"P1\">" XML_SOUND("tempo=\"90\"") XML_NOTE("8") XML_BACK
        "</part><part id=\"P2\">" XML_NOTE("16") "</part></measure>"
                                                 "</score-timewise>";
    struct arena a = {0};
    const struct score s = score_of(&a, timewise);
    assert_int_equal(s.n_measures, 4);
    assert_true(fabs(s.length - 16) < 1e-9);
    assert_int_equal(s.n_markers, 2);
    assert_true(fabs(s.tempos[0].bpm - 90) < 1e-9);
    assert_true(fabs(s.tempo_said_at - 4) < 1e-9);
    arena_free(&a);
}

/* --- refusals ------------------------------------------------------------------------------------ */

#define ONE(extra) XML_OPEN "<measure number=\"7\">" XML_44 extra "</measure>" XML_CLOSE
#define LOL(n, m)                                                                                  \
    "<!ENTITY l" n " \"&l" m ";&l" m ";&l" m ";&l" m ";&l" m ";&l" m ";&l" m ";&l" m ";&l" m       \
    ";&l" m ";\">"

static const struct refusal {
    const char *name, *xml, *said; /* said: how the message ends */
} refusals[] = {
    {"another kind of XML", "<?xml version=\"1.0\"?><svg/>",
     "song.xml:1:26: it is 'svg', and not a score in MusicXML; export it as MusicXML or MIDI"},
    {"no measures", XML_OPEN XML_CLOSE, "song.xml: no measures; export the score again"},
    {"music without a meter", ONE("<attributes><time><senza-misura/></time></attributes>"),
     "measure 7: music without a meter has no counts; write it in measures (a hold stands in a "
     "table of sets)"},
    {"a meter of no beats", ONE("<attributes><time>" BEATS("0", "4") "</time></attributes>"),
     "measure 7: '0' is not a meter's beats; export the score again"},
    {"a meter over three", ONE("<attributes><time>" BEATS("4", "3") "</time></attributes>"),
     "measure 7: '3' is not a meter's beat; export the score again"},
    {"divisions of nothing", ONE("<attributes><divisions>0</divisions></attributes>"),
     "measure 7: '0' is not divisions of a quarter; export the score again"},
    {"a duration that is no number", ONE(XML_NOTE("nan")),
     "measure 7: 'nan' is not a duration; export the score again"},
    {"a measure without end", ONE(XML_NOTE("9999999")),
     "measure 7: longer than 256 quarters; no meter is"},
    {"a tempo that is no number", ONE(XML_SOUND("tempo=\"fast\"")),
     "measure 7: 'fast' is not a tempo; export the score again"},
    {"a tempo beyond any", ONE(XML_SOUND("tempo=\"99999\"")),
     "measure 7: a tempo of 99999 quarters a minute; correct it in the score"},
    {"an ending without a number", ONE(XML_VOLTA("")),
     "measure 7: '' is not the number of an ending; export the score again"},
    {"a repeat played a thousand times", ONE(XML_BACK_TIMES("1000")),
     "measure 7: '1000' is not how often a repeat is played; export the score again"},
    {"a segno that is nowhere", ONE(XML_SOUND("dalsegno=\"s\"")),
     "song.xml: measure 7: it goes to the segno 's', which no measure is; mark that measure, or "
     "take the jump out"},
    {"a coda that is nowhere", ONE(XML_SOUND("tocoda=\"c\" dacapo=\"yes\"")),
     "song.xml: measure 7: it goes to the coda 'c', which no measure is; mark that measure, or "
     "take "
     "the jump out"},
    {"a fine that the jump goes past",
     XML_OPEN "<measure number=\"1\">" XML_44 XML_SOUND(
         "fine=\"yes\"") "</measure>"
                         "<measure number=\"2\">" XML_SOUND(
                             "segno=\"s\"") "</measure>"
                                            "<measure number=\"3\">" XML_SOUND(
                                                "dalsegno=\"s\"") "</measure>" XML_CLOSE,
     "song.xml: measure 1: the fine is never reached behind the jump; mend the jumps, or take it "
     "out"},
    {"a billion laughs",
     "<?xml version=\"1.0\"?><!DOCTYPE score-partwise [<!ENTITY l0 \"ha\">" LOL("1", "0")
         LOL("2", "1") LOL("3", "2") LOL("4", "3") LOL("5", "4") LOL("6", "5") LOL("7", "6")
             LOL("8", "7")
                 LOL("9", "8") "]><score-partwise><part><measure number=\"&l9;\">&l9;</measure>"
                               "</part></score-partwise>",
     "it declares an entity 'l0' of its own, which no score needs; export the score again"},
    {"an entity that names a file",
     "<?xml version=\"1.0\"?><!DOCTYPE score-partwise [<!ENTITY x SYSTEM \"file:///etc/passwd\">]>"
     "<score-partwise><work><work-title>&x;</work-title></work></score-partwise>",
     "it declares an entity 'x' of its own, which no score needs; export the score again"},
    {"a parameter entity that names a file",
     "<?xml version=\"1.0\"?><!DOCTYPE score-partwise [<!ENTITY % x SYSTEM \"file:///etc/passwd\">"
     "%x;]><score-partwise/>",
     "it declares an entity 'x' of its own, which no score needs; export the score again"},
    {"an encoding that hides its tags", "<?xml version=\"1.0\" encoding='UTF-7'?><score-partwise/>",
     "song.xml: its encoding 'UTF-7' is not read; export it as UTF-8"},
    {"tags that do not match", "<score-partwise><part></score-partwise>",
     "song.xml:1:40: not sound XML: 'part' is closed by 'score-partwise'; export the score again"},
};

static void is_refused_in_a_line(void **row)
{
    const struct refusal *r = *row;
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    assert_false(read_score(&a, r->xml, strlen(r->xml), &s, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_memory_equal(e.text, "song.xml:", 9);
    const size_t n = strlen(e.text), m = strlen(r->said);
    if (n < m || strcmp(e.text + n - m, r->said) != 0)
        fail_msg("'%s' does not end with '%s'", e.text, r->said);
    arena_free(&a);
}

/* A title of the file's bytes would be in the score: nothing outside is ever read. */
static void an_external_dtd_is_not_read(void **unused)
{
    (void)unused;
    static const char xml[] =
        "<?xml version=\"1.0\"?><!DOCTYPE score-partwise SYSTEM \"file:///etc/passwd\">"
        "<score-partwise><part><measure number=\"1\"/></part></score-partwise>";
    struct arena a = {0};
    assert_int_equal(score_of(&a, xml).n_measures, 1);
    arena_free(&a);
}

static void every_beginning_of_a_score_is_refused_in_a_line(void **unused)
{
    (void)unused;
    struct buf xml = {0};
    buf_str(&xml, XML_OPEN);
    xml_measure(&xml, 1, XML_MARK("A") XML_SOUND("tempo=\"132\"") XML_FORWARD, "");
    xml_measure(&xml, 2, XML_VOLTA("1") XML_VOLTA_BACK("1"), "<!-- a note -->");
    xml_measure(&xml, 3, XML_VOLTA("2"), XML_VOLTA_END("2"));
    buf_str(&xml, XML_CLOSE);
    for (size_t n = 0; n + 1 < xml.n; n++) { /* all but the newline at its end */
        char *cut = xcalloc(n ? n : 1, 1);
        struct arena a = {0};
        struct score s;
        struct err e = {0};
        memcpy(cut, xml.p, n);
        assert_false(musicxml_read(&a, &(struct table_text){cut, n, "song.xml", NULL}, &s, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_memory_equal(e.text, "song.xml:", 9);
        assert_null(strchr(e.text, '\n'));
        arena_free(&a);
        free(cut);
    }
    buf_free(&xml);
}

/* Attributes are compared each with each: 300,000 of them would take minutes. */
static void a_tag_of_more_letters_than_any_score_has_is_not_parsed(void **unused)
{
    (void)unused;
    for (int wide = 0; wide < 2; wide++) {
        struct buf xml = {0}, text = {0};
        buf_str(&text, "<score-partwise>\n<part");
        for (int i = 0; i < 300000; i++)
            buf_printf(&text, " a%d='>'", i);
        buf_str(&text, "/></score-partwise>");
        if (wide)
            buf_add(&xml, "\xfe\xff", 2);
        for (size_t i = 0; i < text.n; i++) {
            if (wide)
                buf_char(&xml, '\0');
            buf_char(&xml, text.p[i]);
        }
        struct arena a = {0};
        struct score s;
        struct err e = {0};
        assert_false(read_score(&a, xml.p, xml.n, &s, &e));
        assert_string_equal(e.text, "song.xml:2: a tag or text of more than 8192 letters, which no "
                                    "score needs; export the score again");
        arena_free(&a);
        buf_free(&xml);
        buf_free(&text);
    }
}

/* UTF-32 (XML 1.0, appendix F), and UTF-16 without the mark that it must have (4.3.3). */
static void letters_of_other_widths_are_not_parsed(void **unused)
{
    (void)unused;
    static const struct {
        const char *bytes;
        size_t n;
    } wide[] = {{"\xff\xfe\0\0<\0\0\0s\0\0\0", 12},
                {"\0\0\xfe\xff\0\0\0<", 8},
                {"<\0?\0x\0m\0l\0", 10},
                {"\0<\0?\0x\0m\0l", 10},
                {"\x4c\x6f\xa7\x94\x93", 5}};
    for (size_t i = 0; i < 5; i++) {
        struct arena a = {0};
        struct score s;
        struct err e = {0};
        const struct table_text file = {wide[i].bytes, wide[i].n, "song.xml", NULL};
        assert_false(musicxml_read(&a, &file, &s, &e));
        assert_string_equal(e.text, "song.xml: not XML; export the score again");
        arena_free(&a);
    }
}

/* UTF-16 and Latin-1 are XML, too (XML 1.0, 4.3.3). */
static void a_score_may_be_in_utf_16(void **unused)
{
    (void)unused;
    struct buf xml = {0};
    buf_add(&xml, "\xff\xfe", 2);
    static const char score[] = ONE(XML_MARK("A") XML_NOTE("8"));
    for (const char *s = score + strlen(XML_HEAD); *s; s++) {
        buf_char(&xml, *s);
        buf_char(&xml, '\0');
    }
    struct arena a = {0};
    struct score s;
    struct err e = {0};
    if (!read_score(&a, xml.p, xml.n, &s, &e))
        fail_msg("%s", e.text);
    assert_string_equal(s.markers[0].text, "A");
    arena_free(&a);
    buf_free(&xml);
}

int main(void)
{
    static struct cases all = {0};
    cases_of(&all, orders, measures_are_played_in_this_order);
    cases_of(&all, lengths, measures_begin_there);
    cases_of(&all, tempos, the_tempo_is);
    cases_of(&all, passed, words_for_players_are_told);
    case_test(&all, a_repeat_goes_back_to_the_tempo_that_the_page_has_there);
    case_test(&all, rehearsal_marks_of_all_parts_stand_once_and_again_in_a_repeat);
    case_test(&all, a_timewise_score_is_read_as_a_partwise_one);
    cases_of(&all, refusals, is_refused_in_a_line);
    case_test(&all, an_external_dtd_is_not_read);
    case_test(&all, every_beginning_of_a_score_is_refused_in_a_line);
    case_test(&all, a_tag_of_more_letters_than_any_score_has_is_not_parsed);
    case_test(&all, letters_of_other_widths_are_not_parsed);
    case_test(&all, a_score_may_be_in_utf_16);
    return cases_run(&all, "musicxml");
}
