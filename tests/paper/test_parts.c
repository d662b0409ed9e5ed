/* What the writers share: CSV cells, links, padding, tame text. */
#include <limits.h>
#include <math.h>
#include <string.h>

#include "base/utf8.h"
#include "paper/json.h"
#include "paper/season.h"
#include "paper/table.h"
#include "show/table.h"

static struct arena *test_cells; /* where cells that were read are kept */

/* RFC 4180, section 2 (5-7); a cell that a spreadsheet would run is not in the RFC: the quote sign
 * in front is what spreadsheets themselves use for text (common practice, no source). */
static const struct cell {
    const char *name, *text, *csv;
} cells[] = {
    {"a word stands as it is", "late", "late"},
    {"nothing is nothing", "", ""},
    {"a comma needs quotes", "a, b", "\"a, b\""},
    {"a quote is written twice", "5\" mute", "\"5\"\" mute\""},
    {"a line break stays inside quotes", "a\nb", "\"a\nb\""},
    {"outer blanks are kept by quotes", " a ", "\" a \""},
    {"a formula is defused", "=1+1", "'=1+1"},
    {"a formula with a comma is defused inside its quotes", "=A1,B1", "\"'=A1,B1\""},
    {"so are + - @ and tab", "@SUM(A1)", "'@SUM(A1)"},
    {"a sign with words", "-watch this", "'-watch this"},
    {"a negative number is a number", "-0.4", "-0.4"},
    {"a number with a sign", "+12", "+12"},
    {"two signs are no number", "-2+3", "'-2+3"},
    {"a date is not touched", "2026-09-14", "2026-09-14"},
    {"a sign inside is nothing", "a=b", "a=b"},
};

static void writes_cell(void **state)
{
    const struct cell *c = *state;
    struct buf b = {0};
    csv_cell(&b, c->text, true);
    assert_string_equal(buf_text(&b), c->csv);
    buf_free(&b);
}

/* Any text goes through libcsv and comes back, but for the quote sign in front of formulas. */
static void every_cell_is_read_back_by_libcsv(void **state)
{
    (void)state;
    struct arena a = {0};
    struct buf b = {0};
    for (int i = 0; i < HARM; i++)
        csv_cell(&b, harm[i], i == 0);
    csv_end(&b);
    struct csv_rows *r = csv_rows_of(&a, &b);
    assert_int_equal(r->n, 1);
    assert_int_equal(r->n_cells[0], HARM);
    for (int i = 0; i < HARM; i++) {
        const char *cell = r->cell[0][i];
        assert_string_equal(cell + (*cell == '\''), harm[i]); /* none of these begins with one */
        assert_null(*cell ? strchr("=+-@\t\r", *cell) : NULL);
    }
    buf_free(&b);
    arena_free(&a);
}

/* --- written and read back ----------------------------------------------------------------------
 */

static bool keep_cell(void *ctx, const struct table_row *row, struct err *e)
{
    (void)e;
    *(const char **)ctx = arena_strdup(test_cells, row->cell[0]);
    return true;
}

static void comes_back(const char *text, const char *want)
{
    static const struct table_column columns[] = {{.name = "note", .required = true},
                                                  {.name = NULL}};
    struct arena a = {0};
    struct buf b = {0};
    struct err e = {0};
    const char *back = NULL;
    test_cells = &a;
    buf_str(&b, "note,more\r\n");
    csv_cell(&b, text, true);
    csv_cell(&b, "x", false);
    csv_end(&b);
    if (!table_read(&(struct table_text){b.p, b.n, "t.csv", NULL}, columns, keep_cell, &back, &e))
        fail_msg("%s: %s", text, e.text);
    if (strcmp(back, want) != 0)
        fail_msg("'%s' was written as %s and read as '%s'", text, strchr(b.p, '\n') + 1, back);
    buf_free(&b);
    arena_free(&a);
}

/* Outer white space is trimmed by the reader, as in every cell. */
static void a_cell_is_read_back_as_it_was(void **state)
{
    (void)state;
    static const char letters[] = "'=+-@\t1.a\",";
    static const char *const whole[] = {"=1+1",     "'=1+1",
                                        "''=1+1",   "'tis the wedge",
                                        "'",        "''",
                                        "-0.4",     "'-0.4",
                                        "+12",      "-",
                                        "'-",       "\t=1+1",
                                        "@SUM(A1)", "=\"a\",\"b\"",
                                        "-2\n+3",   "\xe2\x80\x98=1"};
    for (size_t i = 0; i < sizeof whole / sizeof *whole; i++)
        comes_back(whole[i], whole[i]);
    /* Every text of three of these characters. */
    const size_t n = sizeof letters - 1;
    for (size_t i = 0; i < n * n * n; i++) {
        char text[4] = {letters[i % n], letters[i / n % n], letters[i / n / n], '\0'};
        char want[4];
        strcpy(want, text);
        for (size_t k = strlen(want); k > 0 && want[k - 1] == '\t'; k--)
            want[k - 1] = '\0';
        if (strspn(text, "\t") == 3)
            continue; /* an empty cell, an empty row */
        comes_back(text, want);
    }
}

/* Only what our own writer adds is taken off. */
static void a_sign_that_we_did_not_add_stays(void **state)
{
    (void)state;
    static const struct table_column columns[] = {{.name = "note", .required = true},
                                                  {.name = NULL}};
    static const char *const others[] = {"'12", "'tis", "'-0.4", "'", "' =1", "'(a)"};
    for (size_t i = 0; i < sizeof others / sizeof *others; i++) {
        struct arena a = {0};
        struct err e = {0};
        const char *back = NULL, *text = arena_printf(&a, "note\n%s\n", others[i]);
        test_cells = &a;
        assert_true(table_read(&(struct table_text){text, strlen(text), "t.csv", NULL}, columns,
                               keep_cell, &back, &e));
        assert_string_equal(back, others[i]);
        arena_free(&a);
    }
}

/* --- where the comma is the decimal sign -------------------------------------------------------- */

/* RFC 4180 but for the separator; a semicolon then, and a decimal comma in numbers: common practice of
 * spreadsheets, no source. */
static const struct comma {
    const char *name, *point, *comma;
} commas[] = {
    {"a number of a number column", "n,x\r\nt,-1.5\r\n", "n;x\r\nt;-1,5\r\n"},
    {"a number with an exponent", "n,x\r\nt,1.5e-05\r\n", "n;x\r\nt;1,5e-05\r\n"},
    {"a number with an exponent that would run", "n,x\r\nt,'-1.5e-05\r\n",
     "n;x\r\nt;'-1,5e-05\r\n"},
    {"a number of a text column", "n,x\r\n1.5,2\r\n", "n;x\r\n1.5;2\r\n"},
    {"a text of a number column", "n,x\r\nt,16.5 and holding\r\n", "n;x\r\nt;16.5 and holding\r\n"},
    {"a time with two points", "n,x\r\nt,1.5.2\r\n", "n;x\r\nt;1.5.2\r\n"},
    {"a semicolon gets quotes", "n,x\r\na;b,1\r\n", "n;x\r\n\"a;b\";1\r\n"},
    {"quotes stay", "n,x\r\n\"a,\"\"b\r\n;c\",1\r\n", "n;x\r\n\"a,\"\"b\r\n;c\";1\r\n"},
    {"empty cells", "n,x\r\n,\r\n,1.5\r\n", "n;x\r\n;\r\n;1,5\r\n"},
    {"more cells than columns", "n,x,y\r\na,1.5,1.5,,\r\n", "n;x;y\r\na;1,5;1.5;;\r\n"},
    {"nothing", "", ""},
};

static void is_written_with_semicolons(void **state)
{
    static const struct column columns[] = {{.name = "n", .where = IN_BOTH},
                                            {.name = "j", .where = IN_JSON},
                                            {.name = "x", .kind = COLUMN_NUMBER, .where = IN_CSV},
                                            {.name = NULL}};
    const struct comma *c = *state;
    struct buf b = {0};
    buf_str(&b, c->point);
    table_semicolons(columns, &b);
    assert_string_equal(buf_text(&b), c->comma);
    buf_free(&b);
}

/* --- places ----------------------------------------------------------------------------------- */

static const struct said {
    const char *name;
    int set;
    double count;
    const char *text, *json;
} said[] = {
    {"no set", -1, 0, "", "null null false"},
    {"a count", 0, 5.75, "set 1, count 5 of 8", "1 5.75 false"},
    {"the first count", 0, 1, "set 1, count 1 of 8", "1 1 false"},
    {"a count that rounding would end", 0, 8.9996, "set 12A, count 1 of 16", "12A 1 false"},
    {"a hair before a count is that count", 0, 4.9999999, "set 1, count 5 of 8", "1 5 false"},
    {"the last count", 0, 8.999, "set 1, count 8 of 8", "1 8.999 false"},
    {"the end of a set is the next one's beginning", 0, 9, "set 12A, count 1 of 16", "12A 1 false"},
    {"a set of no counts is passed over", 2, 1, "set H, holding", "H null true"},
    {"the end of a set with a hold is its hold", 1, 17, "set 12A, count 16 and holding",
     "12A 16 true"},
    {"the end of the drill", 4, 5, "the end of set Z", "Z null false"},
    {"a count beyond all", 1, 1e300, "set 12A, count 16 and holding", "12A 16 true"},
    {"no number", 1, NAN, "set 12A, count 1 of 16", "12A 1 false"},
    {"before the first count", 1, -1e300, "set 12A, count 1 of 16", "12A 1 false"},
    {"a set of absurd counts", 3, 2147483647, "set B, count 2147483647 of 2147483647",
     "B 2147483647 false"},
};

static void says_place(void **state)
{
    static struct set sets[] = {{.label = "1", .counts = 8},
                                {.label = "12A", .counts = 16, .hold = 1.5},
                                {.label = "H", .hold = 2},
                                {.label = "B", .counts = INT_MAX},
                                {.label = "Z", .counts = 4}};
    static const struct show show = {.sets = sets, .n_sets = sizeof sets / sizeof *sets};
    const struct said *s = *state;
    struct buf b = {0}, values = {0};
    place_text(&show, s->set, s->count, &b);
    assert_string_equal(buf_text(&b), s->text);
    json_t *o = json_object();
    json_place(o, &show, s->set, s->count);
    const json_t *count = json_object_get(o, "count");
    buf_printf(&values, "%s ", s->set < 0 ? "null" : json_str(o, "set"));
    if (json_is_null(count))
        buf_str(&values, "null");
    else
        buf_printf(&values, "%.12g", json_number_value(count));
    buf_str(&values, json_is_true(json_object_get(o, "hold")) ? " true" : " false");
    assert_string_equal(values.p, s->json);
    json_decref(o);
    buf_free(&b);
    buf_free(&values);
}

static void seconds_are_written_for_any_time(void **state)
{
    (void)state;
    static const struct {
        int64_t us;
        bool exact;
        const char *text;
    } rows[] = {
        {65200000, true, "65.200"},
        {65200001, true, "65.200001"},
        {65200501, false, "65.201"},
        {999999, false, "1.000"},
        {999999, true, "0.999999"},
        {-600, false, "-0.001"},
        {INT64_MAX, false, "9223372036854.776"},
        {INT64_MIN, true, "-9223372036854.775808"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buf b = {0};
        put_seconds(&b, rows[i].us, rows[i].exact);
        assert_string_equal(b.p, rows[i].text);
        buf_clear(&b);
        moment_link("c", rows[i].us, &b);
        assert_non_null(strstr(b.p, "#t="));
        assert_null(strchr(b.p, '-'));
        buf_free(&b);
    }
}

/* Media Fragments URI 1.0 (W3C), section 4.2.1: #t= with seconds in normal play time; the path
 * percent-encoded as RFC 3986, sections 2.1 to 2.3. */
static const struct linked {
    const char *name, *path;
    int64_t at_us;
    const char *link;
} links[] = {
    {"seconds", "clip.mp4", 360200000, "clip.mp4#t=358.2"},
    {"whole seconds have no point", "clip.mp4", 14000000, "clip.mp4#t=12"},
    {"two seconds before the moment, as captions", "clip.mp4", 2000000, "clip.mp4#t=0"},
    {"never before the clip", "clip.mp4", 700000, "clip.mp4#t=0"},
    {"milliseconds, rounded", "clip.mp4", 3234567, "clip.mp4#t=1.235"},
    {"tens keep their zeros", "clip.mp4", 102000000, "clip.mp4#t=100"},
    {"a folder", "run 1/clip.mp4", 3500000, "run%201/clip.mp4#t=1.5"},
    {"blanks, signs and letters of all scripts", "wed #2 ünï&?.mp4", 3000000,
     "wed%20%232%20%C3%BCn%C3%AF%26%3F.mp4#t=1"},
    {"a percent sign is not an escape", "100%25.mp4", 3000000, "100%2525.mp4#t=1"},
    {"a colon does not make a scheme", "a:b.mp4", 3000000, "a%3Ab.mp4#t=1"},
    {"unreserved characters stay", "A-z_0.9~.mp4", 3000000, "A-z_0.9~.mp4#t=1"},
    {"quotes and brackets cannot leave an attribute", "a\"><b.mp4", 2000000, "a%22%3E%3Cb.mp4#t=0"},
};

static void links_to(void **state)
{
    const struct linked *l = *state;
    struct buf b = {0};
    moment_link(l->path, l->at_us, &b);
    assert_string_equal(buf_text(&b), l->link);
    buf_free(&b);
}

static const struct padded {
    const char *name, *text;
    int columns;
    const char *out;
} paddings[] = {
    {"short text is filled up", "late", 6, "late  "},
    {"what fits exactly stays", "late", 4, "late"},
    {"long text is cut and says so", "late arrival", 8, "late ..."},
    {"wide characters count two columns", "日本日本", 7, "日本..."},
    {"a wide character is never cut in half", "日本日本", 6, "日... "},
    {"control characters become question marks", "a\033b", 4, "a?b "},
    {"a line break becomes a blank", "a\nb", 4, "a b "},
    {"three columns have no room for dots", "late", 3, "lat"},
    {"nothing", "", 3, "   "},
};

static void pads(void **state)
{
    const struct padded *p = *state;
    struct buf b = {0};
    pad_text(&b, p->text, p->columns);
    assert_string_equal(buf_text(&b), p->out);
    assert_int_equal(utf8_width(buf_text(&b)), p->columns);
    buf_free(&b);
}

static void padding_cuts_text_of_any_length(void **state)
{
    (void)state;
    struct buf text = {0}, out = {0};
    for (int i = 0; i < 3000; i++)
        buf_str(&text, "é");
    pad_text(&out, text.p, 2000);
    assert_int_equal(utf8_width(out.p), 2000);
    buf_clear(&out);
    pad_text(&out, text.p, 3000);
    assert_string_equal(out.p, text.p);
    buf_free(&text);
    buf_free(&out);
}

static void one_line_of_text_is_one_line(void **state)
{
    (void)state;
    for (int i = 0; i < HARM; i++) {
        struct buf b = {0};
        put_text(&b, harm[i]);
        assert_null(strpbrk(buf_text(&b), "\n\r\t"));
        assert_tame(buf_text(&b), b.n);
        buf_free(&b);
    }
}

static void tame_text_keeps_its_lines(void **state)
{
    (void)state;
    struct buf b = {0};
    buf_str(&b, "a\tb\r\nc\rd\033e\nf\xc2\x9bg\xff");
    tame_lines(&b);
    assert_string_equal(b.p, "a\tb\r\nc?d?e\nf??g?");
    for (int i = 0; i < HARM; i++)
        buf_str(&b, harm[i]);
    tame_lines(&b);
    assert_tame(b.p, b.n);
    buf_free(&b);
}

static void json_escapes_what_a_terminal_would_obey_and_loses_nothing(void **state)
{
    (void)state;
    json_t *list = json_array();
    struct buf b = {0};
    for (int i = 0; i < HARM; i++)
        json_array_append_new(list, json_text(harm[i]));
    json_put(list, &b);
    assert_tame(b.p, b.n);
    json_t *back = json_of(&b);
    for (size_t i = 0; i < HARM; i++)
        assert_string_equal(json_string_value(json_array_get(back, i)), harm[i]);
    json_decref(back);
    buf_free(&b);
}

static void text_that_is_not_utf8_does_not_break_json(void **state)
{
    (void)state;
    struct buf b = {0};
    json_t *o = json_object();
    json_object_set_new(o, "note", json_text("a\xff\xc3z \xc3\xa9\xfe"));
    json_put(o, &b);
    json_t *back = json_of(&b);
    assert_string_equal(json_str(back, "note"), "a??z é?");
    json_decref(back);
    buf_free(&b);
}

static void formats_have_names(void **state)
{
    (void)state;
    enum format f;
    for (int i = 0; i < AS_FORMATS; i++) {
        assert_true(format_named(format_name((enum format)i), &f));
        assert_int_equal(f, i);
    }
    assert_false(format_named("xml", &f));
    assert_false(format_named("", &f));
}

/* Thousands of bytes and millions (SI prefixes, BIPM brochure, section 3). */
static void a_size_is_said_as_a_telephone_says_it(void **state)
{
    (void)state;
    static const struct {
        int64_t bytes;
        const char *text;
    } rows[] = {
        {0, "1 KB"},         {1499, "1 KB"},         {830400, "830 KB"},  {999499, "999 KB"},
        {999500, "1.0 MB"},  {1249000, "1.2 MB"},    {9949999, "9.9 MB"}, {9950000, "10 MB"},
        {61400000, "61 MB"}, {1234567890, "1235 MB"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct buf b = {0};
        size_text(rows[i].bytes, &b);
        assert_string_equal(b.p, rows[i].text);
        buf_free(&b);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, cells, writes_cell);
    cases_of(&all, links, links_to);
    cases_of(&all, paddings, pads);
    cases_of(&all, said, says_place);
    cases_of(&all, commas, is_written_with_semicolons);
    case_test(&all, a_cell_is_read_back_as_it_was);
    case_test(&all, a_sign_that_we_did_not_add_stays);
    case_test(&all, seconds_are_written_for_any_time);
    case_test(&all, every_cell_is_read_back_by_libcsv);
    case_test(&all, padding_cuts_text_of_any_length);
    case_test(&all, one_line_of_text_is_one_line);
    case_test(&all, tame_text_keeps_its_lines);
    case_test(&all, json_escapes_what_a_terminal_would_obey_and_loses_nothing);
    case_test(&all, text_that_is_not_utf8_does_not_break_json);
    case_test(&all, a_size_is_said_as_a_telephone_says_it);
    case_test(&all, formats_have_names);
    return cases_run(&all, "parts of writers");
}
