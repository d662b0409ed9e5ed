/* What cannot be seen: two names that look the same must be the same. Sources: Unicode 14.0,
 * DerivedCoreProperties.txt (Default_Ignorable_Code_Point) and ArabicShaping.txt; the two joiners
 * where RFC 5892, appendices A.1 and A.2, allows them, and between pictures of an emoji sequence
 * (UTS #51, 2.3); all from memory. */
#include <string.h>

#include "base/utf8.h"

struct range {
    uint32_t from, to;
};

enum { ZWNJ = 0x200C, ZWJ = 0x200D };

#define IN(table, c) within(table, sizeof(table) / sizeof *(table), c)

static bool within(const struct range *r, size_t n, uint32_t c)
{
    for (size_t i = 0; i < n && c >= r[i].from; i++)
        if (c <= r[i].to)
            return true;
    return false;
}

/* Controls, and what is never seen or turns the direction of text, whatever stands beside it. */
static const struct range always[] = {
    {0, 0x1F},          {0x7F, 0x9F},       {0xAD, 0xAD},       {0x34F, 0x34F},
    {0x61C, 0x61C},     {0x115F, 0x1160},   {0x17B4, 0x17B5},   {0x180E, 0x180E},
    {0x200B, 0x200B},   {0x200E, 0x200F},   {0x2028, 0x202E},   {0x2060, 0x206F},
    {0x3164, 0x3164},   {0xFEFF, 0xFEFF},   {0xFFA0, 0xFFA0},   {0xFFF0, 0xFFFB},
    {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE00FF}, {0xE01F0, 0xE0FFF}};

/* Each changes what stands before it, and is unseen elsewhere. */
static const struct range selectors[] = {
    {0x180B, 0x180D}, {0x180F, 0x180F}, {0xFE00, 0xFE0F}, {0xE0100, 0xE01EF}};

static const struct range pictures[] = {
    {0xA9, 0xA9},     {0xAE, 0xAE},     {0x203C, 0x203C}, {0x2049, 0x2049}, {0x2122, 0x2122},
    {0x2139, 0x2139}, {0x2190, 0x21FF}, {0x2300, 0x23FF}, {0x2460, 0x24FF}, {0x25A0, 0x27BF},
    {0x2900, 0x297F}, {0x2B00, 0x2BFF}, {0x3030, 0x303D}, {0x3297, 0x3299}, {0x1F000, 0x1FAFF}};

static const struct range han[] = {
    {0x3400, 0x4DBF}, {0x4E00, 0x9FFF}, {0xF900, 0xFAFF}, {0x20000, 0x3FFFD}};

/* Canonical combining class 9. */
static const struct range viramas[] = {
    {0x94D, 0x94D},   {0x9CD, 0x9CD},   {0xA4D, 0xA4D},   {0xACD, 0xACD},   {0xB4D, 0xB4D},
    {0xBCD, 0xBCD},   {0xC4D, 0xC4D},   {0xCCD, 0xCCD},   {0xD3B, 0xD3C},   {0xD4D, 0xD4D},
    {0xDCA, 0xDCA},   {0xF84, 0xF84},   {0x1039, 0x103A}, {0x17D2, 0x17D2}, {0x1B44, 0x1B44},
    {0x1BAA, 0x1BAB}, {0xA806, 0xA806}, {0xA9C0, 0xA9C0}, {0xABED, 0xABED}};

/* Arabic letters that join on both sides, and those that join to the one before them only. */
static const struct range dual[] = {
    {0x620, 0x620}, {0x626, 0x626}, {0x628, 0x628}, {0x62A, 0x62E}, {0x633, 0x63F}, {0x641, 0x647},
    {0x649, 0x64A}, {0x66E, 0x66F}, {0x678, 0x687}, {0x69A, 0x6BF}, {0x6C1, 0x6C2}, {0x6CC, 0x6CC},
    {0x6CE, 0x6CE}, {0x6D0, 0x6D1}, {0x6FA, 0x6FC}, {0x6FF, 0x6FF}, {0x750, 0x758}, {0x75C, 0x76A},
    {0x76D, 0x770}, {0x772, 0x772}, {0x775, 0x777}, {0x77A, 0x77F}};
static const struct range right[] = {
    {0x622, 0x625}, {0x627, 0x627}, {0x629, 0x629}, {0x62F, 0x632}, {0x648, 0x648},
    {0x671, 0x673}, {0x675, 0x677}, {0x688, 0x699}, {0x6C0, 0x6C0}, {0x6C3, 0x6CB},
    {0x6CD, 0x6CD}, {0x6CF, 0x6CF}, {0x6D2, 0x6D3}, {0x6D5, 0x6D5}, {0x6EE, 0x6EF},
    {0x759, 0x75B}, {0x76B, 0x76C}, {0x771, 0x771}, {0x773, 0x774}, {0x778, 0x779}};

bool utf8_is_control(uint32_t c)
{
    return IN(always, c);
}

/* The code point that ends before s[*at], and *at moved to where it begins; 0 at the beginning. */
static uint32_t step_back(const char *s, size_t *at)
{
    size_t took, from = *at;
    if (from == 0)
        return 0;
    do
        from--;
    while (from > 0 && *at - from < 4 && ((unsigned char)s[from] & 0xC0) == 0x80);
    const uint32_t c = utf8_next(s + from, *at - from, &took);
    *at = took == *at - from ? from : *at - 1;
    return c;
}

static uint32_t step_on(const char *s, size_t n, size_t *at)
{
    size_t took;
    if (*at >= n)
        return 0;
    const uint32_t c = utf8_next(s + *at, n - *at, &took);
    *at += took;
    return c;
}

/* A mark above or below a letter, through which its neighbours still join. */
static bool is_transparent(uint32_t c)
{
    return c >= 0x300 && utf8_width_of(c) == 0 && c != ZWNJ && c != ZWJ && !IN(always, c) &&
           !IN(selectors, c) && !IN(viramas, c);
}

static bool selects(const char *s, size_t n, size_t at, uint32_t c, size_t took)
{
    size_t before = at, after = at + took;
    const uint32_t prev = step_back(s, &before), next = step_on(s, n, &after);
    if (c == 0xFE0E || c == 0xFE0F)
        return IN(pictures, prev) || (prev && prev < 0x80 && next == 0x20E3);
    if (c >= 0x180B && c <= 0x180F)
        return prev >= 0x1820 && prev <= 0x18AA;
    return IN(han, prev);
}

static bool joins(const char *s, size_t n, size_t at, uint32_t c)
{
    size_t before = at, after = at + 3;
    uint32_t prev = step_back(s, &before), next = step_on(s, n, &after);
    if (IN(viramas, prev))
        return true;
    if (c == ZWJ) {
        while (prev == 0xFE0F || (prev >= 0x1F3FB && prev <= 0x1F3FF))
            prev = step_back(s, &before);
        /* Bengali also has it before the virama. */
        return (IN(pictures, prev) && IN(pictures, next)) ||
               (prev >= 0x900 && prev <= 0xDFF && IN(viramas, next));
    }
    while (is_transparent(prev))
        prev = step_back(s, &before);
    while (is_transparent(next))
        next = step_on(s, n, &after);
    return IN(dual, prev) && (IN(dual, next) || IN(right, next));
}

bool utf8_hides(const char *s, size_t n, size_t at)
{
    size_t took;
    const uint32_t c = utf8_next(s + at, n - at, &took);
    if (c < 0x7F)
        return c < 0x20;
    if (c == ZWNJ || c == ZWJ)
        return !joins(s, n, at, c);
    if (IN(selectors, c))
        return !selects(s, n, at, c, took);
    return IN(always, c);
}

void utf8_tame(char *s)
{
    /* Looked at from the end, so that what stands before is still what was written. */
    const size_t n = strlen(s);
    for (size_t at = n; at > 0;) {
        size_t end = at, took;
        step_back(s, &at);
        const bool bad = utf8_next(s + at, end - at, &took) == UTF8_BAD && took == 1;
        if (bad || utf8_hides(s, n, at))
            memset(s + at, '?', end - at);
    }
}
