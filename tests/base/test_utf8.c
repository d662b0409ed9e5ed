#include <locale.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <wchar.h>
#include <wctype.h>

#include <cmocka.h>

#include "base/utf8.h"

/* Unicode Standard, table 3-7, Well-Formed UTF-8 Byte Sequences: ranges of each byte. */
static const struct well_formed {
    uint32_t from;
    unsigned char low[4], high[4];
    size_t len;
} table_3_7[] = {
    {0x0000, {0x00}, {0x7F}, 1},
    {0x0080, {0xC2, 0x80}, {0xDF, 0xBF}, 2},
    {0x0800, {0xE0, 0xA0, 0x80}, {0xE0, 0xBF, 0xBF}, 3},
    {0x1000, {0xE1, 0x80, 0x80}, {0xEC, 0xBF, 0xBF}, 3},
    {0xD000, {0xED, 0x80, 0x80}, {0xED, 0x9F, 0xBF}, 3},
    {0xE000, {0xEE, 0x80, 0x80}, {0xEF, 0xBF, 0xBF}, 3},
    {0x10000, {0xF0, 0x90, 0x80, 0x80}, {0xF0, 0xBF, 0xBF, 0xBF}, 4},
    {0x40000, {0xF1, 0x80, 0x80, 0x80}, {0xF3, 0xBF, 0xBF, 0xBF}, 4},
    {0x100000, {0xF4, 0x80, 0x80, 0x80}, {0xF4, 0x8F, 0xBF, 0xBF}, 4},
};

/* Length of the well-formed sequence at s by the table, 0 when there is none. */
static size_t length_by_table(const unsigned char *s, size_t n)
{
    for (size_t i = 0; i < sizeof table_3_7 / sizeof *table_3_7; i++) {
        const struct well_formed *w = &table_3_7[i];
        size_t k = 0;
        while (k < w->len && k < n && s[k] >= w->low[k] && s[k] <= w->high[k])
            k++;
        if (k == w->len)
            return k;
    }
    return 0;
}

static void check_against_table(const unsigned char *s, size_t n)
{
    size_t took, want = length_by_table(s, n);
    uint32_t c = utf8_next((const char *)s, n, &took);
    if (took == (want ? want : 1) && (want || c == UTF8_BAD))
        return;
    fail_msg("%02X %02X %02X %02X of %zu: took %zu, U+%04X; the table says %zu", s[0], s[1], s[2],
             s[3], n, took, (unsigned)c, want);
}

static void every_sequence_is_judged_as_table_3_7_says(void **state)
{
    (void)state;
    static const unsigned char edge[] = {0x00, 0x41, 0x7F, 0x80, 0x8F, 0x90,
                                         0x9F, 0xA0, 0xBF, 0xC0, 0xE0, 0xFF};
    enum { EDGES = sizeof edge };
    for (unsigned a = 0; a < 256; a++)
        for (unsigned b = 0; b < 256; b++)
            for (unsigned c = 0; c < EDGES; c++)
                for (unsigned d = 0; d < EDGES; d++)
                    for (size_t n = 1; n <= 4; n++) {
                        const unsigned char s[4] = {(unsigned char)a, (unsigned char)b, edge[c],
                                                    edge[d]};
                        check_against_table(s, n);
                    }
}

static void the_first_and_last_of_each_row_decode_to_its_code_points(void **state)
{
    (void)state;
    enum { ROWS = sizeof table_3_7 / sizeof *table_3_7 };
    /* Last code point of each row, same table. */
    static const uint32_t last[ROWS] = {0x7F,   0x7FF,   0xFFF,   0xCFFF,  0xD7FF,
                                        0xFFFF, 0x3FFFF, 0xFFFFF, 0x10FFFF};
    for (size_t i = 0; i < ROWS; i++) {
        const struct well_formed *w = &table_3_7[i];
        size_t took;
        char out[4];
        assert_int_equal(utf8_next((const char *)w->low, w->len, &took), w->from);
        assert_int_equal(utf8_next((const char *)w->high, w->len, &took), last[i]);
        assert_int_equal(utf8_put(w->from, out), w->len);
        assert_memory_equal(out, w->low, w->len);
        assert_int_equal(utf8_put(last[i], out), w->len);
        assert_memory_equal(out, w->high, w->len);
    }
}

/* Cases in the style of Markus Kuhn's decoder stress test, from memory. */
static void hostile_sequences_are_refused_at_their_first_byte(void **state)
{
    (void)state;
    static const char *const bad[] = {
        "\x80",
        "\xBF",
        "\x80\xBF",
        "\xC0 ",
        "\xDF ",
        "\xE0 ",
        "\xEF ",
        "\xF0 ",
        "\xF4 ",
        "\xFE",
        "\xFF",
        "\xFE\xFE\xFF\xFF",
        "\xC2",
        "\xE0\xA0",
        "\xF0\x90\x80",
        "\xEF\xBF",
        "\xF4\x8F\xBF",
        "\xC0\xAF",
        "\xE0\x80\xAF",
        "\xF0\x80\x80\xAF",
        "\xF8\x80\x80\x80\xAF",
        "\xFC\x80\x80\x80\x80\xAF",
        "\xC1\xBF",
        "\xE0\x9F\xBF",
        "\xF0\x8F\xBF\xBF",
        "\xC0\x80",
        "\xE0\x80\x80",
        "\xED\xA0\x80",
        "\xED\xAD\xBF",
        "\xED\xAE\x80",
        "\xED\xAF\xBF",
        "\xED\xB0\x80",
        "\xED\xBE\x80",
        "\xED\xBF\xBF",
        "\xED\xA0\x80\xED\xB0\x80",
        "\xF4\x90\x80\x80",
        "\xF5\x80\x80\x80",
        "\xF7\xBF\xBF\xBF",
    };
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        char text[32] = "ok ";
        strcat(text, bad[i]);
        if (utf8_check(text, strlen(text)) != 3)
            fail_msg("case %zu was not refused at its first byte", i);
    }
    static const char *const good[] = {"\xED\x9F\xBF",
                                       "\xEE\x80\x80",
                                       "\xEF\xBF\xBD",
                                       "\xF4\x8F\xBF\xBF",
                                       "\xEF\xBF\xBE",
                                       "\xEF\xBF\xBF",
                                       "\xCE\xBA\xE1\xBD\xB9\xCF\x83\xCE\xBC\xCE\xB5"};
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        assert_int_equal(utf8_check(good[i], strlen(good[i])), strlen(good[i]));
    assert_int_equal(utf8_check("", 0), 0);
}

/* Unicode Standard, tables 3-8 to 3-10, from memory: each '!' is a byte that is replaced. */
static void ill_formed_bytes_are_replaced_one_by_one(void **state)
{
    (void)state;
    static const struct {
        const char *bytes, *shown;
    } rows[] = {
        {"\xC0\xAF\xE0\x80\xBF\xF0\x81\x82\x41", "!!!!!!!!A"},
        {"\xED\xA0\x80\xED\xBF\xBF\xED\xAF\x41", "!!!!!!!!A"},
        {"\xF4\x91\x92\x93\xFF\x41\x80\xBF\x42", "!!!!!A!!B"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char shown[16] = "";
        const char *s = rows[i].bytes;
        for (size_t n = strlen(s), took; n > 0; s += took, n -= took) {
            uint32_t c = utf8_next(s, n, &took);
            strcat(shown, c == UTF8_BAD ? "!" : (char[2]){(char)c, '\0'});
        }
        assert_string_equal(shown, rows[i].shown);
    }
}

static void what_is_no_code_point_is_written_as_the_replacement(void **state)
{
    (void)state;
    static const uint32_t none[] = {0xD800, 0xDFFF, 0x110000, 0xFFFFFFFF};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        char out[4];
        assert_int_equal(utf8_put(none[i], out), 3);
        assert_memory_equal(out, "\xEF\xBF\xBD", 3);
    }
}

/* Reference: wcwidth of the C library. A newer one may know some hundred code points more. */
static void widths_are_those_of_the_c_library(void **state)
{
    (void)state;
    if (!setlocale(LC_CTYPE, "C.UTF-8"))
        skip();
    int differ = 0;
    for (uint32_t c = 0x20; c < 0x40000; c++) {
        int want = wcwidth((wchar_t)c);
        if (want < 0 || want == utf8_width_of(c))
            continue;
        if (differ++ < 5)
            print_message("U+%04X is %d here, %d there\n", (unsigned)c, utf8_width_of(c), want);
    }
    assert_in_range(differ, 0, 1000);
    for (uint32_t c = 0x20; c < 0x2000; c++) /* the scripts that names are written in */
        if (wcwidth((wchar_t)c) >= 0)
            assert_int_equal(utf8_width_of(c), wcwidth((wchar_t)c));
}

static void text_takes_the_columns_its_characters_take(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int width;
    } rows[] = {
        {"", 0},
        {"Tuba 3", 6},
        {"Zo\u00eb", 3},
        {"Zoe\u0308", 3},          /* the same with a combining diaeresis */
        {"\u4e2d\u6587", 4},       /* East Asian Width W */
        {"\uac00", 2},             /* Hangul syllable */
        {"\U0001f3ba", 2},         /* trumpet: emoji presentation is wide */
        {"\u0e01\u0e34\u0e19", 2}, /* Thai: the vowel sits above */
        {"\u200b\ufeff", 0},
        {"\t\x1b", 2},   /* shown as '?' */
        {"\xff\x80", 2}, /* the same */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(utf8_width(rows[i].text), rows[i].width);
}

static void a_fit_keeps_characters_whole(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        int columns;
        size_t bytes;
    } rows[] = {
        {"abc", 2, 2},           {"abc", 9, 3},          {"abc", 0, 0},      {"abc", -1, 0},
        {"\u4e2d\u6587", 3, 3},  {"\u4e2d\u6587", 1, 0}, {"e\u0308x", 1, 3}, {"e\u0308x", 2, 4},
        {"e\u0308\u0323", 1, 5}, {"a\u4e2dx", 2, 1},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_int_equal(utf8_fit(rows[i].text, rows[i].columns), rows[i].bytes);
}

static void nothing_that_commands_a_terminal_stays_in_tamed_text(void **state)
{
    (void)state;
    static const struct {
        const char *text, *tamed;
    } rows[] = {
        {"plain \u00e9 \u4e2d", "plain \u00e9 \u4e2d"},
        {"\x1b[2J", "?[2J"},
        {"a\tb\nc\rd\x7f", "a?b?c?d?"},
        {"\xc2\x9b"
         "31m",
         "??31m"},                          /* C1 control sequence introducer */
        {"\u202eevil\u202c", "???evil???"}, /* bidirectional override */
        {"\u2066x\u2069", "???x???"},
        {"cut \xe4\xb8", "cut ??"},
        {"\xff\xfe", "??"},
        {"\u2028", "???"},
        {"\ufffd", "\ufffd"}, /* a replacement that was there stays */
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[64];
        strcpy(text, rows[i].text);
        utf8_tame(text);
        assert_string_equal(text, rows[i].tamed);
    }
}

/* Two names that look the same are the same, or one of them shows a '?'. Sources: Unicode 14.0,
 * Default_Ignorable_Code_Point; RFC 5892, appendix A; UTS #51 (from memory). */
static void what_is_not_seen_is_shown(void **state)
{
    (void)state;
    static const uint32_t hidden[] = {
        0xAD,   0x34F,  0x61C,  0x115F, 0x1160, 0x180E,  0x200B,  0x200C,  0x200D,  0x200E,
        0x200F, 0x202A, 0x202E, 0x2060, 0x2063, 0x2066,  0x2069,  0x206F,  0x3164,  0xFE00,
        0xFE0F, 0xFEFF, 0xFFA0, 0xFFF9, 0x180B, 0xE0001, 0xE0041, 0xE007F, 0xE0100, 0x1D173,
    };
    static const char *const around[][2] = {{"Ana", "Lee"}, {"", "Ana"},     {"Ana", ""},
                                            {"Ana ", " B"}, {"\u65e5", "x"}, {"\u00e9", "\u00e9"}};
    for (size_t i = 0; i < sizeof hidden / sizeof *hidden; i++)
        for (size_t k = 0; k < sizeof around / sizeof *around; k++) {
            char text[64], c[5] = "", old[64];
            const size_t n = utf8_put(hidden[i], c);
            if (k == 4 && (hidden[i] == 0xFE00 || hidden[i] == 0xE0100))
                continue; /* a variant of a Han character */
            snprintf(text, sizeof text, "%s%s%s", around[k][0], c, around[k][1]);
            snprintf(old, sizeof old, "%s%.*s%s", around[k][0], (int)n, "????", around[k][1]);
            utf8_tame(text);
            if (strcmp(text, old) != 0)
                fail_msg("U+%04X between '%s' and '%s': '%s'", (unsigned)hidden[i], around[k][0],
                         around[k][1], text);
        }
}

static void joiners_stay_where_they_are_seen(void **state)
{
    (void)state;
    static const struct {
        const char *text, *tamed;
    } rows[] = {
        {"\U0001F469\u200D\U0001F680", NULL},                       /* an astronaut */
        {"\U0001F469\U0001F3FD\u200D\U0001F680 x", NULL},           /* of that skin */
        {"\U0001F3F3\uFE0F\u200D\U0001F308", NULL},                 /* a flag */
        {"\u2764\uFE0F", NULL},                                     /* a heart */
        {"1\uFE0F\u20E3", NULL},                                    /* a keycap */
        {"\u0645\u06CC\u200C\u062E\u0648\u0627\u0647\u0645", NULL}, /* Persian 'I want' */
        {"\u0646\u0627\u0645\u0647\u200C\u0627\u06CC", NULL},       /* 'a letter' */
        {"\u06CC\u0650\u200C\u06A9", NULL},                         /* through a vowel mark */
        {"\u0915\u094D\u200D\u0937", NULL},                         /* Devanagari half form */
        {"\u0915\u094D\u200C\u0937", NULL},                         /* and its virama shown */
        {"\u0DC1\u0DCA\u200D\u0DBB\u0DD3", NULL},                   /* Sinhala 'Sri' */
        {"\u845B\U000E0100", NULL},                                 /* a variant of Han */
        {"\u0631\u200C\u0645", "\u0631???\u0645"}, /* reh joins nothing after it anyway */
        {"\u0645\u200C", "\u0645???"},             /* nothing follows */
        {"\u0645\u200C\u200C\u0645", "\u0645??????\u0645"},
        {"\u0645\u200Cb", "\u0645???b"},
        {"\U0001F469\u200Dx", "\U0001F469???x"},
        {"\U0001F469\u200D\u200D\U0001F680", "\U0001F469??????\U0001F680"},
        {"\u2764\uFE0F\uFE0F", "\u2764\uFE0F???"},
        {"\u200D", "???"},
        {"\xff\u200D\xff", "?????"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[64];
        strcpy(text, rows[i].text);
        utf8_tame(text);
        if (strcmp(text, rows[i].tamed ? rows[i].tamed : rows[i].text) != 0)
            fail_msg("row %zu: '%s' became '%s'", i, rows[i].text, text);
    }
}

/* Reference: towlower of the C library, in all scripts. U+0130 has no simple folding (Unicode
 * CaseFolding.txt), which the library does not follow; Cherokee folds to its capitals there. */
static void letters_fold_as_the_c_library_folds_them(void **state)
{
    (void)state;
    if (!setlocale(LC_CTYPE, "C.UTF-8"))
        skip();
    for (uint32_t c = 0x20; c < 0x1F000; c++) {
        char a[5] = "", b[5] = "";
        if (c == 0x130 || (c >= 0xD800 && c < 0xE000))
            continue;
        utf8_put(c, a);
        utf8_put((uint32_t)towlower((wint_t)c), b);
        if (utf8_casecmp(a, b) != 0)
            fail_msg("U+%04X is not U+%04X here", (unsigned)c, (unsigned)towlower((wint_t)c));
    }
    assert_int_equal(utf8_casecmp("\u017f", "S"), 0); /* CaseFolding.txt: 017F; C; 0073 */
    assert_int_not_equal(utf8_casecmp("\u0130", "\u0131"), 0);
    /* The same file, from memory: 00DF; F; 0073 0073. 03C2; C; 03C3. 0416; C; 0436. */
    assert_int_equal(utf8_casecmp("Stra\u00dfe", "STRASSE"), 0);
    assert_int_equal(utf8_casecmp("\u03a3\u0391\u03a3", "\u03c3\u03b1\u03c2"), 0);
    assert_int_equal(utf8_casecmp("\u0416\u0423\u041a", "\u0436\u0443\u043a"), 0);
    assert_true(utf8_casestr("gro\u00dfe Trommel", "OSSE T"));
    assert_true(utf8_casecmp("\u00df", "s") > 0);
}

static void comparison_is_an_order_and_search_ignores_case(void **state)
{
    (void)state;
    assert_int_equal(utf8_casecmp("ZO\u00cb", "zo\u00eb"), 0);
    assert_true(utf8_casecmp("tuba", "tubas") < 0);
    assert_true(utf8_casecmp("tubas", "TUBA") > 0);
    assert_true(utf8_casecmp("", "a") < 0);
    assert_true(utf8_casestr("Low Brass", "BRASS"));
    assert_true(utf8_casestr("anything", ""));
    assert_true(utf8_casestr("", ""));
    assert_false(utf8_casestr("", "a"));
    assert_false(utf8_casestr("brass", "brasses"));
    assert_true(utf8_casestr("aab", "AB"));
}

/* Random bytes in memory of just their size, so that a sanitizer sees every step too far. */
static void random_bytes_never_lead_astray(void **state)
{
    (void)state;
    uint32_t seed = 1;
    for (int round = 0; round < 20000; round++) {
        size_t n = (size_t)(round % 24);
        char *s = malloc(n + 1), *old = malloc(n + 1);
        for (size_t i = 0; i < n; i++) {
            seed = seed * 1664525u + 1013904223u;
            unsigned char c = (unsigned char)(seed >> 24);
            s[i] = (char)(c ? (round % 2 ? c | 0x80 : c) : 1);
        }
        s[n] = '\0';
        memcpy(old, s, n + 1);
        for (size_t i = 0, took; i < n; i += took) {
            uint32_t c = utf8_next(s + i, n - i, &took);
            assert_in_range(took, 1, n - i);
            char back[4];
            if (took > 1 || c != UTF8_BAD)
                assert_int_equal(utf8_put(c, back), took);
        }
        size_t fit = utf8_fit(s, 5);
        assert_in_range(fit, 0, n);
        assert_true(utf8_check(s, n) <= n);
        assert_int_equal(utf8_casecmp(s, s), 0);
        assert_true(utf8_casestr(s, s + n / 2));
        utf8_tame(s);
        assert_int_equal(strlen(s), n);
        assert_int_equal(utf8_check(s, n), n);
        assert_int_equal(-utf8_casecmp(s, old), utf8_casecmp(old, s));
        for (size_t i = 0, took; i < n; i += took) {
            assert_false(utf8_is_control(utf8_next(s + i, n - i, &took)));
            assert_false(utf8_hides(s, n, i));
        }
        free(s);
        free(old);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_sequence_is_judged_as_table_3_7_says),
        cmocka_unit_test(the_first_and_last_of_each_row_decode_to_its_code_points),
        cmocka_unit_test(hostile_sequences_are_refused_at_their_first_byte),
        cmocka_unit_test(ill_formed_bytes_are_replaced_one_by_one),
        cmocka_unit_test(what_is_no_code_point_is_written_as_the_replacement),
        cmocka_unit_test(widths_are_those_of_the_c_library),
        cmocka_unit_test(text_takes_the_columns_its_characters_take),
        cmocka_unit_test(a_fit_keeps_characters_whole),
        cmocka_unit_test(nothing_that_commands_a_terminal_stays_in_tamed_text),
        cmocka_unit_test(what_is_not_seen_is_shown),
        cmocka_unit_test(joiners_stay_where_they_are_seen),
        cmocka_unit_test(letters_fold_as_the_c_library_folds_them),
        cmocka_unit_test(comparison_is_an_order_and_search_ignores_case),
        cmocka_unit_test(random_bytes_never_lead_astray),
    };
    return cmocka_run_group_tests_name("UTF-8", tests, NULL, NULL);
}
