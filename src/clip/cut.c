#include "clip/cut.h"

#include <stddef.h>

bool cuts_open(struct cuts **out, const struct cuts_want *want, struct err *e)
{
    *out = NULL;
    return err_set(e, ERR_FAILED, "%s: clips cannot be cut yet; leave them out", want->path);
}

bool cuts_make(struct cuts *c, const struct cut *cut, struct err *e)
{
    (void)c;
    return err_set(e, ERR_FAILED, "%s: clips cannot be cut yet; leave them out", cut->to);
}

void cuts_close(struct cuts *c)
{
    (void)c;
}

bool cut_make(const struct cuts_want *want, const struct cut *cut, struct err *e)
{
    struct cuts *c;
    const bool ok = cuts_open(&c, want, e) && cuts_make(c, cut, e);
    cuts_close(c);
    return ok;
}
