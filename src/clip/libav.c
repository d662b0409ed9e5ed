#include "clip/libav.h"

struct libav libav;
static bool loaded;

bool libav_load(struct err *e)
{
    static const struct borrowed rows[] = {LIBAV_ROWS};
    if (!borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &libav, &loaded}, e))
        return false;
    av_log_set_level(AV_LOG_QUIET);
    return true;
}
