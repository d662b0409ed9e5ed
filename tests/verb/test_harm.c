/* Names and notes may hold anything: nothing of it acts on a terminal, a spreadsheet or a player,
 * and JSON gives it back as it was. */
#include <stdio.h>
#include <string.h>

#include "base/buf.h"
#include "verb/season.h"

static const char *const harm[] = {
    "=HYPERLINK(\"http://example.org\",\"x\")",
    "+1+1",
    "@SUM(A1)",
    "a, \"b\"",
    "two\nlines",
    "\033[31mred\033[0m",
    "\033]0;title\007",
    "delete \x7f",
    "C1 \xc2\x9b"
    "31m",
    "\xe2\x80\xae"
    "backward",
    "<script>alert(1)</script>",
    "00:00.000 --> 00:01.000",
    "&amp; 100% %s%n",
    "é 日本 \xf0\x9f\x8e\xba",
    "Robert'; DROP TABLE mark",
    "\xe2\x80\xa8line separator",
};
enum { HARM = sizeof harm / sizeof *harm };

static void put_quoted(struct buf *b, const char *text)
{
    buf_char(b, '"');
    for (; *text; text++) {
        buf_str(b, *text == '"' ? "\"\"" : (char[]){*text, '\0'});
    }
    buf_char(b, '"');
}

static void add_rows(const struct season *s, const char *what, const char *header, int columns)
{
    struct buf b = {0};
    buf_printf(&b, "%s\n", header);
    for (int i = 0; i < HARM; i++) {
        for (int k = 0; k < columns; k++) {
            buf_str(&b, k ? "," : "");
            put_quoted(&b, harm[i]);
        }
        buf_char(&b, '\n');
    }
    struct run_setup in = season_in(s, b.p);
    ends(box(&in, "add", "a.show", what, "-", "--keep", NULL), 0);
    buf_free(&b);
}

/* Performers P0.. with harmful names in harmful sections. */
static void add_people(const struct season *s)
{
    struct buf b = {0};
    buf_str(&b, "performer,name,section\n");
    for (int i = 0; i < HARM; i++) {
        buf_printf(&b, "P%d,", i);
        put_quoted(&b, harm[i]);
        buf_char(&b, ',');
        put_quoted(&b, harm[i]);
        buf_char(&b, '\n');
    }
    struct run_setup in = season_in(s, b.p);
    ends(box(&in, "add", "a.show", "roster", "-", NULL), 0);
    buf_free(&b);
}

static struct season harmful_season(void)
{
    static char *show;
    static size_t n;
    struct season s = season_empty();
    const char *clip = season_clip(&s, "a\033[7m<b>, \"=x\" #1 \xff.avi", 60, 9);
    if (show) {
        write_bytes(s.dir, "a.show", show, n);
        return s;
    }
    ends(BOX(&s, "new", "a.show", "--title", "T\033[1m <b>"), 0);
    add_rows(&s, "sections", "section,words", 2);
    add_rows(&s, "faults", "fault,family,right,words", 4);
    add_people(&s);
    ends(BOX(&s, "add", "a.show", "clip", clip), 0);
    ends(BOX(&s, "add", "a.show", "clip", clip, "--label", "L\033[31m,\"=x"), 0);
    for (int i = 0; i < HARM; i++) {
        const char *time = arena_printf(test_arena(), "%d", i);
        ends(BOX(&s, "mark", "a.show", "1", time, "--note", harm[i], "--author", harm[i], "--",
                 arena_printf(test_arena(), "P%d", i), harm[i]),
             0);
        ends(BOX(&s, "mark", "a.show", "1", time, "--note", harm[i], "--", harm[i], harm[i]), 0);
    }
    show = read_file(path_in(s.dir, "a.show"), &n);
    return s;
}

/* ECMA-48: C0 but line ends and tab, DEL, C1; and the characters that turn text around. */
static void assert_tame(const char *what, const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        const unsigned char *p = (const unsigned char *)text + i;
        bool end = p[0] == '\n' || (p[0] == '\r' && p[1] == '\n') || p[0] == '\t';
        bool c1 = p[0] == 0xc2 && p[1] >= 0x80 && p[1] < 0xa0;
        bool turn = p[0] == 0xe2 && p[1] == 0x80 && p[2] >= 0xaa && p[2] <= 0xae;
        if ((p[0] < 0x20 && !end) || p[0] == 0x7f || c1 || turn || p[0] >= 0xf8)
            fail_msg("%s: byte %zu is 0x%02x in %.60s", what, i, p[0],
                     text + (i > 20 ? i - 20 : 0));
    }
}

static const struct shown {
    const char *name;
    const char *args[5];
} shown[] = {
    {"a fix list", {"fixes", "a.show"}},
    {"a fix list of a section", {"fixes", "a.show", "--for=\033[31mred\033[0m"}},
    {"a fix list as CSV", {"fixes", "a.show", "--as=csv"}},
    {"a fix list as JSON", {"fixes", "a.show", "--as=json"}},
    {"a call list", {"calls", "a.show", "1"}},
    {"a call list as CSV", {"calls", "a.show", "1", "--as=csv"}},
    {"a call list as JSON", {"calls", "a.show", "1", "--as=json"}},
    {"a call list as captions", {"calls", "a.show", "1", "--as=vtt"}},
    {"a call list as chapters", {"calls", "a.show", "1", "--as=chapters"}},
    {"a call list as annotations", {"calls", "a.show", "1", "--as=annotations"}},
    {"what is to decide", {"define", "a.show"}},
    {"a brief fix list", {"fixes", "a.show", "--brief"}},
    {"a history", {"history", "a.show"}},
    {"a history as CSV", {"history", "a.show", "--as=csv"}},
    {"the keys", {"keys", "a.show"}},
    {"the keys as JSON", {"keys", "a.show", "--as=json"}},
    {"a check", {"check", "a.show"}},
    {"a clip that is not there", {"calls", "a.show", "\033[31m\xc2\x9b"}},
    {"a show that is not there", {"fixes", "\033[31m\xff.show"}},
    {"an option that is none", {"fixes", "a.show", "--\033[31m"}},
};

static void shows_nothing_a_terminal_obeys(void **state)
{
    static struct season s;
    const struct shown *v = *state;
    if (!s.dir)
        s = harmful_season();
    struct run r = box(&s.setup, v->args[0], v->args[1], v->args[2], v->args[3], v->args[4], NULL);
    assert_true(r.out_n + r.err_n > 0);
    assert_tame("standard output", r.out, r.out_n);
    assert_tame("standard error", r.err, r.err_n);
}

static void json_gives_every_note_back(void **state)
{
    (void)state;
    struct season s = harmful_season();
    json_t *list = json_out(BOX(&s, "calls", "a.show", "1", "--as", "json"));
    assert_int_equal(json_array_size(list), 2 * HARM);
    for (size_t i = 0; i < HARM; i++) {
        json_t *one = json_array_get(list, 2 * i), *two = json_array_get(list, 2 * i + 1);
        assert_string_equal(json_str(one, "note"), harm[i]);
        assert_string_equal(json_str(one, "fault"), harm[i]);
        assert_string_equal(json_str(one, "author"), harm[i]);
        assert_string_equal(json_string_value(json_array_get(json_at(two, "targets"), 0)), harm[i]);
    }
    list = json_at(json_out(BOX(&s, "fixes", "a.show", "--as", "json")), "items");
    assert_int_equal(json_array_size(list), HARM);
}

/* Every caption is one block of lines: identifier, times, text; nothing else has an arrow. */
static void no_note_makes_a_caption_of_its_own(void **state)
{
    (void)state;
    struct season s = harmful_season();
    struct run r = BOX(&s, "calls", "a.show", "1", "--as", "vtt");
    size_t arrows = 0, blocks = 0;
    for (const char *p = r.out; (p = strstr(p, "-->")); p += 3)
        arrows++;
    for (const char *p = r.out; (p = strstr(p, "\n\nmark-")); p += 2)
        blocks++;
    assert_int_equal(arrows, 2 * HARM);
    assert_int_equal(blocks, 2 * HARM);
    assert_lacks(r.out, "<");
}

static void no_cell_is_run_by_a_spreadsheet(void **state)
{
    (void)state;
    struct season s = harmful_season();
    static const char *const kinds[][3] = {{"fixes", "a.show", "--as=csv"},
                                           {"keys", "a.show", "--as=csv"}};
    struct run runs[] = {BOX(&s, "calls", "a.show", "1", "--as=csv"),
                         BOX(&s, kinds[0][0], kinds[0][1], kinds[0][2]),
                         BOX(&s, kinds[1][0], kinds[1][1], kinds[1][2])};
    for (size_t i = 0; i < 3; i++)
        for (const char *p = runs[i].out; *p; p++) {
            bool cell = p == runs[i].out || p[-1] == ',' || p[-1] == '\n';
            const char *text = p + (cell && *p == '"');
            if (cell && strchr("=+@", *text))
                fail_msg("a cell begins with %.20s", text);
        }
}

static void a_clips_name_is_percent_encoded_in_links(void **state)
{
    (void)state;
    struct season s = harmful_season();
    struct run r = BOX(&s, "calls", "a.show", "1", "--as=csv");
    assert_contains(r.out, ",a%1B%5B7m%3Cb%3E%2C%20%22%3Dx%22%20%231%20%FF.avi#t=3\r\n");
}

/* A command line may hold any bytes; what is not UTF-8 is shown as '?', alone. */
static void bytes_that_are_no_text_spoil_nothing_around_them(void **state)
{
    (void)state;
    struct season s = season_new();
    ends(BOX(&s, "add", "a.show", "clip", "thu.avi", "--label", "th\xffu"), 0);
    ends(BOX(&s, "mark", "a.show", "th\xffu", "5", "T1", "style", "--note", "a\xc3z \xff"), 0);
    json_t *m = json_array_get(json_out(BOX(&s, "calls", "a.show", "2", "--as", "json")), 0);
    assert_string_equal(json_str(m, "note"), "a?z ?");
    static const char *const verbs[] = {"fixes", "define"};
    for (size_t i = 0; i < 2; i++) {
        json_t *items = json_at(json_out(BOX(&s, verbs[i], "a.show", "--as=json")), "items"),
               *moments = json_at(json_array_get(items, 0), "moments");
        assert_string_equal(json_str(json_array_get(moments, 0), "clip"), "th?u");
        assert_string_equal(json_str(json_array_get(moments, 0), "note"), "a?z ?");
    }
    struct run text = BOX(&s, "calls", "a.show", "2");
    assert_tame("standard output", text.out, text.out_n);
    assert_contains(text.out, "a?z ?\n");
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, shown, shows_nothing_a_terminal_obeys);
    case_test(&all, json_gives_every_note_back);
    case_test(&all, no_note_makes_a_caption_of_its_own);
    case_test(&all, no_cell_is_run_by_a_spreadsheet);
    case_test(&all, a_clips_name_is_percent_encoded_in_links);
    case_test(&all, bytes_that_are_no_text_spoil_nothing_around_them);
    return cases_run(&all, "harmful names");
}
