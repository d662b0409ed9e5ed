/* The first page: who has a list, and what waits for the staff. */
#include "page/html.h"
#include "page/inside.h"
#include "paper/define.h"

static void number(const char *words, int n, struct buf *out)
{
    if (n)
        buf_printf(out, " <span class=\"count\">%d %s</span>", n, words);
}

static void put_entry(const struct page_entry *e, struct buf *out)
{
    buf_printf(out, "<li class=\"d%d\"><a href=\"%s\">", e->depth > 4 ? 4 : e->depth, e->address);
    html_name(out, e->name);
    buf_str(out, "</a>");
    number("to fix", e->open - e->define, out);
    number("for the staff", e->define, out);
    number("came clean", e->clean, out);
    number("to keep", e->keep, out);
    if (e->bytes) {
        buf_printf(out, " <span class=\"count\">%s, ", e->address);
        size_text(e->bytes, out);
        buf_str(out, "</span>");
    }
    buf_str(out, "</li>\n");
}

static void put_list(const struct page_index *p, bool performers, struct buf *out)
{
    bool begun = false;
    for (size_t i = 0; i < p->n; i++) {
        if (p->at[i].performer != performers)
            continue;
        if (!begun)
            buf_printf(out, "<section aria-labelledby=\"%s\">\n<h2 id=\"%s\">%s</h2>\n<ul>\n",
                       performers ? "performers" : "sections",
                       performers ? "performers" : "sections",
                       performers ? "Performers" : "Sections");
        begun = true;
        put_entry(&p->at[i], out);
    }
    buf_str(out, begun ? "</ul>\n</section>\n" : "");
}

static void put_staff_line(const struct define_line *l, const struct page_style *style,
                           struct buf *out)
{
    const struct fault *f = define_fault(l);
    const struct fixes_line line = define_as_fixes(l);
    struct buf words = {0};
    struct flow flow = flow_from(&words, 0, 0, 0);
    buf_str(out, "<li><strong>");
    html_name(out, f->name);
    buf_str(out, "</strong>");
    if (rank_seen(l->item)) {
        fixes_often(&line, &flow);
        buf_char(&words, ':');
        fixes_who(l->r->show, l->item, WHO_ALL, 999, &flow);
        buf_str(out, " ");
        html_text(out, words.p);
    }
    if (*f->right) {
        buf_str(out, l->decided ? "<br>Decided: " : "<br>So far: ");
        html_text(out, f->right);
    }
    if (l->decided) {
        buf_printf(out, " (%s", l->d->days[l->fault]);
        if (!style->labels_only) {
            buf_str(out, ", ");
            html_name(out, f->decided_by);
        }
        buf_char(out, ')');
    }
    buf_str(out, "</li>\n");
    buf_free(&words);
}

static void put_staff(const struct define_report *d, bool decided, const struct page_style *style,
                      struct buf *out)
{
    struct define_line l;
    bool begun = false;
    for (size_t n = 0; define_line(d, n, &l); n++) {
        if (l.decided != decided)
            continue;
        if (!begun)
            buf_printf(out, "<section aria-labelledby=\"%s\">\n<h2 id=\"%s\">%s</h2>\n<ul>\n",
                       decided ? "decided" : "decide", decided ? "decided" : "decide",
                       decided ? "Decided" : "The staff decides");
        begun = true;
        put_staff_line(&l, style, out);
    }
    buf_str(out, begun ? "</ul>\n</section>\n" : "");
}

static void put_clips(const struct page_index *p, const struct page_style *style, struct buf *out)
{
    struct buf address = {0};
    if (p->n_clips)
        buf_str(out, "<section aria-labelledby=\"all\">\n<h2 id=\"all\">Clips</h2>\n<ul>\n");
    for (size_t i = 0; i < p->n_clips; i++) {
        const struct report_clip *c = &p->clips[i];
        buf_clear(&address);
        const bool linked = style->in_clips && style->media->clip(style->media->user, c, &address);
        buf_str(out, "<li>");
        if (linked)
            buf_printf(out, "<a href=\"%s\">", address.p);
        html_name(out, c->label);
        buf_str(out, linked ? "</a>" : "");
        buf_printf(out, " %s, run %d</li>\n", c->date, c->run);
    }
    buf_str(out, p->n_clips ? "</ul>\n</section>\n" : "");
    buf_free(&address);
}

void page_index(const struct page_index *p, const struct page_style *style, struct buf *out)
{
    struct page_style first = *style;
    first.index = NULL;
    page_begin(&first, style->title, out);
    buf_str(out, "<main>\n");
    if (p->n && p->at[0].bytes)
        buf_str(out, "<p>To send: each page is one file with its pictures and clips in it, the one "
                     "that is named beside it. This list is for you.</p>\n");
    put_list(p, false, out);
    put_list(p, true, out);
    if (p->define) {
        put_staff(p->define, false, style, out);
        put_staff(p->define, true, style, out);
    }
    put_clips(p, style, out);
    buf_str(out, "</main>\n");
    page_end(style, out);
}
