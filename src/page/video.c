/* The clips of a page, with its marks as captions. */
#include <stdlib.h>

#include "base/arena.h"
#include "page/html.h"
#include "page/inside.h"

void page_video_id(const struct report_clip *c, struct buf *out)
{
    buf_printf(out, "v%lld", (long long)c->id);
}

bool page_is_meant(const struct fix_report *r, const struct target *t)
{
    const struct show *show = r->show;
    if (r->performer >= 0)
        return t->performer == r->performer ||
               (t->performer < 0 &&
                section_within(show, show->performers[r->performer].section, t->section));
    if (t->performer >= 0)
        return section_within(show, show->performers[t->performer].section, r->section);
    return section_within(show, t->section, r->section) ||
           section_within(show, r->section, t->section);
}

struct mark page_caption(const struct fix_report *r, const struct report_moment *m,
                         struct arena *mem)
{
    struct target *meant = arena_alloc(mem, (m->n_targets + 1) * sizeof *meant);
    size_t n = 0;
    for (size_t i = 0; i < m->n_targets; i++)
        if (page_is_meant(r, &m->targets[i]))
            meant[n++] = m->targets[i];
    struct mark mark = fixes_mark(m);
    mark.targets = meant;
    mark.n_targets = n;
    mark.note = "";
    return mark;
}

static int by_time(const void *a, const void *b)
{
    const struct mark *x = a, *y = b;
    if (x->at_us != y->at_us)
        return x->at_us < y->at_us ? -1 : 1;
    return (x->id > y->id) - (x->id < y->id);
}

/* The page's marks in the clip, one of several parts once. */
static size_t marks_in(const struct fix_report *r, size_t clip, struct arena *mem,
                       struct mark **out)
{
    size_t most = r->own.n_moments, n = 0, kept = 0;
    for (size_t i = 0; i < r->n_with; i++)
        most += r->with[i].n_moments;
    struct mark *at = arena_alloc(mem, (most + 1) * sizeof *at);
    for (size_t k = 0; k <= r->n_with; k++) {
        const struct report_part *part = k ? &r->with[k - 1] : &r->own;
        for (size_t i = 0; i < part->n_moments; i++)
            if (part->moments[i].at.clip == clip)
                at[n++] = page_caption(r, &part->moments[i], mem);
    }
    qsort(at, n, sizeof *at, by_time);
    for (size_t i = 0; i < n; i++)
        if (i == 0 || at[i].id != at[kept - 1].id)
            at[kept++] = at[i];
    *out = at;
    return kept;
}

/* A file beside the page would be blocked where the page is opened from a folder. */
static void captions(const struct call_report *calls, struct buf *out)
{
    struct buf vtt = {0};
    calls_vtt(calls, &vtt);
    buf_str(out, "<track kind=\"captions\" srclang=\"en\" label=\"marks\" default "
                 "src=\"data:text/vtt;base64,");
    html_base64(out, vtt.p, vtt.n);
    buf_str(out, "\">");
    buf_free(&vtt);
}

static void one_video(const struct call_report *calls, const char *address, struct buf *out)
{
    const struct report_clip *c = &calls->clip;
    buf_str(out, "<figure class=\"clip\">\n<video id=\"");
    page_video_id(c, out);
    buf_printf(out, "\" src=\"%s\" controls playsinline preload=\"metadata\" aria-label=\"",
               address);
    html_text(out, c->label);
    buf_str(out, "\">");
    captions(calls, out);
    buf_str(out, "</video>\n<figcaption>");
    html_name(out, c->label);
    buf_printf(out, " (%s)</figcaption>\n</figure>\n", c->date);
}

void page_videos(const struct fix_report *r, const struct page_style *style, struct buf *out)
{
    struct buf address = {0};
    bool begun = false;
    for (size_t i = 0; style->in_clips && i < r->n_clips; i++) {
        struct arena mem = {0};
        struct mark *marks;
        const size_t n = marks_in(r, i, &mem, &marks);
        buf_clear(&address);
        if (n && style->media->clip(style->media->user, &r->clips[i], &address)) {
            const struct call_report calls = {.show = r->show,
                                              .clip = r->clips[i],
                                              .cues = PAGE_CUES,
                                              .marks = marks,
                                              .n_marks = n};
            buf_str(out, begun ? "" : "<section id=\"clips\" aria-label=\"Clips\">\n");
            one_video(&calls, address.p, out);
            begun = true;
        }
        arena_free(&mem);
    }
    buf_str(out, begun ? "</section>\n" : "");
    buf_free(&address);
}
