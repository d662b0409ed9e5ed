#include "score/libxml.h"

struct libxml libxml;
static bool loaded;

/* Some of its parts print what they think of the bytes, whatever a parser's own handlers are. */
static void say_nothing(void *ctx, xmlErrorPtr error)
{
    (void)ctx, (void)error;
}

bool libxml_load(struct err *e)
{
    static const struct borrowed rows[] = {LIBXML_ROWS};
    if (!borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &libxml, &loaded}, e))
        return false;
    xmlSetStructuredErrorFunc(NULL, say_nothing);
    return true;
}
