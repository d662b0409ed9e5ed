#include "base/utf8.h"

#include <string.h>

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

static uint32_t fold(uint32_t c)
{
    if ((c >= 'A' && c <= 'Z') || (c >= 0xC0 && c <= 0xDE && c != 0xD7))
        return c + 32;
    if (c == 0x130 || c == 0x131)
        return c; /* the Turkish pairs are not one letter's two cases elsewhere */
    if (c >= 0x100 && c <= 0x137)
        return c | 1;
    if ((c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E))
        return c % 2 ? c + 1 : c;
    if (c >= 0x14A && c <= 0x177)
        return c | 1;
    if (c == 0x178)
        return 0xFF; /* Y with diaeresis: its small letter is in Latin-1 */
    return c == 0x17F ? 's' : c;
}

static uint32_t next_folded(const char **s)
{
    const unsigned char first = (unsigned char)**s;
    if (first < 0x80) { /* nearly all that is compared, so without a look at the rest */
        *s += first != 0;
        return first >= 'A' && first <= 'Z' ? first + 32u : first;
    }
    size_t took;
    uint32_t c = utf8_next(*s, strnlen(*s, 4), &took);
    *s += took;
    return fold(c);
}

int utf8_casecmp(const char *a, const char *b)
{
    for (;;) {
        uint32_t x = next_folded(&a), y = next_folded(&b);
        if (x != y)
            return x < y ? -1 : 1;
        if (!x)
            return 0;
    }
}

static bool starts_folded(const char *hay, const char *needle)
{
    for (;;) {
        uint32_t y = next_folded(&needle);
        if (!y)
            return true;
        if (next_folded(&hay) != y)
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
