#include "score/musicxml.h"

#include "score/unroll.h"

bool musicxml_read(struct arena *a, const struct table_text *file, struct score *out, struct err *e)
{
    struct page page = {.a = a};
    struct draft d = {.a = a};
    bool ok = page_read(file, &page, e) && page_unroll(&page, &d, e);
    if (ok) {
        d.made.title = page.title;
        d.made.passed = page_passed_said(&page);
        draft_done(&d, out);
    }
    draft_free(&d);
    page_free(&page);
    return ok;
}
