#include "count/moment.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/number.h"

/* Four numbers, or a semicolon: a label and not h:mm:ss. */
static bool looks_like_label(const char *s)
{
    int marks = 0;
    for (const char *p = s; *p; p++) {
        if (*p == ';')
            return true;
        marks += *p == ':';
    }
    return marks == 3;
}

/* "1234f": the digits, or -1 when it is not a frame number. */
static int64_t frame_number(const char *s)
{
    while (isspace((unsigned char)*s))
        s++;
    char *end;
    if (!isdigit((unsigned char)*s))
        return -1;
    const long long n = strtoll(s, &end, 10);
    if (*end != 'f' && *end != 'F')
        return -1;
    for (end++; isspace((unsigned char)*end); end++)
        ;
    return *end ? -1 : n;
}

static const char *skip_blanks(const char *s)
{
    return s + strspn(s, " \t");
}

static bool is_shift(const char *s)
{
    const char first = *skip_blanks(s);
    return first == '+' || first == '-';
}

bool moment_parse_time(const char *s, struct rate fps, struct moment *out, struct err *e)
{
    const bool label = looks_like_label(s);
    int64_t frame = frame_number(s), us;
    if ((label || frame >= 0) && (fps.num <= 0 || fps.den <= 0))
        return err_set(e, ERR_INPUT,
                       "%s: the clip's frame rate is not known, so frames cannot be found; write "
                       "m:ss.t, as 5:58.2",
                       s);
    if (label && !smpte_parse(s, fps, &frame, e))
        return false;
    if (frame >= 0) {
        if (frame > frame_at(TIME_MAX_US, fps))
            return err_set(e, ERR_INPUT, "%s: no clip has so many frames", s);
        *out = (struct moment){.kind = MOMENT_TIME, .us = frame_time(frame, fps)};
        return true;
    }
    const bool shift = is_shift(s);
    if (!(shift ? time_parse_shift(s, &us, e) : time_parse(s, &us, e)))
        return false;
    *out = (struct moment){.kind = shift ? MOMENT_SHIFT_TIME : MOMENT_TIME, .us = us};
    return true;
}

/* --- the drill ----------------------------------------------------------------------------- */

/* Digits, perhaps with a fraction, up to `end`; false when anything else stands there. */
static bool number(const char *s, const char *end, double *v)
{
    double place = 1;
    bool point = false, any = false;
    for (*v = 0; s < end; s++) {
        if (*s == '.' && !point) {
            point = true;
            continue;
        }
        if (!isdigit((unsigned char)*s))
            return false;
        any = true;
        *v = *v * 10 + (*s - '0');
        place = point ? place * 10 : place;
    }
    *v /= place;
    return any;
}

/* Skips one of the words (longest first) when it stands at s; returns s when none does. */
static const char *skip_word(const char *s, const char *const *words)
{
    for (; *words; words++)
        if (strncasecmp(s, *words, strlen(*words)) == 0)
            return s + strlen(*words);
    return s;
}

static const char *const count_words[] = {"counts", "count", "c", NULL};
static const char *const set_words[] = {"set ", "set\t", NULL};

static const char *trimmed_end(const char *s)
{
    const char *end = s + strlen(s);
    while (end > s && isspace((unsigned char)end[-1]))
        end--;
    return end;
}

static bool parse_shift(const char *s, struct moment *out, struct err *e)
{
    const char *p = skip_blanks(s), *digits = skip_blanks(p + 1);
    const char *unit = digits + strspn(digits, "0123456789.");
    const bool counts = *skip_blanks(skip_word(skip_blanks(unit), count_words)) == '\0';
    double v;
    if (counts && number(digits, unit, &v)) {
        if (v > 100000)
            return err_set(e, ERR_INPUT, "%s: no show has so many counts", s);
        *out = (struct moment){.kind = MOMENT_SHIFT_COUNTS, .count = *p == '-' ? -v : v};
        return true;
    }
    int64_t us;
    struct err ignored;
    if (!time_parse_shift(s, &us, &ignored))
        return err_set(e, ERR_INPUT,
                       "%s: write how far to move in counts (+16 counts) or seconds (+2.5 s)", s);
    *out = (struct moment){.kind = MOMENT_SHIFT_TIME, .us = us};
    return true;
}

/* The set whose label is the text from s to end, or -1. */
static int set_named(const char *s, const char *end, struct moves sets)
{
    char label[64];
    struct err ignored;
    const size_t len = (size_t)(end - s);
    if (len == 0 || len >= sizeof label)
        return -1;
    memcpy(label, s, len);
    label[len] = '\0';
    return move_find(sets, label, &ignored);
}

/* Splits "14A.3" or "14A count 3" where the left part is a set and the right part a number. */
static bool split_place(const char *s, const char *end, struct moves sets, struct moment *out)
{
    out->count = 1;
    out->set = set_named(s, end, sets);
    for (const char *p = end; out->set < 0 && p > s; p--) {
        const char *left = p - 1, *right = p;
        if (*left != '.' && *left != ' ')
            continue;
        if (*left == ' ') {
            const char *word = skip_word(p, count_words);
            if (word == p)
                continue;
            right = skip_blanks(word);
        }
        while (left > s && left[-1] == ' ')
            left--;
        if (number(right, end, &out->count))
            out->set = set_named(s, left, sets);
    }
    return out->set >= 0;
}

bool moment_parse_drill(const char *s, struct moves sets, struct moment *out, struct err *e)
{
    if (is_shift(s))
        return parse_shift(s, out, e);
    struct moment m = {.kind = MOMENT_PLACE};
    const char *p = skip_blanks(s), *end = trimmed_end(p);
    if (p == end)
        return err_set(e, ERR_INPUT, "which set? write 14, or 14.5 for its count 5");
    const char *body = skip_blanks(skip_word(p, set_words));
    if (!split_place(p, end, sets, &m) && !split_place(body, end, sets, &m)) {
        char label[64];
        snprintf(label, sizeof label, "%.*s", (int)strcspn(body, ". \t"), body);
        const int set = move_find(sets, label, e);
        if (set >= 0)
            err_set(e, ERR_INPUT, "%s: behind set %s comes a count, as %s.5", s, sets.at[set].label,
                    sets.at[set].label);
        return false;
    }
    const struct move *set = &sets.at[m.set];
    if (m.count >= 1 && (m.count < set->counts + 1.0 || m.count == 1)) {
        *out = m;
        return true;
    }
    if (set->counts == 0)
        return err_set(e, ERR_INPUT, "%s: set %s has no counts; write %s", s, set->label,
                       set->label);
    return err_set(e, ERR_INPUT, "%s: set %s has %d counts, %s.1 to %s.%d", s, set->label,
                   set->counts, set->label, set->label, set->counts);
}

/* --- where in the clip --------------------------------------------------------------------- */

static bool place_time(const struct moment *m, const struct map *map, int64_t now_us, int64_t *us)
{
    struct spot here;
    struct map_time t;
    const struct place p = {.set = m->set, .count = m->count};
    size_t n_stretches, found = 0;
    if (map_at(map, now_us, &here) && map_when(map, here.stretch, &p, &t, 1)) {
        *us = t.us;
        return true;
    }
    map_stretches(map, &n_stretches);
    for (size_t i = 0; i < n_stretches; i++) {
        if (!map_when(map, (int)i, &p, &t, 1))
            continue;
        if (found++ == 0 || us_apart(t.us, now_us) < us_apart(*us, now_us))
            *us = t.us;
    }
    return found > 0;
}

bool moment_resolve(const struct moment *m, const struct map *map, int64_t now_us, int64_t *us,
                    struct err *e)
{
    struct spot here;
    int64_t t = m->us;
    if (m->kind == MOMENT_PLACE && !place_time(m, map, now_us, &t))
        return err_set(e, ERR_INPUT,
                       "that set and count is nowhere in this clip as it is tied; tie it where it "
                       "is played");
    if (m->kind == MOMENT_SHIFT_COUNTS && !map_at(map, now_us, &here))
        return err_set(e, ERR_INPUT, "no set is tied here, so there are no counts to move by");
    if (m->kind == MOMENT_SHIFT_COUNTS && !map_shift(map, now_us, m->count, &t))
        return err_set(e, ERR_INPUT, "%+g counts from here is outside what is played here",
                       m->count);
    if (m->kind == MOMENT_SHIFT_TIME)
        t = us_sum(now_us, m->us);
    if (t < 0)
        return err_set(e, ERR_INPUT, "that is before the clip begins");
    *us = t;
    return true;
}
