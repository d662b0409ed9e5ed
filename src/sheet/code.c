#include "sheet/code.h"

#include "sheet/library.h"

enum { QUIET = 4, LEAST = 21 };

/* A code of few squares has wide ones, and so a wide quiet zone. */
double code_width(size_t bytes)
{
    /* Bytes that versions 1 to 8 hold at level M: ISO/IEC 18004, table 7. */
    static const size_t holds[] = {14, 26, 42, 62, 84, 106, 122, 152};
    for (int i = 0; i < (int)(sizeof holds / sizeof *holds); i++)
        if (bytes <= holds[i])
            return CODE_SIDE * (LEAST + 4 * i + 2 * QUIET) / (LEAST + 4 * i);
    return 0;
}

void code_put(struct pen *p, const char *text, double x, double y)
{
    if (p->measuring || p->failed || (p->failed = !qrencode_load(p->e)))
        return;
    QRcode *code = QRcode_encodeString(text, 0, QR_ECLEVEL_M, QR_MODE_8, 1);
    if (!code) {
        p->failed = !err_set(p->e, ERR_FAILED, "the code of %s cannot be made", text);
        return;
    }
    const double side = CODE_SIDE / code->width;
    pen_squares(p, &(struct pen_squares){x + QUIET * side, y + QUIET * side, side, code->width,
                                         code->data});
    QRcode_free(code);
}
