/* What people have typed becomes text in HTML, and nothing else. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "page/html.h"

#define COUNT(a) (sizeof(a) / sizeof *(a))

struct pair {
    const char *in, *out;
};

static void all_are(const struct pair *rows, size_t n, void (*put)(struct buf *, const char *))
{
    for (size_t i = 0; i < n; i++) {
        struct buf out = {0};
        put(&out, rows[i].in);
        assert_string_equal(buf_text(&out), rows[i].out);
        buf_free(&out);
    }
}

/* HTML Living Standard, section 13.1.4 (character references) and 13.3 (escaping a string). */
static void text_holds_no_markup(void **state)
{
    (void)state;
    static const struct pair rows[] = {
        {"", ""},
        {"horn angle", "horn angle"},
        {"<script>alert(1)</script>", "&lt;script&gt;alert(1)&lt;/script&gt;"},
        {"\" onload=\"x", "&quot; onload=&quot;x"},
        {"it's & it is", "it&#39;s &amp; it is"},
        {"&lt;", "&amp;lt;"},
        {"Zoë 🎺 トランペット", "Zoë 🎺 トランペット"},
        {"left\xe2\x80\xaeright", "left???right"}, /* U+202E, a right-to-left override */
        {"bell\a, tab\tand\nline", "bell?, tab and line"},
        {"\xff", "?"},
    };
    all_are(rows, COUNT(rows), html_text);
}

static void a_name_stands_for_itself_in_either_direction(void **state)
{
    (void)state;
    static const struct pair rows[] = {{"עדה <b>", "<bdi>עדה &lt;b&gt;</bdi>"}};
    all_are(rows, COUNT(rows), html_name);
}

/* RFC 3986: unreserved characters of section 2.3 stay; section 4.2 for the colon. */
static void an_address_is_percent_encoded(void **state)
{
    (void)state;
    static const struct pair rows[] = {
        {"clips/tuesday-2.mp4", "clips/tuesday-2.mp4"},
        {"../a b.mp4", "../a%20b.mp4"},
        {"50%#1?\"'<>&.mp4", "50%25%231%3F%22%27%3C%3E%26.mp4"},
        {"javascript:alert(1)", "./javascript%3Aalert%281%29"},
        {"clips/a:b.mp4", "clips/a%3Ab.mp4"},
        {"é.mp4", "%C3%A9.mp4"},
    };
    all_are(rows, COUNT(rows), html_address);
}

/* RFC 4648, section 10. */
static void base64_is_as_published(void **state)
{
    (void)state;
    static const struct pair rows[] = {{"", ""},
                                       {"f", "Zg=="},
                                       {"fo", "Zm8="},
                                       {"foo", "Zm9v"},
                                       {"foob", "Zm9vYg=="},
                                       {"fooba", "Zm9vYmE="},
                                       {"foobar", "Zm9vYmFy"}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct buf out = {0};
        html_base64(&out, rows[i].in, strlen(rows[i].in));
        assert_string_equal(buf_text(&out), rows[i].out);
        buf_free(&out);
    }
    struct buf high = {0};
    html_base64(&high, "\xfb\xff\xbf", 3);
    assert_string_equal(buf_text(&high), "+/+/");
    buf_free(&high);
}

static void numbers_have_no_exponent_and_no_tail(void **state)
{
    (void)state;
    static const struct {
        double in;
        const char *out;
    } rows[] = {{0, "0"},          {-0.0001, "0"}, {13.04, "13.04"}, {11, "11"},  {1e6, "1000000"},
                {0.0005, "0.001"}, {-2.5, "-2.5"}, {358.2, "358.2"}, {100, "100"}};
    for (size_t i = 0; i < COUNT(rows); i++) {
        struct buf out = {0};
        html_number(&out, rows[i].in);
        assert_string_equal(buf_text(&out), rows[i].out);
        buf_free(&out);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_holds_no_markup),
        cmocka_unit_test(a_name_stands_for_itself_in_either_direction),
        cmocka_unit_test(an_address_is_percent_encoded),
        cmocka_unit_test(base64_is_as_published),
        cmocka_unit_test(numbers_have_no_exponent_and_no_tail),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
