/* Plain text whose paragraphs begin with the time at which they were said. */
#include <string.h>

#include "talk/timed_inner.h"

/* LOOKS: it is written as a time, and none. */
enum stamp { NONE, LOOKS, IS };

static bool is_digit(const struct timed_line *l, size_t at)
{
    return at < l->n && l->at[at] >= '0' && l->at[at] <= '9';
}

/* Milliseconds behind a point or a comma; none: 0. */
static int64_t fraction(const struct timed_line *l, size_t *at)
{
    size_t n;
    if (*at >= l->n || (l->at[*at] != '.' && l->at[*at] != ',') || !is_digit(l, *at + 1))
        return 0;
    ++*at;
    int64_t ms = digits(l, at, &n);
    for (; n < 3; n++)
        ms *= 10;
    for (; n > 3; n--)
        ms /= 10;
    return ms;
}

/* "1:05", "1:02:03", with tenths or not. */
static enum stamp time_at(const struct timed_line *l, size_t *at, int64_t *us)
{
    int64_t total = 0;
    int parts = 0;
    bool well = true;
    for (bool more = true; more && parts < 3; parts++) {
        size_t n;
        const int64_t part = digits(l, at, &n);
        if (n == 0)
            return NONE;
        well &= parts == 0 ? n <= 4 : n == 2 && part <= 59;
        total = total * 60 + part;
        more = *at < l->n && l->at[*at] == ':' && is_digit(l, *at + 1);
        *at += more && parts < 2;
    }
    if (parts < 2)
        return NONE;
    *us = (total * 1000 + fraction(l, at)) * 1000;
    return well ? IS : LOOKS;
}

/* A dash, one of three: its length. */
static size_t dash(const struct timed_line *l, size_t at)
{
    if (at < l->n && l->at[at] == '-')
        return 1;
    if (at + 2 < l->n && memcmp(l->at + at, "\xe2\x80", 2) == 0 &&
        (l->at[at + 2] == '\x93' || l->at[at + 2] == '\x94'))
        return 3;
    return 0;
}

/* "- 1:09" behind a time: until when. */
static void until(const struct timed_line *l, size_t *at, struct raw_cue *cue)
{
    size_t to = *at;
    int64_t us;
    line_blanks(l, &to);
    const size_t n = dash(l, to);
    to += n;
    line_blanks(l, &to);
    if (n && time_at(l, &to, &us) == IS && us > cue->from_us) {
        cue->to_us = us;
        *at = to;
    }
}

/* "[0;14]", "(1:04]", "2:71]": between brackets, if only one of them, nobody writes such numbers for
 * anything but a time. */
static bool is_slip(const struct timed_line *l)
{
    size_t at = 0, n, more = 0;
    line_blanks(l, &at);
    const bool open = at < l->n && (l->at[at] == '[' || l->at[at] == '(');
    at += open;
    digits(l, &at, &n);
    if (n < 1 || n > 3 || at >= l->n || !strchr(":;.,", l->at[at]))
        return false;
    for (at++; at < l->n && strchr("0123456789:;.,", l->at[at]); at++)
        more++;
    const bool closed = at < l->n && (l->at[at] == ']' || l->at[at] == ')');
    return more > 0 && more <= 9 && closed;
}

/* "[1:05]", "(1:05)", "1:05", and with an end "1:05-1:09"; words begin at cue->skip. */
static enum stamp stamp(const struct timed_line *l, struct raw_cue *cue)
{
    size_t at = 0;
    *cue = (struct raw_cue){.to_us = -1};
    line_blanks(l, &at);
    const char open = at < l->n && (l->at[at] == '[' || l->at[at] == '(') ? l->at[at++] : 0;
    const enum stamp is = time_at(l, &at, &cue->from_us);
    if (is == IS)
        until(l, &at, cue);
    cue->skip = at + (open != 0);
    if (open && is != NONE && at < l->n && l->at[at] == (open == '[' ? ']' : ')'))
        return is;
    if (is_slip(l))
        return LOOKS;
    if (is == NONE || open)
        return open == '[' && is != NONE ? LOOKS : NONE;
    /* 10:30pm, 4:5ths */
    return at == l->n || strchr(" \t:-,;", l->at[at]) || dash(l, at) ? is : NONE;
}

/* What people put between the time and the words. */
static size_t behind(const struct timed_line *l, size_t at)
{
    while (at < l->n && (strchr(" \t:", l->at[at]) || dash(l, at)))
        at += dash(l, at) ? dash(l, at) : 1;
    return at;
}

void read_stamps(struct reading *r)
{
    struct raw_cue cue = {.to_us = -1}, next;
    bool open = false, passed = false, said = false;
    int64_t last = 0;
    for (size_t i = 0; i <= r->n; i++) {
        const enum stamp is = i < r->n ? stamp(&r->lines[i], &next) : LOOKS;
        if (is == NONE) {
            if (!open && !passed && !said && !line_is_blank(&r->lines[i])) {
                reading_note(r, i, "stands before the first time, and is passed over");
                said = true;
            }
            continue;
        }
        if (open) {
            cue.last = i;
            reading_add(r, &cue);
        }
        open = is == IS;
        passed = i < r->n && is == LOOKS;
        if (passed)
            reading_note(
                r, i, "this is no time; write [1:05] or [1:02:03]. The paragraph is passed over");
        if (!open)
            continue;
        if (next.from_us < last)
            reading_note(r, i, "an earlier time than the one before it; is it right?");
        last = next.from_us;
        cue = next;
        cue.time_line = cue.first = i;
        cue.skip = behind(&r->lines[i], next.skip);
    }
}
