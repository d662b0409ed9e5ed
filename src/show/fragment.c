#include "show/fragment.h"

#include <ctype.h>
#include <string.h>

enum { LONGEST = 200 }; /* of a value that is looked at */

static int hex(char c)
{
    return isdigit((unsigned char)c)    ? c - '0'
           : isxdigit((unsigned char)c) ? (c | 32) - 'a' + 10
                                        : -1;
}

bool fragment_decode(const char *s, size_t n, char *out)
{
    for (size_t i = 0; i < n; i++, out++) {
        *out = s[i];
        if (s[i] != '%')
            continue;
        const int high = i + 2 < n ? hex(s[i + 1]) : -1, low = high < 0 ? -1 : hex(s[i + 2]);
        if (low < 0 || high + low == 0)
            return false;
        *out = (char)(high * 16 + low);
        i += 2;
    }
    *out = '\0';
    return true;
}

/* A run of digits, of which there is at least one; *count says how many. */
static bool take_digits(const char **s, int64_t *n, int *count)
{
    *n = 0;
    for (*count = 0; isdigit((unsigned char)**s); ++*s, ++*count) {
        if (*n > INT64_C(1000000000))
            return false;
        *n = *n * 10 + (**s - '0');
    }
    return *count > 0;
}

/* ["." *DIGIT] in microseconds. */
static int64_t take_part(const char **s)
{
    int64_t us = 0, worth = 100000;
    if (**s != '.')
        return 0;
    ++*s;
    for (int k = 0; isdigit((unsigned char)**s); k++, worth /= 10) {
        us += worth * (**s - '0');
        us += k == 6 && **s >= '5'; /* the seventh digit rounds */
        ++*s;
    }
    return us;
}

/* npt-sec, npt-mmss or npt-hhmmss: minutes and seconds behind hours have two digits, 00 to 59. */
static bool take_npt(const char **s, int64_t *us)
{
    int64_t part[3];
    int n = 0, digits[3];
    do {
        if (n == 3 || !take_digits(s, &part[n], &digits[n]))
            return false;
        n++;
    } while (**s == ':' && ++*s);
    for (int i = n == 3 ? 1 : 0; n > 1 && i < n; i++)
        if (digits[i] != 2 || part[i] > 59)
            return false;
    int64_t seconds = 0;
    for (int i = 0; i < n; i++)
        seconds = seconds * 60 + part[i];
    if (seconds > INT64_C(3600000000))
        return false;
    *us = seconds * 1000000 + take_part(s);
    return true;
}

static bool time_value(const char *s, struct fragment_time *out)
{
    *out = (struct fragment_time){0, -1};
    if (strncmp(s, "npt:", 4) == 0)
        s += 4;
    const bool begins = *s != ',';
    if (begins && !take_npt(&s, &out->from_us))
        return false;
    if (!*s)
        return begins;
    if (*s++ != ',' || !take_npt(&s, &out->to_us) || *s)
        return false;
    return out->to_us > out->from_us;
}

/* One "name=value": is it a t, and what does it say? */
static bool pair(const char *s, size_t n, struct fragment_time *out)
{
    char name[LONGEST + 1], value[LONGEST + 1];
    const char *equals = memchr(s, '=', n);
    if (!equals || n > LONGEST)
        return false;
    const size_t before = (size_t)(equals - s);
    return fragment_decode(s, before, name) && strcmp(name, "t") == 0 &&
           fragment_decode(equals + 1, n - before - 1, value) && time_value(value, out);
}

bool fragment_time(const char *fragment, struct fragment_time *out)
{
    bool found = false;
    while (*fragment) {
        const size_t n = strcspn(fragment, "&");
        struct fragment_time one;
        if (pair(fragment, n, &one)) {
            *out = one;
            found = true;
        }
        fragment += n + (fragment[n] == '&');
    }
    return found;
}
