#include "paper/json.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

json_t *json_text(const char *s)
{
    json_t *j = json_string(s);
    return j ? j : json_string("?"); /* text that is not UTF-8 never gets into a show */
}

json_t *json_count(int set, double count)
{
    return set < 0 ? json_null() : json_real(round(count * 1000) / 1000);
}

json_t *json_set(const struct show *show, int set)
{
    return set < 0 ? json_null() : json_text(show->sets[set].label);
}

/* jansson escapes what RFC 8259 demands; the other control characters a terminal may act on are
 * escaped here. They stand in strings only. */
static void put_escaped(struct buf *out, const char *s, size_t n)
{
    for (size_t took; n > 0; s += took, n -= took) {
        uint32_t c = utf8_next(s, n, &took);
        if (c != '\n' && utf8_is_control(c))
            buf_printf(out, "\\u%04x", (unsigned)c);
        else
            buf_add(out, s, took);
    }
}

void json_put(json_t *root, struct buf *out)
{
    char *text = json_dumps(root, JSON_INDENT(1) | JSON_REAL_PRECISION(12));
    put_escaped(out, text, strlen(text));
    buf_char(out, '\n');
    free(text);
    json_decref(root);
}
