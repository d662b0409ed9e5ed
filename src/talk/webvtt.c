/* WebVTT as the W3C's 'WebVTT file parsing' has it: "collect a WebVTT block" and "collect a WebVTT
 * timestamp". Regions, styles and cue settings say where on a picture a cue is drawn, and are passed
 * over. */
#include "talk/timed_inner.h"

static void blanks(const struct timed_line *l, size_t *at)
{
    while (*at < l->n && (l->at[*at] == ' ' || l->at[*at] == '\t' || l->at[*at] == '\f'))
        ++*at;
}

static bool next_is(const struct timed_line *l, size_t *at, char c)
{
    if (*at >= l->n || l->at[*at] != c)
        return false;
    ++*at;
    return true;
}

/* mm:ss.ttt or h..h:mm:ss.ttt; a first number of other than two digits, or over 59, is hours. */
static bool timestamp(const struct timed_line *l, size_t *at, int64_t *us)
{
    size_t n, more;
    int64_t hours = digits(l, at, &n), minutes, seconds;
    if (n == 0 || !next_is(l, at, ':'))
        return false;
    const bool is_hours = n != 2 || hours > 59;
    minutes = digits(l, at, &more);
    if (more != 2)
        return false;
    if (is_hours || (*at < l->n && l->at[*at] == ':')) {
        if (!next_is(l, at, ':'))
            return false;
        seconds = digits(l, at, &more);
        if (more != 2)
            return false;
    } else {
        seconds = minutes;
        minutes = hours;
        hours = 0;
    }
    if (!next_is(l, at, '.'))
        return false;
    const int64_t ms = digits(l, at, &more);
    *us = (((hours * 60 + minutes) * 60 + seconds) * 1000 + ms) * 1000;
    return more == 3 && minutes <= 59 && seconds <= 59;
}

/* "start --> end settings"; blanks beside the arrow may be missing. */
static bool timings(const struct timed_line *l, struct raw_cue *cue)
{
    size_t at = 0;
    blanks(l, &at);
    if (!timestamp(l, &at, &cue->from_us))
        return false;
    blanks(l, &at);
    if (!next_is(l, &at, '-') || !next_is(l, &at, '-') || !next_is(l, &at, '>'))
        return false;
    blanks(l, &at);
    return timestamp(l, &at, &cue->to_us);
}

/* A block ends at an empty line or before another line with an arrow. Returns the line behind it. */
static size_t block(struct reading *r, size_t from)
{
    size_t line = from, arrow = r->n, stop;
    for (; line < r->n && r->lines[line].n > 0; line++) {
        if (!line_has(&r->lines[line], "-->"))
            continue;
        /* the first line, or the second behind an identifier; any other begins a block of its own */
        if (arrow < r->n || line > from + 1)
            break;
        arrow = line;
    }
    stop = line;
    if (arrow < r->n) {
        struct raw_cue cue = {.time_line = arrow, .first = arrow + 1, .last = stop, .tags = true};
        if (timings(&r->lines[arrow], &cue))
            reading_add(r, &cue);
        else
            reading_note(r, arrow,
                         "this is no time; write 00:01:02.500 --> 00:01:05.000. The cue is passed "
                         "over");
    }
    while (stop < r->n && r->lines[stop].n == 0)
        stop++;
    return stop;
}

void read_webvtt(struct reading *r)
{
    size_t at = 1;
    while (at < r->n && r->lines[at].n > 0 && !line_has(&r->lines[at], "-->"))
        at++; /* the header's own lines */
    while (at < r->n && r->lines[at].n == 0)
        at++;
    while (at < r->n)
        at = block(r, at);
}
