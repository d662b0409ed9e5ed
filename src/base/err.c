#include "base/err.h"

#include <stdio.h>
#include <string.h>

#include "base/utf8.h"

bool err_set(struct err *e, enum err_code code, const char *fmt, ...)
{
    va_list ap;
    va_start(ap, fmt);
    e->code = code;
    vsnprintf(e->text, sizeof e->text, fmt, ap);
    va_end(ap);
    utf8_tame(e->text);
    return false;
}

bool err_in(struct err *e, const char *fmt, ...)
{
    char old[sizeof e->text];
    memcpy(old, e->text, sizeof old);
    va_list ap;
    va_start(ap, fmt);
    vsnprintf(e->text, sizeof e->text, fmt, ap);
    va_end(ap);
    size_t n = strlen(e->text);
    snprintf(e->text + n, sizeof e->text - n, ": %s", old);
    utf8_tame(e->text);
    return false;
}
