#include "sheet/library.h"

struct pango pango;
struct qrencode qrencode;
static bool pango_there, qrencode_there;

bool pango_load(struct err *e)
{
    static const struct borrowed rows[] = {PANGO_ROWS};
    return borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &pango, &pango_there}, e);
}

bool qrencode_load(struct err *e)
{
    static const struct borrowed rows[] = {QRENCODE_ROWS};
    return borrow(
        &(struct borrow_list){rows, sizeof rows / sizeof *rows, &qrencode, &qrencode_there}, e);
}
