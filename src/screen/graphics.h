/* Pictures in the stream of bytes. */
#ifndef SCREEN_GRAPHICS_H
#define SCREEN_GRAPHICS_H

#include <stddef.h>
#include <stdint.h>

#include "base/buf.h"

/* RFC 4648, with padding. */
void base64_add(struct buf *out, const uint8_t *bytes, size_t n);

#endif
