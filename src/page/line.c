/* A line of a fix list on a page: what it says, and each of its moments to look at. */
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "count/timecode.h"
#include "page/html.h"
#include "page/inside.h"

/* --- words ------------------------------------------------------------------------------------ */

/* A paragraph of what a writer of words says; none when it says nothing. */
static void say(const char *class, const struct buf *words, struct buf *out)
{
    if (!words->n)
        return;
    buf_printf(out, "<p class=\"%s\">", class);
    html_text(out, words->p);
    buf_str(out, "</p>\n");
}

static void say_often(const struct fixes_line *l, struct buf *out)
{
    struct buf words = {0};
    struct flow f = flow_from(&words, 0, 0, 0);
    fixes_often(l, &f);
    buf_char(&words, ':');
    fixes_who(l->r->show, l->item, WHO_ALL, 999, &f);
    say("who", &words, out);
    buf_free(&words);
}

static void say_state(const struct fixes_line *l, struct buf *out)
{
    struct buf words = {0};
    struct flow f = flow_from(&words, 0, 0, 0);
    fixes_state(l, &f);
    say("state", &words, out);
    buf_free(&words);
}

static void say_right(const struct fixes_line *l, struct buf *out)
{
    const struct fault *fault = &l->r->show->faults[l->item->fault];
    if (!*fault->right)
        return;
    buf_printf(out, "<p class=\"right\"><strong>%s</strong> ",
               fault->decided                   ? "Decided:"
               : l->item->cause == CAUSE_DEFINE ? "So far:"
                                                : "Right is:");
    html_text(out, fault->right);
    if (fault->decided && *fault->decided_by && !l->style->labels_only) {
        buf_str(out, " (");
        html_name(out, fault->decided_by);
        buf_char(out, ')');
    }
    buf_str(out, "</p>\n");
}

/* The people behind the labels, for a section leader who is new to them. */
static void say_names(const struct fixes_line *l, struct buf *out)
{
    bool begun = false;
    for (size_t i = 0; !l->style->labels_only && i < l->item->n_who; i++) {
        const struct rank_who *w = &l->item->who[i];
        if (!w->performer || !*l->r->show->performers[w->position].name)
            continue;
        buf_str(out, begun ? ", " : "<p class=\"names\">");
        html_text(out, l->r->show->performers[w->position].label);
        buf_char(out, ' ');
        html_name(out, l->r->show->performers[w->position].name);
        begun = true;
    }
    buf_str(out, begun ? "</p>\n" : "");
}

/* --- a moment --------------------------------------------------------------------------------- */

static void put_place(const struct fixes_line *l, const struct report_moment *m, struct buf *out)
{
    struct buf words = {0};
    targets_text(l->r->show, m->targets, m->n_targets, &words);
    buf_str(out, "<span class=\"whom\">");
    html_text(out, buf_text(&words));
    buf_str(out, "</span> <span class=\"place\">");
    buf_clear(&words);
    place_text(l->r->show, m->set, m->count, &words);
    html_text(out, words.n ? words.p : "no set");
    buf_str(out, "</span>");
    if (l->r->n_clips > 1) {
        buf_str(out, " <span class=\"run\">");
        html_name(out, l->r->clips[m->at.clip].label);
        buf_str(out, "</span>");
    }
    buf_free(&words);
}

static void put_words(const struct fixes_line *l, const struct report_moment *m, struct buf *out)
{
    struct buf figures = {0};
    if (*m->note) {
        buf_str(out, "<q>");
        html_name(out, m->note);
        buf_str(out, "</q>\n");
    }
    fixes_figures(l, m, &figures);
    say("late", &figures, out);
    buf_free(&figures);
}

/* What of a moment is where. */
struct found {
    struct buf still, clip; /* addresses; clip with the fragment of the beginning */
    bool own;               /* the clip is the moment's own */
    int64_t from_us, to_us; /* in that clip */
};

static void find(const struct fixes_line *l, const struct page_style *style,
                 const struct report_moment *m, struct found *out)
{
    const struct page_media *media = style->media;
    int64_t begins = 0;
    *out = (struct found){0};
    media->still(media->user, m, &out->still);
    if (!style->in_clips)
        out->own = media->cut(media->user, m, &begins, &out->clip);
    else
        media->clip(media->user, &l->r->clips[m->at.clip], &out->clip);
    out->from_us = (m->at.at_us > MARK_LEAD_IN_US ? m->at.at_us - MARK_LEAD_IN_US : 0) - begins;
    out->from_us = out->from_us < 0 ? 0 : out->from_us;
    out->to_us = m->at.at_us + MARK_TAIL_US - begins;
}

/* A picture that is behind a clip of its own is there for paper, and where no script runs. */
static void put_picture(const struct found *f, const char *class, struct buf *out)
{
    if (f->still.n)
        buf_printf(out, "<img%s src=\"%s\" alt=\"\"%s>", class, f->still.p,
                   *class ? "" : " loading=\"lazy\"");
}

/* A picture without a clip can be looked at larger: by a link, or, where the picture is within the
 * page and no browser goes to it, by what page.js makes of it. */
static void put_alone(const struct found *f, bool in_page, struct buf *out)
{
    if (!f->still.n)
        return;
    if (in_page)
        buf_str(out, "<span class=\"larger\">");
    else
        buf_printf(out, "<a class=\"larger\" href=\"%s\">", f->still.p);
    put_picture(f, "", out);
    buf_str(out, in_page ? "</span>\n" : " <span>Larger picture</span></a>\n");
}

/* The clip of a moment alone, with what is said there as its caption. */
static void put_own_clip(const struct fixes_line *l, const struct report_moment *m,
                         const struct found *f, struct buf *out)
{
    struct buf vtt = {0};
    struct arena mem = {0};
    struct mark mark = page_caption(l->r, m, &mem);
    mark.at_us = f->from_us + MARK_LEAD_IN_US;
    calls_vtt(
        &(struct call_report){.show = l->r->show, .cues = PAGE_CUES, .marks = &mark, .n_marks = 1},
        &vtt);
    put_picture(f, " class=\"still\"", out);
    buf_printf(out, "<video controls loop playsinline preload=\"none\" src=\"%s\" aria-label=\"",
               f->clip.p);
    html_text(out, l->r->show->faults[m->fault].name);
    buf_str(out, "\"><track kind=\"captions\" srclang=\"en\" label=\"marks\" "
                 "src=\"data:text/vtt;base64,");
    html_base64(out, vtt.p, vtt.n);
    buf_str(out, "\"></video>\n");
    buf_free(&vtt);
    arena_free(&mem);
}

static void put_time(const struct report_moment *m, struct buf *out)
{
    char time[24];
    time_format_short(m->at.at_us, time);
    buf_printf(out, "<span class=\"at\">%s</span>", time);
}

/* The picture and the time, as a link where there is a clip that can be gone to: no browser goes to
 * one that is within the page. */
static void put_door(const struct fixes_line *l, const struct page_style *style,
                     const struct report_moment *m, const struct found *f, struct buf *out)
{
    const bool linked = f->clip.n && !style->css;
    if (f->own)
        put_own_clip(l, m, f, out);
    if (linked) {
        buf_printf(out, "<a class=\"go\" href=\"%s#t=", f->clip.p);
        html_number(out, (double)f->from_us / 1e6);
        buf_str(out, "\">");
    }
    if (linked && !f->own)
        put_picture(f, "", out);
    else if (!f->own)
        put_alone(f, style->css != NULL, out);
    put_time(m, out);
    buf_str(out, linked ? "</a>" : "");
}

/* A mark on a section and on a group above it stands in both parts of the page. */
static bool stood_before(const struct fixes_line *l, const struct report_moment *m)
{
    const struct fix_report *r = l->r;
    for (size_t k = 0; k <= r->n_with; k++) {
        const struct report_part *part = k ? &r->with[k - 1] : &r->own;
        if (part == l->part)
            return false;
        for (size_t i = 0; i < part->n_moments; i++)
            if (part->moments[i].mark == m->mark)
                return true;
    }
    return false;
}

static void put_moment(const struct fixes_line *l, const struct page_style *style,
                       const struct report_moment *m, struct buf *out)
{
    struct found f;
    find(l, style, m, &f);
    buf_str(out, "<li class=\"moment\" id=\"");
    moment_id(m, out);
    if (stood_before(l, m)) /* one address leads to one place: the first */
        buf_printf(out, ".%d", l->part->section);
    buf_str(out, "\" data-from=\"");
    html_number(out, (double)f.from_us / 1e6);
    buf_str(out, "\" data-to=\"");
    html_number(out, (double)f.to_us / 1e6);
    if (f.clip.n && !f.own) {
        buf_str(out, "\" data-video=\"");
        page_video_id(&l->r->clips[m->at.clip], out);
    }
    buf_str(out, "\">\n");
    put_door(l, style, m, &f, out);
    buf_char(out, ' ');
    put_place(l, m, out);
    buf_char(out, '\n');
    put_words(l, m, out);
    buf_str(out, "</li>\n");
    buf_free(&f.still);
    buf_free(&f.clip);
}

/* --- a line ----------------------------------------------------------------------------------- */

static void put_charts(const struct fixes_line *l, struct buf *out)
{
    for (size_t i = 0; i < l->item->n_sets; i++)
        page_set_chart(l, l->item->sets[i], out);
}

static void put_head(const struct fixes_line *l, struct buf *out)
{
    static const char *const severity[] = {"", "small", "middling", "serious"};
    const struct rank_item *i = l->item;
    buf_str(out, "<h3>");
    html_name(out, l->r->show->faults[i->fault].name);
    if (i->praise)
        buf_str(out, " <span class=\"keep\">keep</span>");
    if (!i->praise && i->severity >= 1 && i->severity <= 3)
        buf_printf(out, " <span class=\"s%d\">%s</span>", i->severity, severity[i->severity]);
    if (i->cause == CAUSE_DEFINE)
        buf_str(out, " <span class=\"define\">the staff decides</span>");
    buf_str(out, "</h3>\n");
}

static void put_line(const struct fixes_line *l, const struct page_style *style, struct buf *out)
{
    const struct report_moment *m;
    buf_str(out, l->item->praise ? "<li class=\"line praise\">\n" : "<li class=\"line\">\n");
    put_head(l, out);
    say_often(l, out);
    if (!l->item->praise) {
        say_right(l, out);
        say_state(l, out);
    }
    say_names(l, out);
    buf_str(out, "<ol class=\"moments\">\n");
    for (size_t at = 0; (m = fixes_next(l, &at));)
        put_moment(l, style, m, out);
    buf_str(out, "</ol>\n");
    put_charts(l, out);
    buf_str(out, "</li>\n");
}

void page_lines(const struct fix_report *r, const struct report_part *part, bool keep,
                const struct page_style *style, struct buf *out)
{
    const struct fixes_style words = {.labels_only = style->labels_only};
    const struct rank_item *items = keep ? part->list.keep : part->list.items;
    const size_t n = keep ? part->list.n_keep : part->list.n_items;
    bool begun = false;
    for (size_t i = 0; i < n; i++) {
        if (!keep && items[i].marks == 0)
            continue;
        buf_str(out, begun ? "" : "<ol class=\"lines\">\n");
        put_line(&(struct fixes_line){r, &words, part, &items[i]}, style, out);
        begun = true;
    }
    buf_str(out, begun ? "</ol>\n" : "");
}
