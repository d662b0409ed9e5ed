/* What every page begins and ends with. */
#include <string.h>

#include "page/html.h"
#include "page/inside.h"

/* Nothing is fetched from elsewhere, no script runs but our own file, no form goes anywhere. */
static void policy(const struct page_style *style, struct buf *out)
{
    buf_str(out, "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; ");
    if (style->css)
        buf_printf(out, "img-src data:; media-src data:; style-src %s; script-src %s; ",
                   style->css_hash, style->js_hash);
    else
        buf_str(out, "img-src 'self' data:; media-src 'self' data:; style-src 'self'; "
                     "script-src 'self'; ");
    buf_str(out, "base-uri 'none'; form-action 'none'\">\n");
}

static void looks(const struct page_style *style, struct buf *out)
{
    if (style->css)
        buf_printf(out, "<style>%s</style>\n", style->css);
    else
        buf_str(out, "<link rel=\"stylesheet\" href=\"page.css\">\n"
                     "<script src=\"page.js\" defer></script>\n");
}

void page_begin(const struct page_style *style, const char *h1, struct buf *out)
{
    buf_str(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    policy(style, out);
    buf_str(out, "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                 "<meta name=\"robots\" content=\"noindex\">\n"
                 "<meta name=\"referrer\" content=\"no-referrer\">\n"
                 "<meta name=\"color-scheme\" content=\"light dark\">\n"
                 "<link rel=\"icon\" href=\"data:,\">\n<title>");
    const bool about_all = strcmp(h1, style->title) == 0;
    html_text(out, h1);
    if (!about_all) {
        buf_str(out, " · ");
        html_text(out, style->title);
    }
    buf_str(out, "</title>\n");
    looks(style, out);
    buf_str(out, "</head>\n<body>\n<header>\n");
    if (style->index) {
        buf_printf(out, "<nav aria-label=\"The show\"><a href=\"%s\">", style->index);
        html_name(out, style->title);
        buf_str(out, "</a></nav>\n");
    } else if (!about_all) {
        buf_str(out, "<p>");
        html_name(out, style->title);
        buf_str(out, "</p>\n");
    }
    buf_str(out, "<h1>");
    html_name(out, h1);
    buf_str(out, "</h1>\n</header>\n");
}

/* An inline script runs where it stands, so it stands behind all it works on. */
void page_end(const struct page_style *style, struct buf *out)
{
    if (style->js)
        buf_printf(out, "<script>%s</script>\n", style->js);
    buf_str(out, "</body>\n</html>\n");
}
