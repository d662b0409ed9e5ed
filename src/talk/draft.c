#include "talk/draft.h"

const char *draft_unit_name(enum draft_unit u)
{
    static const char *const names[] = {"", "counts", "steps", "degrees"};
    return names[u];
}
