/* SubRip: no standard. Counters may be missing or wrong, the comma may be a point, numbers may have fewer
 * digits, blank lines may stand inside a text. A text goes on until the next line with an arrow, without
 * the counter before that. */
#include <string.h>

#include "talk/timed_inner.h"

static bool number(const struct timed_line *l, size_t *at, size_t most, int64_t *out)
{
    size_t n;
    line_blanks(l, at);
    *out = digits(l, at, &n);
    return n > 0 && n <= most;
}

/* h:mm:ss,mmm; hours and the fraction may be missing. */
static bool stamp(const struct timed_line *l, size_t *at, int64_t *us)
{
    int64_t part[3] = {0, 0, 0}, ms = 0;
    if (!number(l, at, 4, &part[1]) || !line_next(l, at, ":") || !number(l, at, 2, &part[2]))
        return false;
    if (line_next(l, at, ":")) {
        part[0] = part[1];
        part[1] = part[2];
        if (!number(l, at, 2, &part[2]))
            return false;
    }
    if (line_next(l, at, ",") || line_next(l, at, ".")) {
        size_t n;
        ms = digits(l, at, &n);
        if (n < 1 || n > 3)
            return false;
        for (; n < 3; n++)
            ms *= 10;
    }
    *us = (((part[0] * 60 + part[1]) * 60 + part[2]) * 1000 + ms) * 1000;
    return part[1] <= 59 && part[2] <= 59;
}

static bool timings(const struct timed_line *l, struct raw_cue *cue)
{
    size_t at = 0;
    if (!stamp(l, &at, &cue->from_us))
        return false;
    line_blanks(l, &at);
    return line_next(l, &at, "-->") && stamp(l, &at, &cue->to_us) &&
           (at == l->n || l->at[at] == ' ' || l->at[at] == '\t');
}

static bool is_counter(const struct timed_line *l)
{
    size_t at = 0, n;
    digits(l, &at, &n);
    line_blanks(l, &at);
    return n > 0 && at == l->n;
}

/* Where the text of a cue ends whose next one's times are on this line. */
static size_t text_end(const struct reading *r, size_t first, size_t next)
{
    size_t end = next;
    if (next < r->n && end > first && is_counter(&r->lines[end - 1]))
        end--;
    return end;
}

void read_subrip(struct reading *r)
{
    size_t at = 0;
    while (at < r->n && !line_has(&r->lines[at], "-->"))
        at++;
    while (at < r->n) {
        size_t next = at + 1;
        while (next < r->n && !line_has(&r->lines[next], "-->"))
            next++;
        struct raw_cue cue = {
            .time_line = at, .first = at + 1, .last = text_end(r, at + 1, next), .tags = true};
        if (timings(&r->lines[at], &cue))
            reading_add(r, &cue);
        else
            reading_note(r, at,
                         "this is no time; write 00:01:02,500 --> 00:01:05,000. The text below it "
                         "is passed over");
        at = next;
    }
}
