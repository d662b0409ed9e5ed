/* WebVTT as the W3C's 'WebVTT file parsing' has it: "collect a WebVTT block" and "collect a WebVTT
 * timestamp". Regions, styles and cue settings say where on a picture a cue is drawn, and are passed
 * over. */
#include "talk/timed_inner.h"

/* "start --> end settings"; blanks beside the arrow may be missing. */
static bool timings(const struct timed_line *l, struct raw_cue *cue)
{
    size_t at = 0;
    line_blanks(l, &at);
    if (!webvtt_time(l, &at, &cue->from_us))
        return false;
    line_blanks(l, &at);
    if (!line_next(l, &at, "-->"))
        return false;
    line_blanks(l, &at);
    return webvtt_time(l, &at, &cue->to_us);
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
