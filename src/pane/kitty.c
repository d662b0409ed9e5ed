#include "pane/graphics.h"

#include <string.h>

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

static void place(struct buf *out, const struct kitty_image *im)
{
    buf_printf(out, "i=%u,p=1,c=%d,r=%d,C=1,z=1,q=2", im->id, im->cols, im->rows);
}

void kitty_shared(struct buf *out, const struct kitty_image *im, const char *name)
{
    buf_printf(out, "\033_Ga=T,t=s,f=24,s=%d,v=%d,", im->width, im->height);
    place(out, im);
    buf_char(out, ';');
    base64_add(out, (const uint8_t *)name, strlen(name));
    buf_str(out, "\033\\");
}

void kitty_chunk(struct buf *out, const struct kitty_image *im, const struct kitty_piece *piece)
{
    buf_str(out, "\033_G");
    if (piece->first)
        buf_printf(out, "a=t,t=d,f=24,o=z,i=%u,s=%d,v=%d,q=2,", im->id, im->width, im->height);
    buf_printf(out, "m=%d;", !piece->last);
    base64_add(out, piece->bytes, piece->n);
    buf_str(out, "\033\\");
}

void kitty_abort(struct buf *out)
{
    buf_str(out, "\033_Gm=0,q=2;\033\\");
}

void kitty_put(struct buf *out, const struct kitty_image *im)
{
    buf_str(out, "\033_Ga=p,");
    place(out, im);
    buf_str(out, "\033\\");
}

void kitty_delete(struct buf *out, uint32_t id)
{
    buf_printf(out, "\033_Ga=d,d=I,i=%u,q=2\033\\", id);
}
