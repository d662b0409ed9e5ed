#include "paper/libical.h"

struct libical libical;
static bool loaded;

bool libical_load(struct err *e)
{
    static const struct borrowed rows[] = {LIBICAL_ROWS};
    return borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &libical, &loaded}, e);
}
