#include "base/quantity.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { DIGITS_MOST = 13 };

static const char *behind_blanks(const char *s)
{
    return s + strspn(s, " \t\r\n\v\f");
}

const char *decimal_read(const char *s, double *out)
{
    s = behind_blanks(s);
    const char *digits = s + (*s == '-' || *s == '+');
    const size_t n = strspn(digits, "0123456789.");
    char text[DIGITS_MOST + 2] = "", *end;
    if (n == 0 || n > DIGITS_MOST)
        return NULL;
    memcpy(text, s, (size_t)(digits - s) + n); /* an 'e' or 'x' behind it is not the number's */
    *out = strtod(text, &end);
    return *end || end == text ? NULL : behind_blanks(digits + n);
}

enum quantity quantity_read(const char *s, const struct unit *units, double *out)
{
    static const char degree[] = "\xC2\xB0";
    const char *name = decimal_read(s, out);
    if (!name)
        return QUANTITY_NO_NUMBER;
    if (!*name)
        return QUANTITY_NO_UNIT;
    if (strncmp(name, degree, 2) == 0)
        name = behind_blanks(name + 2);
    for (const struct unit *u = units; u->name; u++) {
        const size_t n = strlen(u->name);
        if (strncasecmp(name, u->name, n) == 0 && !*behind_blanks(name + n)) {
            *out = u->factor * *out + u->offset;
            return QUANTITY_READ;
        }
    }
    return QUANTITY_OTHER_UNIT;
}
