/* Tables as spreadsheets save them. The rules are RFC 4180, section 2; rows marked csv-spectrum are
 * vectors of that public collection (max-mapper/csv-spectrum, commit d30e80f8). */
#include <stdio.h>
#include <string.h>

#include "base/arena.h"
#include "base/buf.h"
#include "lib/cases.h"
#include "show/table.h"

enum { A, B, C };

static const struct table_column columns[] = {[A] = {.name = "a", .required = true},
                                              [B] = {.name = "b", .required = true},
                                              [C] = {.name = "c"},
                                              {.name = NULL}};

/* A row as "line: a|b|c". */
static bool collect(void *ctx, const struct table_row *row, struct err *e)
{
    (void)e;
    buf_printf(ctx, "%d: %s|%s|%s\n", row->line, row->cell[A], row->cell[B], row->cell[C]);
    return true;
}

#define TEXT(s) s, sizeof(s) - 1

static const struct reading {
    const char *name, *bytes;
    size_t n;
    const char *rows;
} readings[] = {
    {"a header and a row", TEXT("a,b,c\n1,2,3\n"), "2: 1|2|3\n"},
    {"lines may end with CR and LF", TEXT("a,b,c\r\n1,2,3\r\n4,5,6\r\n"), "2: 1|2|3\n3: 4|5|6\n"},
    {"lines may end with CR alone", TEXT("a,b\r1,2\r3,4\r"), "2: 1|2|\n3: 3|4|\n"},
    {"the last line needs no ending", TEXT("a,b\n1,2"), "2: 1|2|\n"},
    {"a byte order mark is passed over",
     TEXT("\xef\xbb\xbf"
          "a,b\n1,2\n"),
     "2: 1|2|\n"},
    {"a byte order mark may stand before a quoted name", TEXT("\xef\xbb\xbf\"a\",\"b\"\n1,2\n"),
     "2: 1|2|\n"},
    {"columns come in any order", TEXT("c,b,a\n3,2,1\n"), "2: 1|2|3\n"},
    {"names of columns ignore letter case and blanks", TEXT(" A , B\n1,2\n"), "2: 1|2|\n"},
    {"columns of the staff's own are left alone", TEXT("id,a,phone,b\n7,1,555,2\n"), "2: 1|2|\n"},
    {"a column may be missing when it is not required", TEXT("a,b\n1,2\n"), "2: 1|2|\n"},
    {"a short row leaves the rest empty", TEXT("a,b,c\n1,2\n"), "2: 1|2|\n"},
    {"empty cells behind the last column are nothing", TEXT("a,b\n1,2,,,\n"), "2: 1|2|\n"},
    {"empty rows are passed over and still counted", TEXT("a,b\n\n,\n \n1,2\n"), "5: 1|2|\n"},
    {"blanks and no-break spaces around a cell are trimmed",
     TEXT("a,b\n  1\t,\xc2\xa0two words\xc2\xa0\n"), "2: 1|two words|\n"},
    {"a quoted cell holds commas (csv-spectrum comma_in_quotes)",
     TEXT("a,b,c\nJohn,\"120 any st.\",\"Anytown, WW\"\n"), "2: John|120 any st.|Anytown, WW\n"},
    {"two quotes in a quoted cell are one (csv-spectrum escaped_quotes)",
     TEXT("a,b\n1,\"ha \"\"ha\"\" ha\"\n3,4\n"), "2: 1|ha \"ha\" ha|\n3: 3|4|\n"},
    {"quoted nothing is nothing (csv-spectrum empty)", TEXT("a,b,c\n1,\"\",\"\"\n2,3,4\n"),
     "2: 1||\n3: 2|3|4\n"},
    {"a quoted line break stays (csv-spectrum newlines)",
     TEXT("a,b,c\n1,2,3\n\"Once upon \na time\",5,6\n7,8,9\n"),
     "2: 1|2|3\n3: Once upon \na time|5|6\n5: 7|8|9\n"},
    {"a quoted CR LF stays (csv-spectrum newlines_crlf)",
     TEXT("a,b\r\n\"Once upon \r\na time\",5\r\n7,8\r\n"), "2: Once upon \r\na time|5|\n4: 7|8|\n"},
    {"JSON in a cell (csv-spectrum json)",
     TEXT("a,b\n1,\"{\"\"type\"\": \"\"Point\"\", \"\"coordinates\"\": [102.0, 0.5]}\"\n"),
     "2: 1|{\"type\": \"Point\", \"coordinates\": [102.0, 0.5]}|\n"},
    /* Where the comma is the decimal sign, spreadsheets write semicolons: common practice, no source. */
    {"cells may be apart by semicolons", TEXT("a;b;c\r\n1;2,5;\"x;y\"\r\n"), "2: 1|2,5|x;y\n"},
    {"cells may be apart by tabs", TEXT("a\tb\tc\n1\t2,5\tx, y; z\n"), "2: 1|2,5|x, y; z\n"},
    {"an empty cell between tabs is a cell", TEXT("a\tb\tc\n1\t\t3\n"), "2: 1||3\n"},
    {"the separator is the one that makes names of columns, not the one there is most of",
     TEXT("a;b;one, two, three, four\n1;2;3\n"), "2: 1|2|\n"},
    {"the other way round", TEXT("a,b,one; two; three; four\n1,2,3\n"), "2: 1|2|\n"},
    {"a separator in a quoted name is none", TEXT("a,b,\"x;c;y\"\n1,2,3\n"), "2: 1|2|\n"},
    {"quoted names are names", TEXT("\"a\";\"b\"\n\"1\";\"2\"\n"), "2: 1|2|\n"},
    {"a line that says the separator (sep=;)", TEXT("sep=;\r\na;b\r\n1;2\r\n"), "3: 1|2|\n"},
    {"a line that says the separator, behind a byte order mark and in quotes",
     TEXT("\xef\xbb\xbf\"SEP=;\"\na;b\n1;2\n"), "3: 1|2|\n"},
    {"a line that says the separator, saved again", TEXT("sep=,,\na,b\n1,2\n"), "3: 1|2|\n"},
    {"a line that says tabs", TEXT("sep=\t\na\tb\n1\t2\n"), "3: 1|2|\n"},
    {"empty rows before the header, semicolons", TEXT(";;\n\na;b\n1;2\n"), "4: 1|2|\n"},
    {"letters of every script (csv-spectrum utf8)", TEXT("a,b\n1,ʤ\n2,Ωé日本\n"),
     "2: 1|ʤ|\n3: 2|Ωé日本|\n"},
};

static void reads(void **state)
{
    const struct reading *r = *state;
    struct buf rows = {0};
    struct err e = {0};
    if (!table_read(&(struct table_text){r->bytes, r->n, "t.csv", NULL}, columns, collect, &rows,
                    &e))
        fail_msg("%s", e.text);
    assert_string_equal(buf_text(&rows), r->rows);
    buf_free(&rows);
}

static const struct refusal {
    const char *name, *bytes;
    size_t n;
    const char *said; /* the whole message */
} refusals[] = {
    {"an empty file", TEXT(""),
     "t.csv:1:1: the file is empty; its first line must name the columns: a,b,c"},
    {"blank lines only", TEXT("\n\n"),
     "t.csv:1:1: the file is empty; its first line must name the columns: a,b,c"},
    {"a required column is missing", TEXT("a,c\n1,2\n"),
     "t.csv:1:1: no column 'b'; the first line must name the columns: a,b,c"},
    {"data without a header", TEXT("1,2\n3,4\n"),
     "t.csv:1:1: no column 'a'; the first line must name the columns: a,b,c"},
    {"more cells than columns, semicolons", TEXT("a;b\n1;2\nhigh; low;3\n"),
     "t.csv:3:3: 3 cells, but the header names 2 columns; a cell with a semicolon in it needs "
     "quotes (\"a; b\")"},
    {"a bad byte behind semicolons", TEXT("a;b\n1,x;\xe9\n"),
     "t.csv:2:2: not UTF-8 text (byte 0xe9); save it as 'CSV UTF-8'"},
    {"a separator that nobody writes", TEXT("sep=|\na|b\n1|2\n"),
     "t.csv:1:1: no column 'a'; the first line must name the columns: a,b,c"},
    {"a column twice", TEXT("a,b,a\n1,2,3\n"), "t.csv:1:3: column 'a' is there twice; keep one"},
    {"more cells than columns", TEXT("a,b\n1,2\nhigh, low,3\n"),
     "t.csv:3:3: 3 cells, but the header names 2 columns; a cell with a comma in it needs quotes "
     "(\"a, b\")"},
    {"a quote that is never closed", TEXT("a,b\n1,2\n3,\"4\n5,6\n"),
     "t.csv:3:2: a quote (\") is opened here and never closed"},
    {"a stray quote", TEXT("a,b\n1,2\n3,5\" mute\n"),
     "t.csv:3:2: a stray quote (\") in a cell; put the cell in quotes and write the quote twice "
     "(\"5\"\" mute\")"},
    {"text that is not UTF-8", TEXT("a,b\n1,2\n\"x,\ny\",Jos\xe9\n"),
     "t.csv:4:2: not UTF-8 text (byte 0xe9); save it as 'CSV UTF-8'"},
    {"a zero byte", TEXT("a,b\n1,\0\n"),
     "t.csv:2:2: not UTF-8 text (byte 0x00); save it as 'CSV UTF-8'"},
    {"UTF-16",
     TEXT("\xff\xfe"
          "a\0,\0b\0"),
     "t.csv:1: this is UTF-16 text; save it as 'CSV UTF-8', or choose UTF-8 as the character set "
     "when "
     "saving as text"},
    {"a spreadsheet file", TEXT("PK\3\4 and so on"),
     "t.csv: this is a spreadsheet file; export it as CSV"},
};

static void refuses(void **state)
{
    const struct refusal *r = *state;
    struct buf rows = {0};
    struct err e = {0};
    assert_false(table_read(&(struct table_text){r->bytes, r->n, "t.csv", NULL}, columns, collect,
                            &rows, &e));
    assert_int_equal(e.code, ERR_INPUT);
    assert_string_equal(e.text, r->said);
    buf_free(&rows);
}

static void a_mistyped_column_is_asked_about(void **state)
{
    (void)state;
    static const struct table_column long_names[] = {{.name = "performer", .required = true},
                                                     {.name = NULL}};
    static const char text[] = "name,perfomer\nx,T1\n";
    struct err e = {0};
    assert_false(table_read(&(struct table_text){text, sizeof text - 1, "t.csv", NULL}, long_names,
                            collect, NULL, &e));
    assert_string_equal(e.text,
                        "t.csv:1:2: no column 'perfomer' is known; did you mean 'performer'?");
}

static bool read_number(void *ctx, const struct table_row *row, struct err *e)
{
    return table_number(row, B, (struct table_range){20, 400, 0}, ctx, e);
}

static const struct number {
    const char *name, *cell;
    double value;
    const char *said;
} numbers[] = {
    {"a whole number", "120", 120, NULL},
    {"a decimal point", "132.5", 132.5, NULL},
    {"an empty cell gives what stands for it", "", 0, NULL},
    {"the least and the most are allowed", "400", 400, NULL},
    {"a word is no number", "fast", 0, "t.csv:2:2: b: 'fast' is not a number"},
    {"a number with words", "120 bpm", 0, "t.csv:2:2: b: '120 bpm' is not a number"},
    {"a decimal comma", "\"132,5\"", 0,
     "t.csv:2:2: b: '132,5' is not a number; write the decimals with a point"},
    {"too small", "19.9", 0, "t.csv:2:2: b: 19.9 is outside 20 to 400"},
    {"too large", "4e2000", 0, "t.csv:2:2: b: '4e2000' is not a number"},
    {"not a number by name", "nan", 0, "t.csv:2:2: b: 'nan' is not a number"},
    {"hexadecimal", "0x20", 0, "t.csv:2:2: b: '0x20' is not a number"},
};

static void reads_numbers(void **state)
{
    const struct number *r = *state;
    char text[80];
    double x = -1;
    struct err e = {0};
    int n = snprintf(text, sizeof text, "a,b\n1,%s\n", r->cell);
    bool ok = table_read(&(struct table_text){text, (size_t)n, "t.csv", NULL}, columns, read_number,
                         &x, &e);
    assert_string_equal(e.text, r->said ? r->said : "");
    assert_int_equal(ok, r->said == NULL);
    if (ok)
        assert_true(x == r->value);
}

/* In a table of semicolons or tabs a comma is the decimal sign, and a point still is. */
static const struct number commas[] = {
    {"a decimal comma among semicolons", "132,5", 132.5, NULL},
    {"a decimal point among semicolons", "132.5", 132.5, NULL},
    {"a whole number among semicolons", "120", 120, NULL},
    {"thousands among semicolons", "1.132,5", 0, "t.csv:2:2: b: '1.132,5' is not a number"},
    {"a comma at the end", "132,", 0, "t.csv:2:2: b: '132,' is not a number"},
    {"a comma at the beginning", ",5", 0, "t.csv:2:2: b: ',5' is not a number"},
    {"two commas", "1,3,2", 0, "t.csv:2:2: b: '1,3,2' is not a number"},
    {"too small among semicolons", "19,9", 0, "t.csv:2:2: b: 19,9 is outside 20 to 400"},
};

static void reads_commas(void **state)
{
    const struct number *r = *state;
    static const char separators[] = ";\t";
    for (const char *s = separators; *s; s++) {
        char text[80];
        double x = -1;
        struct err e = {0};
        int n = snprintf(text, sizeof text, "a%cb\n1%c%s\n", *s, *s, r->cell);
        bool ok = table_read(&(struct table_text){text, (size_t)n, "t.csv", NULL}, columns,
                             read_number, &x, &e);
        assert_string_equal(e.text, r->said ? r->said : "");
        assert_int_equal(ok, r->said == NULL);
        if (ok)
            assert_true(x == r->value);
    }
}

/* --- all that is wrong, and what is passed over -------------------------------------------------- */

static bool count(void *ctx, const struct table_row *row, struct err *e)
{
    (void)row, (void)e;
    ++*(int *)ctx;
    return true;
}

static bool read_both(void *ctx, const struct table_row *row, struct err *e)
{
    double x;
    ++*(int *)ctx;
    bool ok = table_number(row, A, (struct table_range){0, 9, 0}, &x, e);
    return table_number(row, B, (struct table_range){0, 9, 0}, &x, e) && ok;
}

struct told {
    struct table_talk talk;
    struct err e;
    int rows; /* that were read */
    bool ok;
};

static struct told told(const char *text)
{
    struct told t = {0};
    t.ok = table_read(&(struct table_text){text, strlen(text), "t.csv", &t.talk}, columns,
                      read_both, &t.rows, &t.e);
    return t;
}

static void every_wrong_cell_is_named_in_one_reading(void **state)
{
    (void)state;
    struct told t = told("a,b\nx,y\n1,2\n3,z\n4,5,6\n7,8\n");
    assert_false(t.ok);
    assert_int_equal(t.rows, 4); /* the row of three cells is nobody's */
    assert_string_equal(buf_text(&t.talk.wrong),
                        "t.csv:2:1: a: 'x' is not a number\n"
                        "t.csv:2:2: b: 'y' is not a number\n"
                        "t.csv:4:2: b: 'z' is not a number\n"
                        "t.csv:5:3: 3 cells, but the header names 2 columns; a cell with a comma "
                        "in it needs quotes (\"a, b\")\n");
    assert_string_equal(t.e.text, "t.csv: 4 cells are wrong; nothing of it was taken");
    assert_int_equal(t.e.code, ERR_INPUT);
    table_talk_free(&t.talk);
}

static void the_only_wrong_cell_is_the_error(void **state)
{
    (void)state;
    struct told t = told("a,b\n1,2\n3,z\n4,5\n");
    assert_false(t.ok);
    assert_string_equal(t.e.text, "t.csv:3:2: b: 'z' is not a number");
    table_talk_free(&t.talk);
}

static void what_cannot_be_read_ends_the_reading_behind_the_wrong_cells(void **state)
{
    (void)state;
    struct told t = told("a,b\nx,2\n3,\"4\n5,y\n");
    assert_false(t.ok);
    assert_string_equal(buf_text(&t.talk.wrong),
                        "t.csv:2:1: a: 'x' is not a number\n"
                        "t.csv:3:2: a quote (\") is opened here and never closed\n");
    table_talk_free(&t.talk);
}

static void twenty_are_named_and_the_others_counted(void **state)
{
    (void)state;
    for (int wrong = 20; wrong <= 21; wrong++) {
        struct buf text = {0};
        buf_str(&text, "a,b\n");
        for (int i = 0; i < wrong; i++)
            buf_printf(&text, "1,w%d\n", i);
        struct told t = told(text.p);
        int lines = 0;
        for (const char *s = buf_text(&t.talk.wrong); *s; s++)
            lines += *s == '\n';
        assert_false(t.ok);
        assert_int_equal(lines, 20);
        assert_non_null(strstr(t.talk.wrong.p, "t.csv:21:2: b: 'w19' is not a number\n"));
        assert_string_equal(
            t.e.text, wrong == 20 ? "t.csv: 20 cells are wrong; nothing of it was taken"
                                  : "t.csv: 21 cells are wrong, the first 20 are named above and 1 "
                                    "more are there; nothing of it was taken");
        table_talk_free(&t.talk);
        buf_free(&text);
    }
}

static const struct note {
    const char *name, *text, *said;
} notes[] = {
    {"nothing is said of columns that are known", "b,c,a\n1,2,3\n", ""},
    {"columns of the staff's own are named", "a,b,phone,\"lo\ncker\"\n1,2,3,4\n",
     "t.csv: columns that are passed over: 'phone', 'lo?cker'\n"},
    {"a column without a name is nothing", "a,b,,\n1,2,,\n", ""},
    {"many are counted", "a,b,z1,z2,z3,z4,z5,z6,z7,z8,z9,y1,y2,y3,y4\n1,2\n",
     "t.csv: columns that are passed over: 'z1', 'z2', 'z3', 'z4', 'z5', 'z6', 'z7', 'z8', 'z9', "
     "'y1', 'y2', 'y3' and 1 more\n"},
};

static void is_noted(void **state)
{
    const struct note *n = *state;
    struct told t = told(n->text);
    assert_true(t.ok);
    assert_string_equal(buf_text(&t.talk.notes), n->said);
    table_talk_free(&t.talk);
}

static void a_column_that_is_nearly_a_missing_one_is_asked_about(void **state)
{
    (void)state;
    static const struct table_column names[] = {{.name = "performer", .required = true},
                                                {.name = "section"},
                                                {.name = "link", .help = ""},
                                                {.name = NULL}};
    static const char text[] = "performer,sektion,link,linc\nT1,x,,\n",
                      both[] = "sektion,section,performer\nx,y,T1\n";
    struct table_talk talk = {0};
    struct err e;
    int rows = 0;
    assert_true(table_read(&(struct table_text){text, sizeof text - 1, "t.csv", &talk}, names,
                           count, &rows, &e));
    assert_string_equal(talk.notes.p, "t.csv: columns that are passed over: 'sektion', 'linc'; did "
                                      "you mean 'section' for 'sektion'?\n");
    table_talk_free(&talk);
    talk = (struct table_talk){0};
    assert_true(table_read(&(struct table_text){both, sizeof both - 1, "t.csv", &talk}, names,
                           count, &rows, &e));
    assert_string_equal(talk.notes.p, "t.csv: columns that are passed over: 'sektion'\n");
    table_talk_free(&talk);
}

static bool complain(void *ctx, const struct table_row *row, struct err *e)
{
    return table_error(row, *(int *)ctx, e, "wrong");
}

/* The cell of an error is found by line and place, wherever the row began and wherever the header
 * has the column. */
static void an_error_names_line_and_column_of_its_cell(void **state)
{
    (void)state;
    static const char text[] = "c,b,a\n\"x\ny\",\"p\nq\",z\n";
    static const char *const said[] = {
        [A] = "t.csv:4:3: a: wrong", [B] = "t.csv:3:2: b: wrong", [C] = "t.csv:2:1: c: wrong"};
    for (int column = A; column <= C; column++) {
        struct err e = {0};
        assert_false(table_read(&(struct table_text){text, sizeof text - 1, "t.csv", NULL}, columns,
                                complain, &column, &e));
        assert_string_equal(e.text, said[column]);
    }
}

static void an_error_in_a_cell_that_a_short_row_lacks_names_its_place(void **state)
{
    (void)state;
    int column = B;
    struct err e = {0};
    static const char text[] = "a,c,b\n1\n";
    assert_false(table_read(&(struct table_text){text, sizeof text - 1, "t.csv", NULL}, columns,
                            complain, &column, &e));
    assert_string_equal(e.text, "t.csv:2:3: b: wrong");
}

static void control_characters_of_a_cell_do_not_get_into_the_message(void **state)
{
    (void)state;
    static const char text[] = "a,b\n1,\033[31mred\n";
    double x;
    struct err e = {0};
    assert_false(table_read(&(struct table_text){text, sizeof text - 1, "t.csv", NULL}, columns,
                            read_number, &x, &e));
    assert_string_equal(e.text, "t.csv:2:2: b: '?[31mred' is not a number");
}

/* Any bytes: read or refused with a message, never worse (sanitizers watch). */
static void bytes_of_chance_are_read_or_refused(void **state)
{
    (void)state;
    static const char alphabet[] = "ab,\"\n\r; \t\xc3\xa9\xef\xbb\xbf"
                                   "1.\0\xff";
    unsigned chance = 12345;
    for (int round = 0; round < 4000; round++) {
        char text[64] = "a,b\n";
        size_t n = round % 2 ? 4 : 0;
        while (n < sizeof text && (chance = chance * 1103515245u + 12345u) >> 16 & 31)
            text[n++] = alphabet[(chance >> 18) % (sizeof alphabet - 1)];
        int rows = 0;
        struct err e = {0};
        if (!table_read(&(struct table_text){text, n, "t.csv", NULL}, columns, count, &rows, &e))
            assert_true(e.code == ERR_INPUT && strncmp(e.text, "t.csv", 5) == 0);
    }
}

int main(void)
{
    struct cases all = {0};
    cases_of(&all, readings, reads);
    cases_of(&all, refusals, refuses);
    cases_of(&all, numbers, reads_numbers);
    cases_of(&all, commas, reads_commas);
    cases_of(&all, notes, is_noted);
    case_test(&all, every_wrong_cell_is_named_in_one_reading);
    case_test(&all, the_only_wrong_cell_is_the_error);
    case_test(&all, what_cannot_be_read_ends_the_reading_behind_the_wrong_cells);
    case_test(&all, twenty_are_named_and_the_others_counted);
    case_test(&all, a_column_that_is_nearly_a_missing_one_is_asked_about);
    case_test(&all, a_mistyped_column_is_asked_about);
    case_test(&all, an_error_names_line_and_column_of_its_cell);
    case_test(&all, an_error_in_a_cell_that_a_short_row_lacks_names_its_place);
    case_test(&all, control_characters_of_a_cell_do_not_get_into_the_message);
    case_test(&all, bytes_of_chance_are_read_or_refused);
    return cases_run(&all, "tables");
}
