#include "sheet/pen.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/arena.h"
#include "sheet/pen_inside.h"

#include "sheet/library.h"

enum { FOOT = 14, HEAD_SIZE = 19 };

static const struct {
    const char *name;
    double width, height;
} papers[SHEET_PAPERS] = {
    [SHEET_LETTER] = {"letter", 612, 792}, [SHEET_A4] = {"a4", 210 / 25.4 * 72, 297 / 25.4 * 72}};

bool sheet_paper_named(const char *name, enum sheet_paper *out)
{
    for (int i = 0; i < SHEET_PAPERS; i++)
        if (strcasecmp(name, papers[i].name) == 0) {
            *out = (enum sheet_paper)i;
            return true;
        }
    return false;
}

/* --- a document --------------------------------------------------------------------------------- */

static cairo_status_t keep(void *closure, const unsigned char *bytes, unsigned n)
{
    struct buf *out = closure;
    if (out)
        buf_add(out, bytes, n);
    return CAIRO_STATUS_SUCCESS;
}

static void describe(cairo_surface_t *s, const struct pen_job *job, const struct sheet_style *style)
{
    struct buf title = {0};
    put_text(&title, job->title);
    cairo_pdf_surface_set_metadata(s, CAIRO_PDF_METADATA_TITLE, buf_text(&title));
    cairo_pdf_surface_set_metadata(s, CAIRO_PDF_METADATA_CREATOR, "boxcall");
    if (*style->made_at)
        cairo_pdf_surface_set_metadata(s, CAIRO_PDF_METADATA_CREATE_DATE, style->made_at);
    buf_free(&title);
}

static void go_on(struct pen *p);

/* Without any the page would be empty, and nobody would be told. */
static bool has_fonts(PangoContext *context, struct err *e)
{
    PangoFontDescription *any = pango_font_description_new();
    pango_font_description_set_family(any, PEN_FONT);
    PangoFont *font = pango_context_load_font(context, any);
    pango_font_description_free(any);
    if (!font)
        return err_set(e, ERR_FAILED,
                       "no font is installed here to print with; install one (Debian: "
                       "fonts-dejavu-core)");
    g_object_unref(font);
    return true;
}

/* Composes once, into `out` or for nobody, who counts the handouts' pages. */
static bool compose(const struct pen_job *job, const struct sheet_style *style,
                    struct pen_handouts *all, struct buf *out, struct err *e)
{
    const double w = papers[style->paper].width, h = papers[style->paper].height;
    struct pen_inside in = {
        .width = job->lying ? h : w, .height = job->lying ? w : h, .turn = go_on, .all = all};
    struct pen p = {.in = &in,
                    .style = style,
                    .left = PEN_MARGIN,
                    .right = in.width - PEN_MARGIN,
                    .top = PEN_MARGIN,
                    .bottom = in.height - PEN_MARGIN - FOOT,
                    .scale = 1,
                    .e = e};
    in.surface = cairo_pdf_surface_create_for_stream(keep, out, in.width, in.height);
    describe(in.surface, job, style);
    in.cr = cairo_create(in.surface);
    PangoFontMap *fonts = pango_cairo_font_map_new(); /* the default one is never freed */
    in.context = pango_font_map_create_context(fonts);
    pango_cairo_update_context(in.cr, in.context);
    pango_context_set_base_dir(in.context, PANGO_DIRECTION_LTR); /* of our own sentences */
    cairo_set_source_rgb(in.cr, 0, 0, 0);
    p.failed = !has_fonts(in.context, e);
    if (!p.failed)
        job->compose(&p, job->job);
    cairo_show_page(in.cr);
    cairo_status_t status = cairo_status(in.cr);
    g_object_unref(in.context);
    g_object_unref(fonts);
    cairo_destroy(in.cr);
    cairo_surface_finish(in.surface);
    status = status ? status : cairo_surface_status(in.surface);
    cairo_surface_destroy(in.surface);
    if (status && !p.failed)
        p.failed =
            !err_set(e, ERR_FAILED, "the page cannot be drawn: %s", cairo_status_to_string(status));
    return !p.failed;
}

/* "flutes, trumpets (2 pages)" */
static void tell(const struct pen_handouts *all, struct sheet_made *out)
{
    for (size_t i = 0; i < all->n; i++) {
        const struct pen_handout *h = &all->at[i];
        buf_printf(&out->what, "%s%s", i ? ", " : "", h->name);
        if (h->pages > 1 && all->n > 1)
            buf_printf(&out->what, " (%d pages)", h->pages);
        out->pages += h->pages;
    }
    out->strange += all->strange;
}

bool pen_document(const struct pen_job *job, const struct sheet_style *style,
                  struct sheet_made *out, struct err *e)
{
    struct buf pdf = {0};
    struct pen_handouts all = {0};
    if (!pango_load(e))
        return false;
    const bool ok = compose(job, style, &all, NULL, e) && compose(job, style, &all, &pdf, e);
    if (ok) {
        buf_add(&out->pdf, pdf.p, pdf.n);
        tell(&all, out);
    }
    for (size_t i = 0; i < all.n; i++)
        free(all.at[i].name);
    free(all.at);
    buf_free(&pdf);
    return ok;
}

void sheet_made_free(struct sheet_made *made)
{
    buf_free(&made->pdf);
    buf_free(&made->what);
}

/* --- pages -------------------------------------------------------------------------------------- */

static void put_foot(struct pen *p)
{
    struct buf words = {0};
    const double y = p->y;
    p->y = p->bottom + 4;
    buf_printf(&words, "page %d of %d", p->page, p->pages);
    pen_text(p, &(struct pen_text){.stays = true, .text = words.p, .to_right = true, .x = p->left});
    p->y = p->bottom + 4;
    buf_clear(&words);
    buf_printf(&words, "%s%s%s", p->head.kind, *p->head.kind ? "   " : "", p->head.what);
    pen_text(p, &(struct pen_text){.stays = true,
                                   .text = words.p,
                                   .x = p->left,
                                   .width = p->right - p->left - 110,
                                   .lines = 1});
    buf_free(&words);
    p->y = y;
}

/* What it is about large at the left, the show and the day at the right. */
static void put_head(struct pen *p, bool again)
{
    const double aside = (p->right - p->left) * 0.42;
    struct buf words = {0};
    p->y = p->top;
    pen_text(p, &(struct pen_text){.stays = true,
                                   .text = p->head.show,
                                   .x = p->right - aside,
                                   .width = aside,
                                   .to_right = true,
                                   .lines = 1,
                                   .persons = true});
    pen_text(p, &(struct pen_text){.stays = true,
                                   .text = p->head.date,
                                   .x = p->right - aside,
                                   .width = aside,
                                   .to_right = true});
    const double low = p->y;
    p->y = p->top;
    buf_printf(&words, "%s%s", p->head.what, again ? " (goes on)" : "");
    pen_text(p, &(struct pen_text){.stays = true,
                                   .text = words.p,
                                   .x = p->left,
                                   .width = p->right - p->left - aside - 10,
                                   .size = HEAD_SIZE,
                                   .lines = 2,
                                   .bold = true});
    p->y = fmax(p->y, low) + 2;
    pen_rule(p, 1.2);
    p->y += 6;
    buf_free(&words);
}

static void turn(struct pen *p, bool again)
{
    if (p->measuring) {
        p->page++;
        p->y = p->in->first;
        return;
    }
    if (p->page > 0 || p->in->handout > 1)
        cairo_show_page(p->in->cr);
    p->page++;
    if (p->pages == 0)
        p->in->all->at[p->in->handout - 1].pages = p->page;
    const double scale = p->scale;
    p->scale = 1;
    put_head(p, again);
    put_foot(p);
    p->scale = scale;
    p->in->first = p->y;
}

/* The handouts come in the same order when they are counted and when they are drawn. */
static void begin_handout(struct pen *p, const char *name)
{
    struct pen_handouts *all = p->in->all;
    if (p->in->handout == all->n) {
        all->at = xrealloc(all->at, (all->n + 1) * sizeof *all->at);
        all->at[all->n++] = (struct pen_handout){.name = xstrdup(name)};
    }
    p->page = 0;
    p->pages = all->at[p->in->handout++].pages;
}

void pen_page(struct pen *p, const struct pen_head *head)
{
    const size_t now = p->in->handout;
    p->head = *head;
    if (!now || !head->all || strcmp(head->all, p->in->all->at[now - 1].name) != 0)
        begin_handout(p, head->all ? head->all : head->what);
    turn(p, false);
}

static void go_on(struct pen *p)
{
    turn(p, true);
}

double pen_height(struct pen *p, pen_fn draw, const void *job)
{
    const double y = p->y;
    const bool before = p->measuring;
    p->measuring = true;
    p->in->endless = true;
    draw(p, job);
    const double height = p->y - y;
    p->measuring = before;
    p->in->endless = false;
    p->y = y;
    return height;
}

void pen_keep(struct pen *p, pen_fn draw, const void *job)
{
    if (p->y > p->in->first && p->y + pen_height(p, draw, job) > p->bottom)
        turn(p, true);
}

void pen_block(struct pen *p, pen_fn draw, const void *job)
{
    pen_keep(p, draw, job);
    draw(p, job);
}

/* On how many pages something is at this scale that begins below the head. */
static int pages_of(struct pen *p, pen_fn all, const void *job, double scale)
{
    const struct pen before = *p;
    p->measuring = true;
    p->scale = scale;
    p->page = 1;
    p->y = p->in->first;
    all(p, job);
    const int pages = p->page;
    *p = before;
    return pages;
}

int pen_pages(struct pen *p, pen_fn all, const void *job)
{
    return pages_of(p, all, job, 1);
}

void pen_fit(struct pen *p, pen_fn all, const void *job)
{
    static const double scales[] = {1.15, 1.07, 1};
    size_t k = 0;
    while (k + 1 < sizeof scales / sizeof *scales && pages_of(p, all, job, scales[k]) > 1)
        k++;
    p->scale = scales[k];
    all(p, job);
    p->scale = 1;
}
