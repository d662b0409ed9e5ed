#include "talk/draft.h"

#include <math.h>
#include <string.h>

const char *draft_unit_name(enum draft_unit u)
{
    static const char *const names[] = {"", "counts", "steps", "degrees"};
    return names[u];
}

void draft_size(const struct draft *d, struct buf *out)
{
    const char *unit = draft_unit_name(d->unit);
    const size_t n = strlen(unit);
    if (d->unit != DRAFT_NO_SIZE)
        buf_printf(out, "%.3g %.*s", d->size, (int)(fabs(d->size) == 1 ? n - 1 : n), unit);
}
