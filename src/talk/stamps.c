/* Plain text whose paragraphs begin with the time at which they were said. */
#include <string.h>

#include "talk/timed_inner.h"

/* "[1:05]", "(1:05)", "1:05", "1:02:03", with tenths or not, and what people put behind it: a dash, a
 * colon. *end is where the words begin. LOOKS: it is written as a time, and none. */
enum stamp { NONE, LOOKS, IS };

static enum stamp stamp(const struct timed_line *l, int64_t *us, size_t *end)
{
    size_t at = 0, n;
    int64_t part[3] = {0, 0, 0}, ms = 0;
    int parts = 0;
    bool well = true;
    while (at < l->n && (l->at[at] == ' ' || l->at[at] == '\t'))
        at++;
    const char open = at < l->n && (l->at[at] == '[' || l->at[at] == '(') ? l->at[at++] : 0;
    for (; parts < 3; parts++) {
        part[parts] = digits(l, &at, &n);
        if (n == 0)
            return NONE;
        well &= parts == 0 ? n <= 4 : n == 2 && part[parts] <= 59;
        if (parts == 2 || at + 1 >= l->n || l->at[at] != ':' || l->at[at + 1] < '0' ||
            l->at[at + 1] > '9') {
            parts++;
            break;
        }
        at++;
    }
    if (parts < 2)
        return NONE;
    if (at + 1 < l->n && (l->at[at] == '.' || l->at[at] == ',') && l->at[at + 1] >= '0' &&
        l->at[at + 1] <= '9') {
        at++;
        ms = digits(l, &at, &n);
        for (; n < 3; n++)
            ms *= 10;
        for (; n > 3; n--)
            ms /= 10;
    }
    if (open) {
        if (at >= l->n || l->at[at] != (open == '[' ? ']' : ')'))
            return open == '[' ? LOOKS : NONE;
        at++;
    } else if (at < l->n && strchr(" \t:-,;", l->at[at]) == NULL &&
               memcmp(l->at + at, "\xe2\x80", l->n - at < 2 ? l->n - at : 2) != 0)
        return NONE; /* 10:30pm, 4:5ths */
    if (!well)
        return LOOKS;
    if (parts == 2) {
        part[2] = part[1];
        part[1] = part[0];
        part[0] = 0;
    }
    *us = (((part[0] * 60 + part[1]) * 60 + part[2]) * 1000 + ms) * 1000;
    *end = at;
    return IS;
}

/* A dash or a colon between the time and the words. */
static size_t behind(const struct timed_line *l, size_t at)
{
    for (;; at++) {
        if (at < l->n && strchr(" \t:-", l->at[at]))
            continue;
        if (at + 2 < l->n && memcmp(l->at + at, "\xe2\x80", 2) == 0 &&
            (l->at[at + 2] == '\x93' || l->at[at + 2] == '\x94')) { /* en dash, em dash */
            at += 2;
            continue;
        }
        return at;
    }
}

void read_stamps(struct reading *r)
{
    struct raw_cue cue = {.to_us = -1};
    bool open = false, passed = false, said = false;
    int64_t last = 0;
    for (size_t i = 0; i <= r->n; i++) {
        int64_t us = 0;
        size_t end = 0;
        const enum stamp is = i < r->n ? stamp(&r->lines[i], &us, &end) : LOOKS;
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
        if (us < last)
            reading_note(r, i, "an earlier time than the one before it; is it right?");
        last = us;
        cue = (struct raw_cue){.from_us = us,
                               .to_us = -1,
                               .time_line = i,
                               .first = i,
                               .skip = behind(&r->lines[i], end)};
    }
}
