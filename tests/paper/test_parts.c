/* What the writers share: CSV cells, links, padding, tame text. */
#include <string.h>

#include "base/utf8.h"
#include "paper/json.h"
#include "paper/season.h"

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
        assert_string_equal(cell + (*cell == '\''), harm[i]);
        assert_null(*cell ? strchr("=+-@\t\r", *cell) : NULL);
    }
    buf_free(&b);
    arena_free(&a);
}

/* Media Fragments URI 1.0 (W3C), section 4.2.1: #t= with seconds in normal play time; the path
 * percent-encoded as RFC 3986, sections 2.1 to 2.3. */
static const struct linked {
    const char *name, *path;
    int64_t at_us;
    const char *link;
} links[] = {
    {"seconds", "clip.mp4", 358200000, "clip.mp4#t=358.2"},
    {"whole seconds have no point", "clip.mp4", 12000000, "clip.mp4#t=12"},
    {"the beginning", "clip.mp4", 0, "clip.mp4#t=0"},
    {"milliseconds, rounded", "clip.mp4", 1234567, "clip.mp4#t=1.235"},
    {"tens keep their zeros", "clip.mp4", 100000000, "clip.mp4#t=100"},
    {"a folder", "run 1/clip.mp4", 1500000, "run%201/clip.mp4#t=1.5"},
    {"blanks, signs and letters of all scripts", "wed #2 ünï&?.mp4", 1000000,
     "wed%20%232%20%C3%BCn%C3%AF%26%3F.mp4#t=1"},
    {"a percent sign is not an escape", "100%25.mp4", 1000000, "100%2525.mp4#t=1"},
    {"a colon does not make a scheme", "a:b.mp4", 1000000, "a%3Ab.mp4#t=1"},
    {"unreserved characters stay", "A-z_0.9~.mp4", 1000000, "A-z_0.9~.mp4#t=1"},
    {"quotes and brackets cannot leave an attribute", "a\"><b.mp4", 0, "a%22%3E%3Cb.mp4#t=0"},
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

int main(void)
{
    struct cases all = {0};
    cases_of(&all, cells, writes_cell);
    cases_of(&all, links, links_to);
    cases_of(&all, paddings, pads);
    case_test(&all, every_cell_is_read_back_by_libcsv);
    case_test(&all, padding_cuts_text_of_any_length);
    case_test(&all, one_line_of_text_is_one_line);
    case_test(&all, tame_text_keeps_its_lines);
    case_test(&all, json_escapes_what_a_terminal_would_obey_and_loses_nothing);
    case_test(&all, text_that_is_not_utf8_does_not_break_json);
    case_test(&all, formats_have_names);
    return cases_run(&all, "parts of writers");
}
