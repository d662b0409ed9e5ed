#include "talk/timed.h"

#include <stdlib.h>
#include <string.h>

#include "talk/timed_inner.h"

/* --- lines ------------------------------------------------------------------------------------- */

/* A line ends with CRLF, LF or CR; the last one may have no end. */
static void split(struct reading *r)
{
    const char *s = r->file->bytes, *end = s + r->file->n;
    size_t cap = 0;
    if (r->file->n >= 3 && memcmp(s, "\xef\xbb\xbf", 3) == 0)
        s += 3;
    while (s < end) {
        const char *stop = s;
        while (stop < end && *stop != '\n' && *stop != '\r')
            stop++;
        r->lines = array_grow(r->lines, r->n, &cap, sizeof *r->lines);
        r->lines[r->n++] = (struct timed_line){s, (size_t)(stop - s)};
        s = stop + (stop + 1 < end && stop[0] == '\r' && stop[1] == '\n') + 1;
    }
}

/* --- all of it ---------------------------------------------------------------------------------- */

static bool is_webvtt(const struct reading *r)
{
    const struct timed_line *l = r->lines;
    return r->n && l->n >= 6 && memcmp(l->at, "WEBVTT", 6) == 0 &&
           (l->n == 6 || l->at[6] == ' ' || l->at[6] == '\t');
}

static bool has_arrow(const struct reading *r)
{
    for (size_t i = 0; i < r->n; i++)
        if (line_has(&r->lines[i], "-->"))
            return true;
    return false;
}

static int by_time(const void *a, const void *b)
{
    const struct timed_cue *x = a, *y = b;
    if (x->from_us != y->from_us)
        return x->from_us < y->from_us ? -1 : 1;
    return (x->line > y->line) - (x->line < y->line);
}

bool timed_read(struct arena *a, const struct timed_text *file, struct timed *out, struct err *e)
{
    struct reading r = {.a = a, .file = file};
    split(&r);
    out->kind = is_webvtt(&r) ? TIMED_WEBVTT : has_arrow(&r) ? TIMED_SUBRIP : TIMED_STAMPS;
    if (out->kind == TIMED_WEBVTT)
        read_webvtt(&r);
    else if (out->kind == TIMED_SUBRIP)
        read_subrip(&r);
    else
        read_stamps(&r);
    if (r.n_cues)
        qsort(r.cues, r.n_cues, sizeof *r.cues, by_time);
    struct timed_cue *own = arena_alloc(a, (r.n_cues + 1) * sizeof *own);
    if (r.n_cues)
        memcpy(own, r.cues, r.n_cues * sizeof *own);
    *out = (struct timed){out->kind, own, r.n_cues};
    free(r.cues);
    free(r.lines);
    return out->n > 0 ||
           err_set(e, ERR_INPUT,
                   "%s: nothing in it has a time; give WebVTT, SubRip, or text whose paragraphs "
                   "begin with a time such as [1:05]",
                   file->source);
}
