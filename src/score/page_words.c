#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "score/page_inner.h"

struct page_measure *page_measure(struct page_reading *r)
{
    return &r->page->measures[r->measure - 1];
}

bool page_within(const struct page_reading *r, const char *name)
{
    return r->depth > 1 && r->depth <= PAGE_DEEPEST && strcmp(r->names[r->depth - 2], name) == 0;
}

bool page_number(const char *text, double least, double most, double *out)
{
    static const char blanks[] = " \t\r\n";
    char *end;
    text += strspn(text, blanks);
    const size_t n = strspn(text, "0123456789."); /* no sign, no exponent, no 'nan' */
    if (!n)
        return false;
    *out = strtod(text, &end);
    return end == text + n && !end[strspn(end, blanks)] && *out >= least && *out <= most;
}

bool page_refused(struct page_reading *r, struct err *e)
{
    return r->measure ? err_in(e, "measure %s", page_measure(r)->number) : false;
}

bool page_not_a(struct page_reading *r, const char *text, const char *what, struct err *e)
{
    err_set(e, ERR_INPUT, "'%.40s' is not %s; export the score again", text, what);
    return page_refused(r, e);
}
