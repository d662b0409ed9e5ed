/* The marks of a clip as chapters, in FFmpeg's metadata format ("Metadata", ffmpeg-formats
 * documentation): ;FFMETADATA1, sections in brackets, and '=', ';', '#', '\' and line ends of a value
 * with a '\' before them. */
#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "base/number.h"
#include "paper/paper.h"

/* On one line: players show a chapter's title in a menu. */
static void put_title(const char *text, struct buf *out)
{
    struct buf line = {0};
    put_text(&line, text);
    buf_str(out, "title=");
    for (const char *s = buf_text(&line); *s; s++) {
        if (strchr("=;#\\", *s))
            buf_char(out, '\\');
        buf_char(out, *s);
    }
    /* FFmpeg takes a line end behind any '\' for one that is escaped, even behind an escaped '\'. */
    buf_str(out, line.n && line.p[line.n - 1] == '\\' ? " \n" : "\n");
    buf_free(&line);
}

static void put_mark(const struct call_report *r, const struct mark *m, struct buf *out)
{
    struct buf title = {0}, figures = {0};
    targets_text(r->show, m->targets, m->n_targets, &title);
    buf_printf(&title, m->praise ? ": keep %s" : ": %s", r->show->faults[m->fault].name);
    measured_text(r->show, m, &figures);
    if (figures.n)
        buf_printf(&title, "; %s", figures.p);
    buf_free(&figures);
    if (*m->note)
        buf_printf(&title, "; %s", m->note);
    put_title(title.p, out);
    buf_free(&title);
}

static int64_t begin_ms(const struct mark *m)
{
    return ms_of_us(m->at_us > MARK_LEAD_IN_US ? m->at_us - MARK_LEAD_IN_US : 0);
}

static void put_times(int64_t from, int64_t to, struct buf *out)
{
    buf_printf(out, "\n[CHAPTER]\nTIMEBASE=1/1000\nSTART=%" PRId64 "\nEND=%" PRId64 "\n", from, to);
}

/* Marks of one moment follow each other by a millisecond: a chapter without length is lost. */
void calls_chapters(const struct call_report *r, struct buf *out)
{
    const int64_t end = ms_of_us(r->length_us);
    int64_t from = r->n_marks ? begin_ms(&r->marks[0]) : end;
    buf_str(out, ";FFMETADATA1\n");
    if (from > 0) {
        put_times(0, from, out);
        put_title(r->clip.label, out);
    }
    for (size_t i = 0; i < r->n_marks; i++) {
        int64_t next = i + 1 < r->n_marks ? begin_ms(&r->marks[i + 1]) : end;
        next = next > from ? next : from + 1;
        put_times(from, next, out);
        put_mark(r, &r->marks[i], out);
        from = next;
    }
}
