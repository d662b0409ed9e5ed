#include "paper/json.h"

#include <stdlib.h>
#include <string.h>

#include "base/utf8.h"

/* A byte that is not UTF-8 (a note from a command line may have some) becomes '?'. */
json_t *json_text(const char *s)
{
    size_t n = strlen(s), from = utf8_check(s, n);
    if (from == n)
        return json_stringn(s, n);
    struct buf b = {0};
    buf_add(&b, s, n);
    for (; from < n; from += 1 + utf8_check(b.p + from + 1, n - from - 1))
        b.p[from] = '?';
    json_t *j = json_stringn(b.p, n);
    buf_free(&b);
    return j;
}

json_t *json_set(const struct show *show, int set)
{
    return set < 0 ? json_null() : json_text(show->sets[set].label);
}

void json_place(json_t *o, const struct show *show, int set, double count)
{
    const struct place_said p = place_said(show, set, count);
    json_object_set_new(o, "set", json_set(show, p.set));
    json_object_set_new(o, "count",
                        p.kind == PLACE_COUNT || (p.kind == PLACE_HOLD && p.count > 0)
                            ? json_real(p.count)
                            : json_null());
    json_object_set_new(o, "hold", json_boolean(p.kind == PLACE_HOLD));
}

/* jansson escapes what RFC 8259 demands; the other control characters a terminal may act on are
 * escaped here. They stand in strings only. */
static void put_escaped(struct buf *out, const char *s, size_t n)
{
    for (size_t i = 0, took; i < n; i += took) {
        const uint32_t c = utf8_next(s + i, n - i, &took);
        const bool hides = c != '\n' && utf8_hides(s, n, i);
        if (c > 0xFFFF && hides) /* as two, RFC 8259, section 7 */
            buf_printf(out, "\\u%04x\\u%04x", (unsigned)(0xD800 + ((c - 0x10000) >> 10)),
                       (unsigned)(0xDC00 + (c & 0x3FF)));
        else if (hides)
            buf_printf(out, "\\u%04x", (unsigned)c);
        else
            buf_add(out, s + i, took);
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
