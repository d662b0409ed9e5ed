#include "count/moment.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

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
    const bool shift = s[strspn(s, " \t")] == '+' || s[strspn(s, " \t")] == '-';
    if (!(shift ? time_parse_shift(s, &us, e) : time_parse(s, &us, e)))
        return false;
    *out = (struct moment){.kind = shift ? MOMENT_SHIFT_TIME : MOMENT_TIME, .us = us};
    return true;
}
