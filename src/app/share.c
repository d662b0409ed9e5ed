#include "app/share.h"

#include <stdlib.h>

#include "sys/file.h"

enum { SHARE_LIMIT = 4 << 20 };

bool share_read(const char *name, struct buf *out, struct err *e)
{
    const char *set = getenv("BOXCALL_SHARE");
    const char *folders[] = {set, BOXCALL_SHARE_INSTALLED, BOXCALL_SHARE_SOURCE};
    struct buf path = {0};
    bool ok = false, found = false;
    for (size_t i = 0; i < 3 && !found; i++) {
        if (!folders[i])
            continue;
        buf_clear(&path);
        buf_printf(&path, "%s/%s", folders[i], name);
        found = file_exists(path.p);
    }
    ok = found && file_read(path.p, SHARE_LIMIT, out, e);
    if (!found)
        err_set(e, ERR_FAILED, "%s: not installed in %s; install boxcall again", name,
                BOXCALL_SHARE_INSTALLED);
    buf_free(&path);
    return ok;
}
