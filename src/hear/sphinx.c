#include "hear/sphinx.h"

struct sphinx sphinx;
static bool loaded;

bool sphinx_load(struct err *e)
{
    static const struct borrowed rows[] = {SPHINX_ROWS};
    if (!borrow(&(struct borrow_list){rows, sizeof rows / sizeof *rows, &sphinx, &loaded}, e))
        return false;
    err_set_logfp(NULL); /* it tells stderr all that it does */
    return true;
}
