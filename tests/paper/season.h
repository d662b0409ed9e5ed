/* A small band, and names and notes that mean harm. */
#ifndef PAPER_SEASON_H
#define PAPER_SEASON_H

#include <csv.h>
#include <jansson.h>

#include "lib/cases.h"
#include "paper/paper.h"
#include "show/show_of.h"

static inline struct show season(struct arena *a)
{
    return show_of(a,
                   "section,parent\nensemble,\nbrass,ensemble\ntrumpets,brass\n"
                   "\"low, lower\",brass\n",
                   "performer,name,section\nT1,Ada Fenwright,trumpets\nT2,Milo,trumpets\n"
                   "U1,Pia,\"low, lower\"\n",
                   "fault,family,cause,right\n"
                   "late arrival,timing,execute,\"On the dot on the last count, even steps.\"\n"
                   "style,definition,define,\n"
                   "horn angle,horns,execute,\n",
                   "set,counts\n1,8\n12A,16\n");
}

/* What a person may type into a name or a note, by mistake or on purpose. */
static const char *const harm[] = {
    "plain words",
    "=HYPERLINK(\"http://example.org\",\"x\")",
    "+1+1",
    "-2+3",
    "@SUM(A1)",
    "\t=1+1",
    "a, \"b\"; c",
    "two\nlines",
    "two\r\nlines",
    "carriage\rreturn",
    "\033[31mred\033[0m",
    "bell \a and delete \x7f",
    "C1 \xc2\x9b"
    "31m", /* U+009B, the one-byte CSI */
    "\xe2\x80\xae"
    "backward", /* U+202E */
    "\xe2\x80\xa8line separator",
    "<script>alert(1)</script> & co.",
    "00:00.000 --> 00:01.000",
    "é 日本 \xf0\x9f\x8e\xba",
    "100 %s %n \\u0041",
    "",
};
enum { HARM = sizeof harm / sizeof *harm };

/* No byte in it makes a terminal do anything but show it: C0 but line ends, DEL, C1, and the
 * characters that turn the direction of text. */
static inline void assert_tame(const char *text, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)text[i], next = (unsigned char)text[i + 1];
        bool end = c == '\n' || (c == '\r' && next == '\n');
        bool c1 = c == 0xc2 && next >= 0x80 && next < 0xa0;
        bool bidi = c == 0xe2 && next == 0x80 && (unsigned char)text[i + 2] >= 0xaa &&
                    (unsigned char)text[i + 2] <= 0xae;
        if ((c < 0x20 && !end && c != '\t') || c == 0x7f || c1 || bidi)
            fail_msg("byte %zu is 0x%02x 0x%02x in: %.200s", i, c, next, text);
    }
}

/* --- CSV as libcsv reads it, strict -------------------------------------------------------------
 */

struct csv_rows {
    struct arena *a;
    const char *cell[64][48];
    size_t n_cells[64], n;
};

static inline void csv_rows_cell(void *s, size_t n, void *ctx)
{
    struct csv_rows *r = ctx;
    assert_true(r->n < 64 && r->n_cells[r->n] < 48);
    r->cell[r->n][r->n_cells[r->n]++] = arena_strndup(r->a, s, n);
}

static inline void csv_rows_row(int c, void *ctx)
{
    (void)c;
    ((struct csv_rows *)ctx)->n++;
}

static inline struct csv_rows *csv_rows_of(struct arena *a, const struct buf *text)
{
    struct csv_rows *r = arena_alloc(a, sizeof *r);
    struct csv_parser p;
    r->a = a;
    assert_int_equal(csv_init(&p, CSV_STRICT | CSV_STRICT_FINI), 0);
    assert_int_equal(csv_parse(&p, text->p, text->n, csv_rows_cell, csv_rows_row, r), text->n);
    assert_int_equal(csv_fini(&p, csv_rows_cell, csv_rows_row, r), 0);
    csv_free(&p);
    for (size_t i = 1; i < r->n; i++)
        assert_int_equal(r->n_cells[i], r->n_cells[0]);
    return r;
}

static inline const char *csv_at(const struct csv_rows *r, size_t row, const char *column)
{
    for (size_t i = 0; i < r->n_cells[0]; i++)
        if (strcmp(r->cell[0][i], column) == 0)
            return r->cell[row][i];
    fail_msg("no column '%s'", column);
    return "";
}

static inline json_t *json_of(const struct buf *text)
{
    json_error_t why;
    json_t *j = json_loadb(text->p, text->n, JSON_REJECT_DUPLICATES, &why);
    if (!j)
        fail_msg("line %d: %s in: %.300s", why.line, why.text, text->p);
    return j;
}

static inline const char *json_str(const json_t *o, const char *key)
{
    const char *s = json_string_value(json_object_get(o, key));
    if (!s)
        fail_msg("no text '%s'", key);
    return s;
}

static inline long long json_int(const json_t *o, const char *key)
{
    assert_true(json_is_integer(json_object_get(o, key)));
    return json_integer_value(json_object_get(o, key));
}

#endif
