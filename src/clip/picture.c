#include "clip/picture.h"

bool picture_jpeg(const struct frame *rgb, struct buf *out, struct err *e)
{
    (void)rgb, (void)out;
    return err_set(e, ERR_FAILED, "pictures cannot be written yet; leave them out");
}
