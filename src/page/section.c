/* The page of a section, or of one performer. */
#include <string.h>

#include "page/html.h"
#include "page/inside.h"

static const char *name_of(const struct fix_report *r, const struct page_style *style)
{
    const char *name = r->performer >= 0 ? r->show->performers[r->performer].name : "";
    return style->labels_only ? "" : name;
}

static void put_basis(const struct fix_report *r, const struct page_style *style, struct buf *out)
{
    struct buf words = {0};
    const char *name = name_of(r, style);
    if (*name) {
        buf_str(out, "<p class=\"names\">");
        html_name(out, name);
        buf_str(out, "</p>\n");
    }
    if (r->watched_min > 0)
        fixes_cover(r, &words);
    buf_str(out, "<p class=\"basis\">");
    for (size_t i = 0; i < r->n_clips; i++) {
        buf_str(out, i ? ", " : "");
        html_name(out, r->clips[i].label);
        buf_printf(out, " (%s)", r->clips[i].date);
    }
    buf_str(out, r->n_clips ? ". " : "No clips. ");
    html_text(out, buf_text(&words));
    buf_str(out, "</p>\n");
    buf_free(&words);
}

static void heading(const char *id, const char *title, struct buf *out)
{
    buf_printf(out, "<section aria-labelledby=\"%s\">\n<h2 id=\"%s\">", id, id);
    html_text(out, title);
    buf_str(out, "</h2>\n");
}

static void put_equal(const struct rank_list *l, struct buf *out)
{
    struct buf words = {0};
    fixes_equal(l, &words);
    if (words.n) {
        buf_str(out, "<p class=\"basis\">");
        html_text(out, words.p);
        buf_str(out, "</p>\n");
    }
    buf_free(&words);
}

static bool has_open(const struct rank_list *l)
{
    for (size_t i = 0; i < l->n_items; i++)
        if (l->items[i].marks)
            return true;
    return false;
}

static void put_clean(const struct fix_report *r, const struct report_part *part, struct buf *out)
{
    bool begun = false;
    for (size_t i = 0; i < part->list.n_items; i++) {
        const struct rank_item *item = &part->list.items[i];
        if (item->marks)
            continue;
        buf_str(out, begun ? ", " : "<p class=\"clean\"><strong>Came clean:</strong> ");
        html_name(out, r->show->faults[item->fault].name);
        buf_printf(out, " ×%d", item->clean);
        begun = true;
    }
    buf_str(out, begun ? "</p>\n" : "");
}

static void put_own(const struct fix_report *r, const struct page_style *style, struct buf *out)
{
    if (r->own.list.n_keep) {
        heading("keep", "Keep", out);
        page_lines(r, &r->own, true, style, out);
        buf_str(out, "</section>\n");
    }
    heading("fix", "To fix", out);
    if (!has_open(&r->own.list))
        buf_str(out, "<p>Nothing to fix in these clips.</p>\n");
    page_lines(r, &r->own, false, style, out);
    put_clean(r, &r->own, out);
    put_equal(&r->own.list, out);
    buf_str(out, "</section>\n");
}

/* What was said to a group that the section belongs to. */
static void put_with(const struct fix_report *r, size_t nth, const struct page_style *style,
                     struct buf *out)
{
    const struct report_part *part = &r->with[nth];
    struct buf id = {0}, title = {0};
    buf_printf(&id, "with%zu", nth);
    buf_printf(&title, "With %s %s", part->section == r->show->root ? "the whole" : "all",
               r->show->sections[part->section].name);
    heading(id.p, title.p, out);
    page_lines(r, part, true, style, out);
    page_lines(r, part, false, style, out);
    put_clean(r, part, out);
    buf_str(out, "</section>\n");
    buf_free(&id);
    buf_free(&title);
}

/* What page.js does, in reach of a thumb; it shows them. */
static void put_buttons(struct buf *out)
{
    static const struct {
        const char *id, *title, *key;
    } rows[] = {{"before", "Before", "b"}, {"play", "Play", "p"}, {"next", "Next", "n"}};
    buf_str(out, "<nav class=\"steps\" aria-label=\"Moments\" hidden>\n");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        buf_printf(out, "<button type=\"button\" id=\"%s\" aria-keyshortcuts=\"%s\">%s</button>\n",
                   rows[i].id, rows[i].key, rows[i].title);
    buf_str(out, "<span id=\"told\" role=\"status\"></span>\n</nav>\n");
}

void page_section(const struct page_section *p, const struct page_style *style, struct buf *out)
{
    const struct fix_report *r = p->r;
    page_begin(style, report_for(r), out);
    buf_str(out, "<main>\n");
    put_basis(r, style, out);
    put_own(r, style, out);
    for (size_t i = 0; i < r->n_with; i++)
        put_with(r, i, style, out);
    if (p->history && p->history->n_dates > 1 && p->history->n) {
        heading("rehearsals", "Rehearsal by rehearsal", out);
        page_history(p->history, out);
        buf_str(out, "</section>\n");
    }
    page_videos(r, style, out);
    buf_str(out, "</main>\n");
    put_buttons(out);
    page_end(style, out);
}
