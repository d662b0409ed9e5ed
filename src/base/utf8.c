#include "base/utf8.h"

#include <string.h>

#include <utf8proc.h>

uint32_t utf8_next(const char *s, size_t n, size_t *took)
{
    const unsigned char *p = (const unsigned char *)s;
    *took = 1;
    if (p[0] < 0x80)
        return p[0];
    size_t len = p[0] >= 0xF0 ? 4 : p[0] >= 0xE0 ? 3 : 2;
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    if (p[0] < 0xC2 || p[0] > 0xF4 || n < len)
        return UTF8_BAD;
    uint32_t c = p[0] & (0x7Fu >> len);
    for (size_t i = 1; i < len; i++) {
        if ((p[i] & 0xC0) != 0x80)
            return UTF8_BAD;
        c = c << 6 | (p[i] & 0x3F);
    }
    if (c < least[len] || c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
        return UTF8_BAD;
    *took = len;
    return c;
}

size_t utf8_put(uint32_t c, char out[4])
{
    if (c > 0x10FFFF || (c >= 0xD800 && c <= 0xDFFF))
        c = UTF8_BAD;
    if (c < 0x80) {
        out[0] = (char)c;
        return 1;
    }
    size_t len = c < 0x800 ? 2 : c < 0x10000 ? 3 : 4;
    for (size_t i = len - 1; i > 0; i--, c >>= 6)
        out[i] = (char)(0x80 | (c & 0x3F));
    out[0] = (char)((0xF00u >> len) | c);
    return len;
}

size_t utf8_check(const char *s, size_t n)
{
    size_t i = 0;
    while (i < n) {
        size_t took;
        if (utf8_next(s + i, n - i, &took) == UTF8_BAD && took == 1)
            return i;
        i += took;
    }
    return n;
}

int utf8_width(const char *s)
{
    int w = 0;
    for (size_t n = strlen(s), took; n > 0; s += took, n -= took)
        w += utf8_width_of(utf8_next(s, n, &took));
    return w;
}

size_t utf8_fit(const char *s, int columns)
{
    size_t i = 0, n = strlen(s);
    while (i < n) {
        size_t took;
        columns -= utf8_width_of(utf8_next(s + i, n - i, &took));
        if (columns < 0)
            break;
        i += took;
    }
    return i;
}

/* Text as its folded code points, one after the other; one letter may fold to several. */
struct folded {
    const char *rest;
    utf8proc_int32_t ready[4];
    size_t n, at; /* of ready */
};

static void fold(struct folded *f, uint32_t c)
{
    int boundary = 0;
    enum { MOST = sizeof f->ready / sizeof *f->ready };
    const utf8proc_ssize_t n =
        utf8proc_decompose_char((utf8proc_int32_t)c, f->ready, MOST, UTF8PROC_CASEFOLD, &boundary);
    f->at = 0;
    f->n = n > 0 && n <= MOST ? (size_t)n : 1;
    if (n <= 0 || n > MOST)
        f->ready[0] = (utf8proc_int32_t)c;
}

static uint32_t next_folded(struct folded *f)
{
    if (f->at < f->n)
        return (uint32_t)f->ready[f->at++];
    const unsigned char first = (unsigned char)*f->rest;
    if (first < 0x80) { /* nearly all that is compared, so without a look at the rest */
        f->rest += first != 0;
        return first >= 'A' && first <= 'Z' ? first + 32u : first;
    }
    size_t took;
    uint32_t c = utf8_next(f->rest, strnlen(f->rest, 4), &took);
    f->rest += took;
    fold(f, c);
    return (uint32_t)f->ready[f->at++];
}

int utf8_casecmp(const char *a, const char *b)
{
    struct folded left = {.rest = a}, right = {.rest = b};
    for (;;) {
        uint32_t x = next_folded(&left), y = next_folded(&right);
        if (x != y)
            return x < y ? -1 : 1;
        if (!x)
            return 0;
    }
}

static bool starts_folded(const char *hay, const char *needle)
{
    struct folded in = {.rest = hay}, wanted = {.rest = needle};
    for (;;) {
        uint32_t y = next_folded(&wanted);
        if (!y)
            return true;
        if (next_folded(&in) != y)
            return false;
    }
}

bool utf8_casestr(const char *hay, const char *needle)
{
    for (;; hay++) {
        if (starts_folded(hay, needle))
            return true;
        if (!*hay)
            return false;
    }
}
