/* Commentaries with times: WebVTT, SubRip, plain text with stamps. */
#include <stdio.h>
#include <string.h>

#include "lib/cases.h"
#include "talk/timed.h"

static struct arena memory;
static struct buf notes;

static struct timed read_bytes(const char *bytes, size_t n)
{
    struct timed out;
    struct err e;
    buf_clear(&notes);
    const struct timed_text file = {bytes, n, "talk.txt", &notes};
    if (!timed_read(&memory, &file, &out, &e))
        fail_msg("%s", e.text);
    return out;
}

static struct timed read_text(const char *text)
{
    return read_bytes(text, strlen(text));
}

/* "from to text" of each, milliseconds, a line each; a speaker in front of the text, anchors behind. */
static const char *told(const struct timed *t)
{
    struct buf b = {0};
    for (size_t i = 0; i < t->n; i++) {
        const struct timed_cue *c = &t->at[i];
        buf_printf(&b, "%lld %lld %s%s%s", (long long)c->from_us / 1000,
                   c->to_us < 0 ? -1 : (long long)c->to_us / 1000, c->speaker,
                   *c->speaker ? ": " : "", c->text);
        for (size_t k = 0; k < c->n_anchors; k++)
            buf_printf(&b, " {%zu %lld}", c->anchors[k].at, (long long)c->anchors[k].us / 1000);
        buf_char(&b, '\n');
    }
    const char *own = arena_strdup(&memory, buf_text(&b));
    buf_free(&b);
    return own;
}

/* --- files ------------------------------------------------------------------------------------------- */

static const struct whole {
    const char *name, *text, *told, *notes;
} wholes[] = {
    {"the shortest", "WEBVTT\n\n00:01.000 --> 00:02.500\nSet four\n", "1000 2500 Set four\n", ""},
    {"a mark of byte order, a title, CRLF, no last line end",
     "\xef\xbb\xbfWEBVTT Tuesday\r\nKind: captions\r\n\r\n1\r\n00:01.000 --> 00:02.000\r\nfeet\r\n"
     "together",
     "1000 2000 feet together\n", ""},
    {"CR alone", "WEBVTT\r\r00:01.000 --> 00:02.000\rfeet\r", "1000 2000 feet\n", ""},
    {"identifiers, settings, notes, styles and regions",
     "WEBVTT\n\nSTYLE\n::cue { color: red }\n\nREGION\nid:a\n\nNOTE nothing\nof it\n\n"
     "the first\n01:00:00.000-->01:00:01.000 line:-1 align:start position:10%,line-left\nhigher\n",
     "3600000 3601000 higher\n", ""},
    {"a blank line ends a cue, a line with an arrow begins the next",
     "WEBVTT\n\n00:01.000 --> 00:02.000\none\n00:03.000 --> 00:04.000\nthree\n\nlost\n",
     "1000 2000 one\n3000 4000 three\n", ""},
    {"cues that overlap and stand out of order",
     "WEBVTT\n\n00:05.000 --> 00:09.000\nb\n\n00:01.000 --> 00:07.000\na\n\n00:05.000 --> "
     "00:06.000\nc\n",
     "1000 7000 a\n5000 9000 b\n5000 6000 c\n", ""},
    {"tags, classes, voices and entities",
     "WEBVTT\n\n00:01.000 --> 00:02.000\n<v.loud Dana Whitlow><i.x>horns</i> &amp; <c>feet</c> "
     "&lt;3 &#39;up&#x27;&nbsp;now a < b &bogus;\n",
     "1000 2000 Dana Whitlow: horns & feet <3 'up' now a < b &bogus;\n", ""},
    {"times inside a cue, ascending and within it",
     "WEBVTT\n\n00:01.000 --> 00:09.000\nset <00:02.000>four <00:01.500>is "
     "<00:00:03.500>early <00:10.000>so\n",
     "1000 9000 set four is early so {4 2000} {12 3500}\n", ""},
    {"a broken stamp is named and the rest is read",
     "WEBVTT\n\n00:01.00 --> 00:02.000\nlost\n\n00:03.000 --> 00:04.000\nkept\n",
     "3000 4000 kept\n",
     "talk.txt:3: this is no time; write 00:01:02.500 --> 00:01:05.000. The cue is passed over\n"},

    {"SubRip",
     "1\n00:00:12,000 --> 00:00:15,123\nTrumpets,\nhorns up\n\n2\n00:00:16,5 --> 00:00:17.25 X1:5 "
     "Y1:7\n{\\an8}<font color=\"red\">again</font>\n",
     "12000 15123 Trumpets, horns up\n16500 17250 again\n", ""},
    {"without counters, hours or blank lines between",
     "01:02,000 --> 01:03,000\none\n01:04,000 --> 01:05,000\ntwo\n",
     "62000 63000 one\n64000 65000 two\n", ""},
    {"a blank line inside a text, a number that is said",
     "1\n00:00:01,000 --> 00:00:02,000\none\n\nmore\n8\n\n2\n00:00:03,000 --> 00:00:04,000\n5\n",
     "1000 2000 one more 8\n3000 4000 5\n", ""},
    {"a broken time in it",
     "1\n00:00:01,000 --> 00:00:02,000\none\n\n2\n00:00:6x,000 --> 00:00:04,000\nlost\n\n3\n"
     "00:00:05,000 --> 00:00:06,000\ntwo\n",
     "1000 2000 one\n5000 6000 two\n",
     "talk.txt:6: this is no time; write 00:01:02,500 --> 00:01:05,000. The text below it is "
     "passed "
     "over\n"},

    {"stamps on the line itself and on the line before",
     "[0:05] Good start.\nReally.\n\n1:02:03\nTubas, feet apart.\n\n12:30 - again\n",
     "5000 -1 Good start. Really.\n750000 -1 again\n3723000 -1 Tubas, feet apart.\n",
     "talk.txt:7: an earlier time than the one before it; is it right?\n"},
    {"round brackets, dashes, tenths, a paragraph of many lines",
     "(0:07) one\n0:08.5 \xe2\x80\x93 two & <b>\n0:09: three\nand four\n\nand five\n",
     "7000 -1 one\n8500 -1 two & <b>\n9000 -1 three and four and five\n", ""},
    {"times from and to",
     "[0:07 - 0:09] one\n0:11-0:12.5 two\n0:20\xe2\x80\x93"
     "0:15 three\n",
     "7000 9000 one\n11000 12500 two\n20000 -1 0:15 three\n", ""},
    {"what only looks like a time in the words is no stamp",
     "0:07 we meet at\n10:30pm and\n4:5ths of you\n2 trumpets\n",
     "7000 -1 we meet at 10:30pm and 4:5ths of you 2 trumpets\n", ""},
    {"a head without a time, and a time that is none",
     "Tuesday\nby Dana\n\n0:07 one\n[0:75] lost\nlost too\n0:80 lost\n0:09 two\n",
     "7000 -1 one\n9000 -1 two\n",
     "talk.txt:1: stands before the first time, and is passed over\n"
     "talk.txt:5: this is no time; write [1:05] or [1:02:03]. The paragraph is passed over\n"
     "talk.txt:7: this is no time; write [1:05] or [1:02:03]. The paragraph is passed over\n"},
    {"slips of the fingers in a stamp",
     "[0:07] one\n[0;14] lost\n0:20 two\n(1:04] lost\n1:30 three\n2:71] lost\n3:00 four (2 of "
     "them)\n[1] is no time, nor is (2.5 steps)\n",
     "7000 -1 one\n20000 -1 two\n90000 -1 three\n180000 -1 four (2 of them) [1] is no time, nor is "
     "(2.5 steps)\n",
     "talk.txt:2: this is no time; write [1:05] or [1:02:03]. The paragraph is passed over\n"
     "talk.txt:4: this is no time; write [1:05] or [1:02:03]. The paragraph is passed over\n"
     "talk.txt:6: this is no time; write [1:05] or [1:02:03]. The paragraph is passed over\n"},
    {"a SubRip time whose end is broken",
     "1\n00:00:01,000 --> 00:00:0x,000\nlost\n\n2\n00:00:05,000 --> 00:00:06,000 X1:10\nfeet\n",
     "5000 6000 feet\n",
     "talk.txt:2: this is no time; write 00:01:02,500 --> 00:01:05,000. The text below it is "
     "passed "
     "over\n"},
};

static void reads_as(void **state)
{
    const struct whole *w = *state;
    const struct timed t = read_text(w->text);
    assert_string_equal(told(&t), w->told);
    assert_string_equal(buf_text(&notes), w->notes);
}

/* --- stamps of WebVTT: web-platform-tests, webvtt/parsing/file-parsing/tests/support (timings-*.vtt) --- */

static const struct timing {
    const char *name; /* the line itself */
    bool good;
} timing[] = {
    {"00:00.000 --> 00:00:01.000", true},     {"00:00:00.000 --> 00:01.000", true},
    {"000:00:00.000 --> 00:00:01.000", true}, {"0:00:00.000 --> 00:00:01.000", true},
    {"00:00:00.000 --> 000:00:01.000", true}, {"00::00:00.000 --> 00:01.000", false},
    {"00:000:00.000 --> 00:01.000", false},   {"00:00:000.000 --> 00:01.000", false},
    {"00:00:00.0000 --> 00:01.000", false},   {"00:00:00.00 --> 00:01.000", false},
    {"00:00:00.0 --> 00:01.000", false},      {"00:00:00. --> 00:01.000", false},
    {"00:00:00 --> 00:01.000", false},        {"000:00.000 --> 00:01.000", false},
    {"0:00.000 --> 00:01.000", false},        {"0000.000 --> 00:01.000", false},
    {"00:00:00000 --> 00:01.000", false},     {"00:00:00..000 --> 00:01.000", false},
    {"00:00.000 --> 000:01.000", false},      {"00:00.000 --> 0:01.000", false},
    {"00:60.000 --> 01:01.000", false},       {"00:60:00.000 --> 01:01:00.000", false},
    {"99:00.000 --> 99:01.000", false},       {"00:00.000 -> 00:01.000 -->", false},
};

static void is_a_time_or_none(void **state)
{
    const struct timing *t = *state;
    struct timed out;
    const char *text =
        arena_printf(&memory, "WEBVTT\n\n09:00.000 --> 09:01.000\nz\n\n%s\nx\n", t->name);
    out = read_text(text);
    assert_int_equal(out.n, t->good ? 2 : 1);
    assert_int_equal(notes.n > 0, !t->good);
}

/* --- any bytes ------------------------------------------------------------------------------------------ */

static void what_has_no_time_is_refused(void **state)
{
    (void)state;
    static const char *const none[] = {"",
                                       "\n\n",
                                       "WEBVTT\n",
                                       "WEBVTT\n\nfeet\n",
                                       "horns up\nfeet\n",
                                       "0:07\n",
                                       "1\n00:00:01,000 --> 00:00:02,000\n<i></i>\n"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        struct timed out;
        struct err e;
        const struct timed_text file = {none[i], strlen(none[i]), "talk.txt", NULL};
        assert_false(timed_read(&memory, &file, &out, &e));
        assert_int_equal(e.code, ERR_INPUT);
        assert_non_null(strstr(e.text, "talk.txt: nothing in it has a time; give WebVTT"));
    }
}

static void no_bytes_harm(void **state)
{
    (void)state;
    const struct timed t = read_bytes("WEBVTT\n\n00:01.000 --> 00:02.000\na\0b\x1b[2J\xff\n", 41);
    assert_int_equal(t.n, 1);
    assert_string_equal(t.at[0].text, "a\xef\xbf\xbd"
                                      "b[2J\xef\xbf\xbd");
}

/* Two hours of a cue a second, and as many that are broken: twenty are named. */
static void long_files_are_read_and_not_all_is_named(void **state)
{
    (void)state;
    struct buf b = {0};
    for (int i = 0; i < 7200; i++)
        buf_printf(&b, "[%d:%02d] feet %d\n[%d:99] x\n", i / 60, i % 60, i, i);
    const struct timed t = read_text(buf_text(&b));
    assert_int_equal(t.n, 7200);
    assert_int_equal(t.at[7199].from_us / 1000000, 7199);
    size_t lines = 0;
    for (size_t i = 0; i < notes.n; i++)
        lines += notes.p[i] == '\n';
    assert_int_equal(lines, 20);
    buf_free(&b);
}

static int let_go(void **state)
{
    (void)state;
    arena_free(&memory);
    buf_free(&notes);
    return 0;
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, wholes, reads_as);
    cases_of(&all, timing, is_a_time_or_none);
    case_test(&all, what_has_no_time_is_refused);
    case_test(&all, no_bytes_harm);
    case_test(&all, long_files_are_read_and_not_all_is_named);
    const int failed = cases_run(&all, "timed commentaries");
    let_go(NULL);
    return failed;
}
