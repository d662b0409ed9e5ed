#include "clip/remux.h"

const char *remux_ending(const char *path, struct err *e)
{
    err_set(e, ERR_FAILED, "%s: clips cannot be copied yet; leave them out", path);
    return NULL;
}

bool remux(const struct remux_want *want, struct err *e)
{
    return err_set(e, ERR_FAILED, "%s: clips cannot be copied yet; leave them out", want->path);
}
