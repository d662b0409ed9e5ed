#include <mpv/client.h>
#include <mpv/render.h>

#include "player/libmpv_borrowed.h"

struct libmpv libmpv;
static bool loaded;

bool libmpv_load(struct err *e)
{
    static const struct borrowed rows[] = {LIBMPV_ROWS};
    return borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &libmpv, &loaded}, e);
}
