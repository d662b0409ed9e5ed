#include "screen/graphics.h"

void base64_add(struct buf *out, const uint8_t *bytes, size_t n)
{
    static const char digit[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < n; i += 3) {
        const size_t left = n - i;
        const uint32_t three = (uint32_t)bytes[i] << 16 |
                               (left > 1 ? (uint32_t)bytes[i + 1] << 8 : 0) |
                               (left > 2 ? bytes[i + 2] : 0u);
        const char four[4] = {digit[three >> 18], digit[three >> 12 & 63],
                              left > 1 ? digit[three >> 6 & 63] : '=',
                              left > 2 ? digit[three & 63] : '='};
        buf_add(out, four, 4);
    }
}
